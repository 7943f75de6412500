package measure

import (
	"fmt"
	"math"

	"kg/internal/signal"
	"kg/internal/units"
)

// bar is a pressure in bar; each function says whether above the air or absolute.
// litre is a volume.
type (
	bar   float64
	litre float64
)

// atmosphere is the pressure of the standard atmosphere in bar.
const atmosphere = units.Atmosphere

// gravity is the standard acceleration of free fall, in m/s² (exact, ISO 80000-3).
const gravity = 9.80665

// waterState is liquid water at a temperature and pressure.
type waterState struct {
	Density  float64 // kg/m³
	Volume   float64 // specific volume, m³/kg
	Enthalpy float64 // kJ/kg
	HeatCap  float64 // isobaric, kJ/(kg K)
}

// region1 are the coefficients of IAPWS R7-97(2012), table 2.
var region1 = [...]struct {
	i, j int
	n    float64
}{
	{0, -2, 0.14632971213167}, {0, -1, -0.84548187169114}, {0, 0, -0.37563603672040e1}, {0, 1, 0.33855169168385e1},
	{0, 2, -0.95791963387872}, {0, 3, 0.15772038513228}, {0, 4, -0.16616417199501e-1}, {0, 5, 0.81214629983568e-3},
	{1, -9, 0.28319080123804e-3}, {1, -7, -0.60706301565874e-3}, {1, -1, -0.18990068218419e-1}, {1, 0, -0.32529748770505e-1},
	{1, 1, -0.21841717175414e-1}, {1, 3, -0.52838357969930e-4}, {2, -3, -0.47184321073267e-3}, {2, 0, -0.30001780793026e-3},
	{2, 1, 0.47661393906987e-4}, {2, 3, -0.44141845330846e-5}, {2, 17, -0.72694996297594e-15}, {3, -4, -0.31679644845054e-4},
	{3, 0, -0.28270797985312e-5}, {3, 6, -0.85205128120103e-9}, {4, -5, -0.22425281908000e-5}, {4, -2, -0.65171222895601e-6},
	{4, 10, -0.14341729937924e-12}, {5, -8, -0.40516996860117e-6}, {8, -11, -0.12734301741641e-8}, {8, -6, -0.17424871230634e-9},
	{21, -29, -0.68762131295531e-18}, {23, -31, 0.14478307828521e-19}, {29, -38, 0.26335781662795e-22},
	{30, -39, -0.11947622640071e-22}, {31, -40, 0.18228094581404e-23}, {32, -41, -0.93537087292458e-25},
}

const (
	waterGas      = 0.461526 // kJ/(kg K), IAPWS R7-97(2012), equation 1
	region1T      = 1386     // K
	region1P      = 16.53    // MPa
	region1Lowest = -43      // the powers of the temperature term that are needed
	region1Most   = 17
)

// water returns the properties of liquid water at t and the absolute pressure p
// (IAPWS R7-97(2012), region 1: 0 to 350 degrees C, from boiling to 1,000 bar).
// Outside all are NaN; so they are where the water would boil.
func water(t celsius, p bar) waterState {
	T, P := kelvin0+float64(t), float64(p)/10
	if !(t >= 0 && t <= 350 && P <= 100 && p >= boilingPressure(t)) {
		return waterState{none, none, none, none}
	}
	a, b := 7.1-P/region1P, region1T/T-1.222
	var pi [33]float64
	pi[0] = 1
	for i := 1; i < len(pi); i++ {
		pi[i] = pi[i-1] * a
	}
	var tau [region1Most - region1Lowest + 1]float64
	const zero = -region1Lowest
	tau[zero] = 1
	for i := zero + 1; i < len(tau); i++ {
		tau[i] = tau[i-1] * b
	}
	inverse := 1 / b
	for i := zero - 1; i >= 0; i-- {
		tau[i] = tau[i+1] * inverse
	}
	var byPressure, byTime, twice float64 // derivatives of the free energy by pi, tau, tau twice
	for k := range region1 {
		c := &region1[k]
		if c.i > 0 {
			byPressure -= float64(c.n * float64(c.i) * pi[c.i-1] * tau[zero+c.j])
		}
		j := float64(c.j)
		byTime += float64(c.n * pi[c.i] * j * tau[zero+c.j-1])
		twice += float64(c.n * pi[c.i] * j * (j - 1) * tau[zero+c.j-2])
	}
	x := region1T / T
	v := P / region1P * byPressure * waterGas * T / P / 1000
	return waterState{Density: 1 / v, Volume: v, Enthalpy: x * byTime * waterGas * T, HeatCap: -x * x * twice * waterGas}
}

