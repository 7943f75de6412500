package measure

import (
	"fmt"
	"math"

	"kg/internal/signal"
	"kg/internal/units"
)

// gasRate is the heat input in kilowatts of a gas volume in cubic metres burnt in
// some seconds, with the heating value in MJ/m³ and the correction of the meter's
// volume to reference conditions.
func gasRate(cubicMetres, seconds, heating, correction float64) kilowatt {
	return kilowatt(1000 * cubicMetres * heating * correction / seconds)
}

// Gas figures of the trade.
const (
	// volumeCorrection is what bills are worked out with (UK; many suppliers print it).
	volumeCorrection = 1.02264
	// grossOverNet is the trade's divisor; that of methane is 1.1107, of propane 1.086.
	grossOverNet = 1.1
	// defaultHeating is a common gross heating value of natural gas, in MJ/m³.
	defaultHeating = 39.5
	lowestHeating  = 37.5
	highestHeating = 43.0
)

var gasLicensed = Caution{signal.Danger, "Work on gas is for people licensed for it. If you smell gas: no flames, no switches, shut off the supply, open up, get out and call the emergency line."}

const (
	gasVolume = iota
	gasTime
	gasHeating
	gasCorrection
	gasBasis
)

func gasRateOf(v *values) float64 {
	p := float64(gasRate(v.x[gasVolume]/1000, v.x[gasTime], v.x[gasHeating], v.x[gasCorrection]))
	if v.x[gasBasis] > 0 {
		p /= grossOverNet
	}
	return p
}

// gasKind is a fuel with its supply pressures in mbar (EN 437:2021, test
// pressures: normal, lowest, highest; from memory) and the figures of its heating
// value (ISO 6976, 15 degrees C, from memory).
type gasKind struct {
	name                    string
	normal, lowest, highest float64
	gross                   float64 // kJ/mol
	water                   float64 // mol of water from 1 mol
	compressibility         float64
}

var gasKinds = []gasKind{
	{"natural-gas", 20, 17, 25, 891.51, 2, 0.998},
	{"propane", 37, 25, 45, 2221.10, 4, 0.9821},
	{"butane", 29, 20, 35, 2879.76, 5, 0.965},
}

func gasWords() []string {
	var out []string
	for _, k := range gasKinds {
		out = append(out, k.name)
	}
	return out
}

// heating returns the gross and net heating values of methane, propane or butane
// in MJ/m³ at 15 degrees C and 1013.25 mbar: molar heat over R T Z / p.
func (k *gasKind) heating() (gross, net float64) {
	const r, t, p, latent = 8.314462618, 288.15, 101325.0, 44.431 // kJ/mol of water at 15 degrees C
	volume := r * t * k.compressibility / p
	return k.gross / volume / 1000, (k.gross - float64(k.water*latent)) / volume / 1000
}

