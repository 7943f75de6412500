package measure

import (
	"fmt"
	"math"

	"kg/internal/signal"
	"kg/internal/units"
)

// Volumes from memory and common practice.
const (
	singlePanel = 5.2  // litres in a square metre of single-panel radiator
	doublePanel = 10.3 // and of double-panel
)

// pipes are copper tubes of EN 1057 by outer diameter and wall in millimetres,
// walls from memory.
var pipes = []struct {
	name        string
	outer, wall float64
}{
	{"pipe10", 10, 0.6}, {"pipe15", 15, 0.7}, {"pipe22", 22, 0.9}, {"pipe28", 28, 0.9}, {"pipe35", 35, 1.2},
}

// pipeVolume is the water in a metre of tube, in litres, by its outer diameter and
// wall in millimetres.
func pipeVolume(outer, wall float64) litre {
	bore := outer - float64(2*wall)
	return litre(math.Pi / 4 * bore * bore / 1000)
}

const (
	radiatorSingle = iota
	radiatorDouble
	firstPipe
	boilerWater = firstPipe + 5
	otherWater  = boilerWater + 1
	heatingUse  = otherWater + 1
)

func systemVolume(v *values) float64 {
	sum := float64(singlePanel*v.x[radiatorSingle]) + float64(doublePanel*v.x[radiatorDouble]) + v.x[boilerWater] + v.x[otherWater]
	for i, p := range pipes {
		sum += float64(v.x[firstPipe+i] * float64(pipeVolume(p.outer, p.wall)))
	}
	return sum
}

func systemVolumeKeys() []Key {
	panel := Spread{Relative: 0.15}
	keys := []Key{
		{Name: "single", Also: []string{"k1", "single-panel"}, About: "face of all single-panel radiators", Kind: units.Surface, Unit: "m2", High: 1e4, Default: 0, Given: panel},
		{Name: "double", Also: []string{"k2", "double-panel", "radiators"}, About: "face of all double-panel radiators", Kind: units.Surface, Unit: "m2", High: 1e4, Default: 0, Given: panel},
	}
	for _, p := range pipes {
		keys = append(keys, Key{Name: p.name, About: fmt.Sprintf("copper pipe of %s mm", figure(p.outer)), Kind: units.Length, Unit: "m", High: 1e5, Default: 0, Given: Spread{Relative: 0.1}})
	}
	return append(keys,
		Key{Name: "boiler", About: "water in the boiler", Kind: units.Volume, Unit: "l", High: 1e4, Default: 3, Given: Spread{Relative: 0.1}, Assumed: Spread{Half: 2}},
		Key{Name: "other", Also: []string{"buffer", "underfloor"}, About: "water in a buffer, a coil, underfloor pipes", Kind: units.Volume, Unit: "l", High: 1e6, Default: 0, Given: Spread{Relative: 0.05}})
}

var chemicals = Caution{signal.Caution, "Read the label and the safety sheet of the chemical: gloves, eye protection, and never mix two."}

var volumeModels = []*Model{
	{
		Name: "system-volume", Also: []string{"water-volume"}, About: "water in a heating system from its radiators and pipes, and the dose of inhibitor",
		Keys: systemVolumeKeys(), Kind: units.Volume, Unit: "l", Meter: Spread{Relative: 0.03},
		Source: "panel radiators 5.2 and 10.3 l/m2, from memory; copper tubes of EN 1057; 1 l of inhibitor to 100 l of water: common practice, the label decides", Cautions: []Caution{chemicals},
		check: func(v *values) error {
			if v.x[radiatorSingle]+v.x[radiatorDouble]+v.x[otherWater] == 0 && systemVolume(v) <= v.x[boilerWater] {
				return fmt.Errorf("say what holds water, like double=6m2 pipe15=60m pipe22=25m boiler=3l")
			}
			return nil
		},
		predict:   systemVolume,
		tolerance: func(_ *values, y float64) float64 { return 0.1 * y },
		formula: func(v *values, y float64) string {
			s := fmt.Sprintf("V = 5.2 x %s + 10.3 x %s", figure(v.x[radiatorSingle]), figure(v.x[radiatorDouble]))
			for i, p := range pipes {
				if m := v.x[firstPipe+i]; m > 0 {
					s += fmt.Sprintf(" + %.3g x %s", float64(pipeVolume(p.outer, p.wall)), figure(m))
				}
			}
			return s + fmt.Sprintf(" + %s + %s = %s l", figure(v.x[boilerWater]), figure(v.x[otherWater]), figure(y))
		},
		more: func(_ *values, y float64) []Detail { return []Detail{{"inhibitor at 1 to 100", y / 100, "l"}} },
	},
	{
		Name: "dosing", Also: []string{"inhibitor", "dose"}, About: "chemical for a volume of water",
		Keys: []Key{func() Key { k := systemVolumeKey(); k.Default = none; return k }(),
			{Name: "strength", Also: []string{"rate", "concentration"}, About: "of the dose, by the label", Kind: units.Share, Unit: "%", Low: 0.001, High: 60, Default: 1}},
		Kind: units.Volume, Unit: "l", Meter: Spread{Half: 0.05}, Source: "proportion; 1%: common practice, the label decides", Cautions: []Caution{chemicals}, reverse: []int{0},
		predict: func(v *values) float64 { return v.x[0] * v.x[1] / 100 },
		formula: func(v *values, y float64) string {
			return fmt.Sprintf("%s l x %s%% = %s l", figure(v.x[0]), figure(v.x[1]), figure(y))
		},
		card: &cardPlan{key: 0, from: 50, to: 400, step: 25},
	},
}