// region4 are the coefficients of IAPWS R7-97(2012), table 34.
var region4 = [...]float64{
	0.11670521452767e4, -0.72421316703206e6, -0.17073846940092e2, 0.12020824702470e5, -0.32325550322333e7,
	0.14915108613530e2, -0.48232657361591e4, 0.40511340542057e6, -0.23855557567849, 0.65017534844798e3,
}

// boilingPressure is the absolute pressure at which water boils at t (IAPWS
// R7-97(2012), equation 30), from 0 to 373.946 degrees C; NaN outside.
func boilingPressure(t celsius) bar {
	if !(t >= 0 && t <= 373.946) {
		return bar(none)
	}
	n := &region4
	T := kelvin0 + float64(t)
	x := T + n[8]/(T-n[9])
	a := float64(x*x) + float64(n[0]*x) + n[1]
	b := float64(n[2]*x*x) + float64(n[3]*x) + n[4]
	c := float64(n[5]*x*x) + float64(n[6]*x) + n[7]
	y := 2 * c / (-b + math.Sqrt(float64(b*b)-float64(4*a*c)))
	return bar(10 * y * y * y * y)
}

// expansion is by how much of itself water grows from cold to hot at the absolute
// pressure p: density cold over density hot, less 1.
func expansion(cold, hot celsius, p bar) float64 {
	return water(cold, p).Density/water(hot, p).Density - 1
}

// head is the pressure of a column of water of a height in metres at t, in bar
// above the air.
func head(height float64, t celsius) bar {
	return bar(water(t, atmosphere).Density * gravity * height / 1e5)
}

// systemPressure is the absolute pressure for which the density of water in a
// heating system is worked out; it hardly matters (5e-5 a bar).
const systemPressure = 2.5

const iapws = "IAPWS R7-97(2012), region 1"

var hotWaterUnderPressure = Caution{signal.Warning, "Water in a heating system is hot and under pressure: let it cool and release the pressure before opening a joint, a valve or the vessel's connection."}

const (
	waterAt = iota
	waterPressure
)

func waterAbsolute(v *values) (celsius, bar) {
	return celsius(v.x[waterAt]), bar(v.x[waterPressure] + atmosphere)
}

func waterModel(name, about string, k units.Kind, unit string, also []string, get func(waterState) float64) *Model {
	return &Model{
		Name: name, About: about, Also: also,
		Keys: []Key{
			{Name: "at", Also: []string{"temperature", "t", "water"}, About: "temperature of the water", Kind: units.Temperature, Unit: "C", Low: 0, High: 350, Default: none},
			{Name: "pressure", Also: []string{"p"}, About: "pressure above the air", Kind: units.Pressure, Unit: "bar", Low: -atmosphere, High: 999, Default: 0},
		},
		Kind: k, Unit: unit, Source: iapws,
		predict: func(v *values) float64 {
			t, p := waterAbsolute(v)
			return get(water(t, p))
		},
		check: func(v *values) error {
			t, p := waterAbsolute(v)
			if boil := boilingPressure(t); p < boil {
				return fmt.Errorf("at %s C water boils below %s bar above the air: raise the pressure or lower the temperature", figure(float64(t)), figure(float64(boil)-atmosphere))
			}
			return nil
		},
		formula: func(v *values, y float64) string {
			t, p := waterAbsolute(v)
			return fmt.Sprintf("%s(%s C, %s bar abs) = %s %s", name, figure(float64(t)), figure(float64(p)), figure(y), unit)
		},
		more: func(v *values, _ float64) []Detail {
			t, p := waterAbsolute(v)
			w := water(t, p)
			return []Detail{{"density", w.Density, "kg/m3"}, {"specific enthalpy", w.Enthalpy, "kJ/kg"}, {"specific heat", w.HeatCap, "kJ/(kg K)"},
				{"specific volume", w.Volume, "m3/kg"}}
		},
		card: &cardPlan{key: waterAt, from: 0, to: 95, step: 5},
	}
}

const (
	expansionVolume = iota
	expansionCold
	expansionHot
	expansionPressure
)

// The keys of water that is heated in a system.
func coldKey() Key {
	return Key{Name: "cold", About: "temperature of the water when cold", Kind: units.Temperature, Unit: "C", Low: 0, High: 120, Default: 10,
		Given: Spread{Half: 2}, Assumed: Spread{Half: 5}}
}

func hotKey() Key {
	return Key{Name: "hot", About: "mean temperature of the water when hot", Kind: units.Temperature, Unit: "C", Low: 0, High: 140, Default: 70,
		Given: Spread{Half: 2}, Assumed: Spread{Half: 10}}
}

func systemVolumeKey() Key {
	return Key{Name: "volume", Also: []string{"system", "system-volume"}, About: "water in the whole system", Kind: units.Volume, Unit: "l", Low: 1, High: 1e6, Default: 100,
		Given: Spread{Relative: 0.2}, Assumed: Spread{Relative: 0.3}}
}