var gasModels = []*Model{
	{
		Name: "gas-rate", Also: []string{"gas"}, About: "heat input from a gas meter and a clock, and the time for a heat input",
		Keys: []Key{
			// Two readings of the last digit, 0.001 m3: triangular (GUM 4.3.9).
			{Name: "volume", Also: []string{"v", "gas-volume"}, About: "gas counted; \"2 m3 in 118 s\" gives the time too", Kind: units.Volume, Unit: "m3", Low: 1e-3, High: 1e7, Default: none, Given: Spread{Half: math.Sqrt2 / 2}},
			{Name: "time", Also: []string{"seconds", "t"}, About: "it took", Kind: units.Duration, Unit: "s", Low: 0.1, High: 1e6, Default: none, Given: Spread{Half: 0.5}},
			{Name: "calorific", Also: []string{"cv", "heating", "calorific-value"}, About: "gross heating value of the gas, as on the bill", Kind: units.HeatingValue, Unit: "MJ/m3", Low: 10, High: 150, Default: defaultHeating,
				Given: Spread{Relative: 0.005}, Assumed: Spread{Relative: 0.03}},
			{Name: "correction", Also: []string{"cf", "factor"}, About: "of the metered volume; 1 for the usual sum of the trade", Kind: units.Number, Unit: "-", Low: 0.5, High: 10, Default: volumeCorrection, Assumed: Spread{Relative: 0.02}},
			{Name: "basis", About: "of the heating value in the result", Kind: units.Word, Words: []string{"gross", "net"}, Default: 0},
		},
		Kind: units.Power, Unit: "kW", ReadsAlso: []string{"power", "plate"}, Meter: Spread{Relative: 0.01}, reverse: []int{gasTime, gasVolume},
		Source:   "definition; volume correction 1.02264 as billed; net = gross/1.1 as the trade has it (1.1107 for methane: about 1% less); within 5% of the plate: common practice",
		Cautions: []Caution{gasLicensed},
		predict:  gasRateOf,
		tolerance: func(_ *values, y float64) float64 {
			const ofPlate = 0.05
			return ofPlate * y
		},
		formula: func(v *values, y float64) string {
			s := fmt.Sprintf("P = 1000 V CV CF/t = 1000 x %s x %s x %s/%s", figure(v.x[gasVolume]/1000), figure(v.x[gasHeating]), figure(v.x[gasCorrection]), figure(v.x[gasTime]))
			if v.x[gasBasis] > 0 {
				s += "/1.1"
			}
			return s + " = " + figure(y) + " kW"
		},
		more: func(v *values, y float64) []Detail {
			gross := y
			if v.x[gasBasis] > 0 {
				gross *= grossOverNet
			}
			return []Detail{{"gross", gross, "kW"}, {"net", gross / grossOverNet, "kW"}, {"flow", 3.6 * v.x[gasVolume] / v.x[gasTime], "m3/h"},
				{"standard uncertainty of the volume by the meter's last digit", 100 * triangular(1) / v.x[gasVolume], "%"}}
		},
		remark: func(_ *Judgement, v *values) string {
			if cv := v.x[gasHeating]; cv < lowestHeating || cv > highestHeating {
				return "natural gas in the UK has 37.5 to 43 MJ/m3 gross (from memory); this one is outside, as LPG is"
			}
			return ""
		},
		card: &cardPlan{key: gasTime, from: 60, to: 300, step: 10},
	},
	{
		Name: "gas-heating-value", Also: []string{"gas-calorific", "calorific"}, About: "heating value of a pure gas at 15 C and 1013.25 mbar",
		Keys: []Key{{Name: "fuel", Also: []string{"gas"}, About: "natural-gas stands for methane", Kind: units.Word, Words: gasWords(), Nicknames: gasNicknames, Default: 0},
			{Name: "basis", About: "with or without the heat of condensing", Kind: units.Word, Words: []string{"gross", "net"}, Default: 0}},
		Kind: units.HeatingValue, Unit: "MJ/m3", Source: "molar heats and compressibility of ISO 6976, from memory; EN 437 has 37.78 gross and 34.02 net for G20", Cautions: []Caution{gasLicensed},
		predict: func(v *values) float64 {
			gross, net := gasOf(v).heating()
			if v.x[1] > 0 {
				return net
			}
			return gross
		},
		tolerance: func(_ *values, y float64) float64 { return 0.001 * y },
		formula:   func(_ *values, y float64) string { return "H = Hm p/(R T Z) = " + figure(y) + " MJ/m3" },
	},
	{
		Name: "supply-pressure", Also: []string{"gas-pressure", "inlet-pressure"}, About: "gas pressure at the inlet of an appliance",
		Keys: []Key{{Name: "gas", Also: []string{"fuel"}, About: "kind of gas", Kind: units.Word, Words: gasWords(), Nicknames: gasNicknames, Default: 0}},
		Kind: units.Pressure, Unit: "mbar", Meter: Spread{Half: 1e-4, Relative: 0.005}, Source: "EN 437 test pressures, from memory: normal, lowest, highest; the appliance's plate and instructions come first",
		Edition: "EN 437:2021", Cautions: []Caution{gasLicensed},
		predict: func(v *values) float64 { return gasOf(v).normal / 1000 },
		limits:  func(v *values) (float64, float64) { return gasOf(v).lowest / 1000, gasOf(v).highest / 1000 },
		formula: func(v *values, _ float64) string {
			k := gasOf(v)
			return fmt.Sprintf("%s: %s mbar, within %s to %s", k.name, figure(k.normal), figure(k.lowest), figure(k.highest))
		},
		state: func(_ *values, reads float64) (Verdict, string) {
			const burst = 0.075 // bar; regulators of installations shut or vent well below it
			if reads > burst {
				return High, "far above any inlet pressure: make safe and call the gas transporter or supplier"
			}
			return Unjudged, ""
		},
	},
	{
		Name: "gas-drop", Also: []string{"pressure-drop"}, About: "drop of pressure from the meter to an appliance at full rate",
		Keys: []Key{{Name: "gas", Also: []string{"fuel"}, About: "kind of gas", Kind: units.Word, Words: []string{"natural-gas"}, Nicknames: gasNicknames, Default: 0}},
		Kind: units.Pressure, Unit: "mbar", Meter: Spread{Half: 1e-4, Relative: 0.005}, Source: "BS 6891:2015+A1:2019, by a secondary summary: at most 1 mbar for natural gas", Edition: "BS 6891:2015+A1:2019",
		Cautions: []Caution{gasLicensed},
		predict:  func(*values) float64 { return 0.001 },
		limits:   func(*values) (float64, float64) { return 0, 0.001 },
		formula:  func(*values, float64) string { return "at most 1 mbar" },
	},
	{
		Name: "tightness", Also: []string{"tightness-test", "gas-tightness"}, About: "drop of pressure in a gas tightness test against the limit for the installation",
		Keys: []Key{{Name: "limit", Also: []string{"permitted", "allowed"}, About: "the limit that the edition in force gives for the volume of this installation", Kind: units.Pressure, Unit: "mbar", Low: 0, High: 0.02, Default: none}},
		Kind: units.Pressure, Unit: "mbar", ReadsAlso: []string{"drop"}, Meter: Spread{Half: 2.5e-4},
		Source:  "IGEM/UP/1B sets the limit by the volume of the installation and by what may be perceived; no figure is kept here",
		Edition: "IGEM/UP/1B, the edition in force (from memory: Edition 4 of March 2026, Edition 3 withdrawn 30 September 2026; look it up)", Cautions: []Caution{gasLicensed},
		predict: func(v *values) float64 { return v.x[0] },
		limits:  func(v *values) (float64, float64) { return 0, v.x[0] },
		formula: func(v *values, _ float64) string { return "drop at most " + figure(1000*v.x[0]) + " mbar, as given" },
		remark: func(*Judgement, *values) string {
			return "a smell of gas fails the test whatever the gauge shows"
		},
	},
}

// gasNicknames are other names of gases; those with a G are of EN 437.
var gasNicknames = map[string]string{
	"g20": "natural-gas", "ng": "natural-gas", "natural": "natural-gas", "gas": "natural-gas", "ch4": "natural-gas", "methane": "natural-gas", "n-g": "natural-gas",
	"g31": "propane", "g30": "butane", "kerosene": "oil", "heating-oil": "oil", "28-sec": "oil", "35-sec": "oil",
}

// gasOf finds the gas of the first key.
func gasOf(v *values) *gasKind { return &gasKinds[min(max(int(v.x[0]), 0), len(gasKinds)-1)] }