func hotterThanCold(cold, hot int) func(v *values) error {
	return func(v *values) error {
		if v.known(cold) && v.known(hot) && v.x[hot] < v.x[cold] {
			return fmt.Errorf("hot (%s C) is colder than cold (%s C): swap them", figure(v.x[hot]), figure(v.x[cold]))
		}
		return nil
	}
}

const (
	riseHead = iota
	risePosition
	riseWater
)

var waterModels = []*Model{
	{
		Name: "pump-start", Also: []string{"pump-rise", "pump-pressure"}, About: "by how much the pressure at a sensor rises when the pump starts",
		Keys: []Key{
			{Name: "head", Also: []string{"pump-head"}, About: "head of the pump at its working point", Kind: units.Length, Unit: "m", Low: 0, High: 100, Default: none, Given: Spread{Relative: 0.15}},
			{Name: "position", Also: []string{"sensor", "where"}, About: "of the sensor: discharge (all of the head), vessel or suction (none of it), or the share in between", Kind: units.Share, Unit: "%", Low: 0, High: 100, Default: 50,
				Assumed:   Spread{Half: 50},
				Nicknames: map[string]string{"discharge": "100", "after": "100", "outlet": "100", "vessel": "0", "suction": "0", "inlet": "0", "before": "0", "neutral": "0"}},
			{Name: "water", Also: []string{"at", "temperature"}, About: "temperature of the water", Kind: units.Temperature, Unit: "C", Low: 0, High: 99, Default: 40, Assumed: Spread{Half: 20}},
		},
		Kind: units.Pressure, Unit: "bar", Meter: Spread{Half: 0.02}, Source: "hydrostatics: the pressure where the vessel is connected does not change, and behind the pump it is higher by its head; vessel on the suction side assumed",
		Cautions: []Caution{hotWaterUnderPressure},
		predict: func(v *values) float64 {
			return float64(head(v.x[riseHead], celsius(v.x[riseWater]))) * v.x[risePosition] / 100
		},
		tolerance: func(_ *values, y float64) float64 { return 0.1 * y },
		formula: func(v *values, y float64) string {
			return fmt.Sprintf("dp = rho g H x share = %s bar x %s%% = %s bar", figure(float64(head(v.x[riseHead], celsius(v.x[riseWater])))), figure(v.x[risePosition]), figure(y))
		},
		remark: func(_ *Judgement, v *values) string {
			switch {
			case !v.given[risePosition]:
				return "only a sensor on the discharge side of the pump sees a rise; one at the vessel or before the pump sees none, and that is healthy: find out where it sits"
			case v.x[risePosition] == 0:
				return "here the pressure does not move when the pump starts; that says nothing about the pump or the sensor"
			}
			return ""
		},
		card: &cardPlan{key: riseHead, from: 1, to: 8, step: 0.5},
	},
	waterModel("water-density", "density of water", units.Density, "kg/m3", nil, func(w waterState) float64 { return w.Density }),
	waterModel("water-enthalpy", "specific enthalpy of water", units.Enthalpy, "kJ/kg", nil, func(w waterState) float64 { return w.Enthalpy }),
	waterModel("water-heat", "heat that a litre of water holds per kelvin: kW for 1 l/s and 1 K", units.HeatCapacity, "kJ/(l K)",
		[]string{"water-heat-capacity", "water-capacity"}, func(w waterState) float64 { return w.Density * w.HeatCap / 1000 }),
	{
		Name: "water-boiling", Also: []string{"saturation", "boiling", "water-saturation"}, About: "absolute pressure at which water boils, and the temperature for a pressure",
		Keys: []Key{{Name: "at", Also: []string{"temperature", "t", "water"}, About: "temperature of the water", Kind: units.Temperature, Unit: "C", Low: 0, High: 370, Default: none}},
		Kind: units.Pressure, Unit: "bara", Meter: Spread{Half: 0.02}, reverse: []int{0}, Source: "IAPWS R7-97(2012), region 4", Cautions: []Caution{hotWaterUnderPressure},
		predict: func(v *values) float64 { return float64(boilingPressure(celsius(v.x[0]))) - atmosphere },
		formula: func(v *values, y float64) string {
			return fmt.Sprintf("ps(%s C) = %s bar abs = %s bar above the air", figure(v.x[0]), figure(y+atmosphere), figure(y))
		},
		card: &cardPlan{key: 0, from: 60, to: 130, step: 5},
	},
	{
		Name: "expansion", About: "by how much water grows when it is heated", Also: []string{"expansion-volume", "water-expansion"},
		Keys: []Key{systemVolumeKey(), coldKey(), hotKey(),
			{Name: "pressure", About: "pressure above the air", Kind: units.Pressure, Unit: "bar", Low: 0, High: 100, Default: systemPressure - 1}},
		Kind: units.Volume, Unit: "l", Source: iapws, Cautions: []Caution{hotWaterUnderPressure},
		check: func(v *values) error {
			if boil := boilingPressure(celsius(v.x[expansionHot])); bar(v.x[expansionPressure]+atmosphere) < boil {
				return fmt.Errorf("at %s C water boils below %s bar above the air: give a higher pressure", figure(v.x[expansionHot]), figure(float64(boil)-atmosphere))
			}
			return hotterThanCold(expansionCold, expansionHot)(v)
		},
		predict: func(v *values) float64 { return v.x[expansionVolume] * expansionShare(v) },
		formula: func(v *values, y float64) string {
			p := bar(v.x[expansionPressure] + atmosphere)
			return fmt.Sprintf("Ve = V(rho cold/rho hot - 1) = %s(%s/%s - 1) = %s l", figure(v.x[expansionVolume]),
				figure(water(celsius(v.x[expansionCold]), p).Density), figure(water(celsius(v.x[expansionHot]), p).Density), figure(y))
		},
		more: func(v *values, _ float64) []Detail { return []Detail{{"expansion", 100 * expansionShare(v), "%"}} },
		card: &cardPlan{key: expansionHot, from: 40, to: 90, step: 5},
	},
	{
		Name: "static-head", Also: []string{"head"}, About: "pressure of a column of water, and the height for a pressure",
		Keys: []Key{
			{Name: "height", Also: []string{"h"}, About: "from the gauge to the highest water", Kind: units.Length, Unit: "m", Low: 0, High: 1000, Default: none, Given: Spread{Half: 0.1}},
			{Name: "water", Also: []string{"at", "temperature"}, About: "temperature of the water", Kind: units.Temperature, Unit: "C", Low: 0, High: 99, Default: 10, Given: Spread{Half: 2}, Assumed: Spread{Half: 10}},
		},
		Kind: units.Pressure, Unit: "bar", Meter: Spread{Half: 0.05}, reverse: []int{0}, Source: "hydrostatics with the density of " + iapws,
		Cautions: []Caution{hotWaterUnderPressure},
		predict:  func(v *values) float64 { return float64(head(v.x[0], celsius(v.x[1]))) },
		formula: func(v *values, y float64) string {
			return fmt.Sprintf("p = rho g h = %s x 9.80665 x %s / 1e5 = %s bar", figure(water(celsius(v.x[1]), atmosphere).Density), figure(v.x[0]), figure(y))
		},
		card: &cardPlan{key: 0, from: 1, to: 20, step: 1},
	},
	{
		Name: "cold-fill", Also: []string{"fill-pressure"}, About: "fill pressure of a cold sealed system over its height",
		Keys: []Key{
			{Name: "height", Also: []string{"h"}, About: "from the gauge to the highest water", Kind: units.Length, Unit: "m", Low: 0, High: 100, Default: none, Given: Spread{Half: 0.3}},
			{Name: "water", Also: []string{"at", "temperature"}, About: "temperature of the water", Kind: units.Temperature, Unit: "C", Low: 0, High: 99, Default: 10, Assumed: Spread{Half: 10}},
			{Name: "margin", About: "over the static head: 0.2 bar for the pre-charge and 0.3 more for the fill", Kind: units.Pressure, Unit: "bar", Low: 0, High: 5, Default: 0.5},
		},
		Kind: units.Pressure, Unit: "bar", Meter: Spread{Half: 0.05},
		Source: "EN 12828 Annex D in outline: static head and margins, from memory; the maker's figure comes first", Cautions: []Caution{hotWaterUnderPressure},
		predict: func(v *values) float64 { return float64(head(v.x[0], celsius(v.x[1]))) + v.x[2] },
		tolerance: func(*values, float64) float64 {
			const eitherWay = 0.2 // common practice
			return eitherWay
		},
		formula: func(v *values, y float64) string {
			return fmt.Sprintf("p = rho g h + margin = %s + %s = %s bar", figure(float64(head(v.x[0], celsius(v.x[1])))), figure(v.x[2]), figure(y))
		},
		more: func(v *values, _ float64) []Detail {
			head := float64(head(v.x[0], celsius(v.x[1])))
			return []Detail{{"static head", head, "bar"}, {"pre-charge of the vessel, at least", head + 0.2, "bar"}}
		},
		card: &cardPlan{key: 0, from: 1, to: 20, step: 1},
	},
}

func expansionShare(v *values) float64 {
	return expansion(celsius(v.x[expansionCold]), celsius(v.x[expansionHot]), bar(v.x[expansionPressure]+atmosphere))
}
