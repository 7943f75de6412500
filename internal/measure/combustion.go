package measure

import (
	"fmt"
	"math"

	"kg/internal/signal"
	"kg/internal/units"
)

// airOxygen is the oxygen in dry air, in per cent.
const airOxygen = 20.95

// fuel is a hydrocarbon, or a mixture of some, by what 1 mol of it holds.
type fuel struct {
	Carbon, Hydrogen float64 // atoms
	Inert            float64 // mol of what does not burn, but carbon dioxide
	Dioxide          float64 // mol of carbon dioxide
}

// oxygen is the mol of oxygen that it needs.
func (f fuel) oxygen() float64 { return f.Carbon + float64(f.Hydrogen/4) }

// air is the mol of dry air that it needs.
func (f fuel) air() float64 { return f.oxygen() * 100 / airOxygen }

// dry is the mol of dry flue gas without any air to spare.
func (f fuel) dry() float64 {
	return f.Carbon + f.Dioxide + f.Inert + f.air() - f.oxygen()
}

// mostDioxide is the carbon dioxide in its dry flue gas without any air to spare, in
// per cent: the most that there can be.
func (f fuel) mostDioxide() float64 { return 100 * (f.Carbon + f.Dioxide) / f.dry() }

// dioxideAt is the carbon dioxide at an oxygen content of the dry flue gas, both in
// per cent: dilution.
func (f fuel) dioxideAt(oxygen float64) float64 {
	return f.mostDioxide() * (airOxygen - oxygen) / airOxygen
}

// airRatio is lambda, the air over the air that is needed, at an oxygen content of
// the dry flue gas in per cent: 1 + (dry/air) O2/(20.95 - O2), exact for complete
// combustion in dry air; 0.895 is that of methane. At 20.95 it is infinite.
func (f fuel) airRatio(oxygen float64) float64 {
	return 1 + f.dry()/f.air()*oxygen/(airOxygen-oxygen)
}

// airFree is what a concentration of carbon monoxide would be without any air to
// spare, at an oxygen content of the dry flue gas in per cent.
func airFree(monoxide, oxygen float64) float64 { return monoxide * airOxygen / (airOxygen - oxygen) }

// loss is the loss in the dry flue gas in per cent of the net heat input:
// (t flue - t air)(A2/(21 - O2) + B), O2 in per cent. It holds while nothing
// condenses.
func (s siegert) loss(flue, air celsius, oxygen float64) float64 {
	return float64(flue-air) * (s.a2/(21-oxygen) + s.b)
}

// siegert are the coefficients of the first ordinance to Germany's Immission
// Control Act (1. BImSchV), by a secondary copy.
type siegert struct{ a1, a2, b float64 }

type fuelKind struct {
	name string
	fuel
	siegert
}

var gasSiegert, lpgSiegert, oilSiegert = siegert{0.37, 0.66, 0.009}, siegert{0.42, 0.63, 0.008}, siegert{0.50, 0.68, 0.007}

// fuelKinds: natural-gas is burnt as methane is, as test gas G20 of EN 437 and
// EN 15502 have it; uk-gas is an illustrative mixture (CH4 92.5, C2H6 4.5, C3H8 1,
// C4H10 0.3, CO2 0.8, N2 0.9 per cent); oil is taken as CH1.85, from memory.
var fuelKinds = []fuelKind{
	{"natural-gas", fuel{Carbon: 1, Hydrogen: 4}, gasSiegert},
	{"methane", fuel{Carbon: 1, Hydrogen: 4}, gasSiegert},
	{"uk-gas", fuel{
		Carbon:   0.925 + 2*0.045 + 3*0.01 + 4*0.003,
		Hydrogen: 4*0.925 + 6*0.045 + 8*0.01 + 10*0.003,
		Inert:    0.009, Dioxide: 0.008,
	}, gasSiegert},
	{"lpg", fuel{Carbon: 3, Hydrogen: 8}, lpgSiegert},
	{"propane", fuel{Carbon: 3, Hydrogen: 8}, lpgSiegert},
	{"butane", fuel{Carbon: 4, Hydrogen: 10}, lpgSiegert},
	{"oil", fuel{Carbon: 1, Hydrogen: 1.85}, oilSiegert},
}

func fuelKey() Key {
	k := Key{Name: "fuel", Also: []string{"gas"}, About: "what is burnt", Kind: units.Word, Default: 0, Nicknames: fuelNicknames()}
	for _, f := range fuelKinds {
		k.Words = append(k.Words, f.name)
	}
	return k
}

func oxygenKey(optional bool) Key {
	return Key{Name: "oxygen", Also: []string{"o2"}, About: "in the dry flue gas", Kind: units.Share, Unit: "%", Low: 0, High: 20.9, Default: none, Optional: optional, Given: Spread{Half: 0.2}}
}

func dioxideKey(optional bool) Key {
	return Key{Name: "co2", Also: []string{"dioxide"}, About: "carbon dioxide in the dry flue gas", Kind: units.Share, Unit: "%", Low: 0.01, High: 20, Default: none, Optional: optional, Given: Spread{Half: 0.3}}
}

func monoxideKey() Key {
	return Key{Name: "co", Also: []string{"monoxide"}, About: "carbon monoxide in the dry flue gas", Kind: units.Concentration, Unit: "ppm", Low: 0, High: 1e5, Default: none, Given: Spread{Half: 5, Relative: 0.05}}
}

var combustionLicensed = Caution{signal.Danger, "Carbon monoxide kills. Combustion is judged and set only by people licensed for it, with an analyser in calibration; a high figure with people about: shut down, open up, get out."}

const licensed = "; the maker's figures come first"

const (
	lossFlue = iota
	lossAir
	lossOxygen
	lossFuel
	lossDioxide
)

func fuelOf(v *values, key int) *fuelKind {
	return &fuelKinds[min(max(int(v.x[key]), 0), len(fuelKinds)-1)]
}

func fuelByOxygen(v *values, oxygen, dioxide, fuel int) error {
	switch {
	case v.known(oxygen) == v.known(dioxide):
		return fmt.Errorf("give oxygen or co2, one of the two, like oxygen=5%%")
	case v.known(dioxide) && v.x[dioxide] > fuelOf(v, fuel).mostDioxide():
		return fmt.Errorf("%s%% carbon dioxide is more than %s can make, %.4g%%: check the fuel and the analyser", figure(v.x[dioxide]), fuelOf(v, fuel).name, fuelOf(v, fuel).mostDioxide())
	}
	return nil
}

const (
	ratioCO = iota
	ratioCO2
)

const (
	airOxygenKey = iota
	airFuelKey
	airMethod
)

const (
	freeCO = iota
	freeOxygen
	freeFuel
	freeDioxide
)

func freeOxygenOf(v *values) float64 {
	if v.known(freeOxygen) {
		return v.x[freeOxygen]
	}
	return airOxygen * (1 - v.x[freeDioxide]/fuelOf(v, freeFuel).mostDioxide())
}

func airRatio(v *values) float64 {
	if v.x[airMethod] > 0 {
		return airOxygen / (airOxygen - v.x[airOxygenKey])
	}
	return fuelOf(v, airFuelKey).airRatio(v.x[airOxygenKey])
}

var combustionModels = []*Model{
	{
		Name: "flue-loss", Also: []string{"siegert"}, About: "heat lost in dry flue gas by Siegert's formula, of the net input; while nothing condenses",
		Keys: []Key{
			{Name: "flue", Also: []string{"flue-temperature"}, About: "temperature of the flue gas", Kind: units.Temperature, Unit: "C", Low: 60, High: 600,
				Beyond: "near and below its dew point flue gas condenses and Siegert's formula does not hold", Default: none, Given: Spread{Half: 2}},
			{Name: "air", Also: []string{"ambient"}, About: "temperature of the combustion air", Kind: units.Temperature, Unit: "C", Low: -30, High: 60, Default: 20, Given: pipeProbe, Assumed: someRoom},
			oxygenKey(true), fuelKey(), dioxideKey(true),
		},
		Kind: units.Share, Unit: "%", Meter: Spread{Half: 0.3}, Source: "1. BImSchV, method; coefficients by a secondary copy" + licensed, Cautions: []Caution{combustionLicensed, hotSurfaces},
		check: func(v *values) error { return fuelByOxygen(v, lossOxygen, lossDioxide, lossFuel) },
		predict: func(v *values) float64 {
			f := fuelOf(v, lossFuel)
			if v.known(lossDioxide) {
				return (v.x[lossFlue] - v.x[lossAir]) * (f.a1/v.x[lossDioxide] + f.b)
			}
			return f.loss(celsius(v.x[lossFlue]), celsius(v.x[lossAir]), v.x[lossOxygen])
		},
		tolerance: func(*values, float64) float64 { return 0.5 },
		formula: func(v *values, y float64) string {
			f := fuelOf(v, lossFuel)
			if v.known(lossDioxide) {
				return fmt.Sprintf("qA = (tA - tL)(A1/CO2 + B) = (%s - %s)(%s/%s + %s) = %s%%", figure(v.x[lossFlue]), figure(v.x[lossAir]), figure(f.a1), figure(v.x[lossDioxide]), figure(f.b), figure(y))
			}
			return fmt.Sprintf("qA = (tA - tL)(A2/(21 - O2) + B) = (%s - %s)(%s/(21 - %s) + %s) = %s%%", figure(v.x[lossFlue]), figure(v.x[lossAir]), figure(f.a2), figure(v.x[lossOxygen]), figure(f.b), figure(y))
		},
		more: func(_ *values, y float64) []Detail { return []Detail{{"efficiency, net", 100 - y, "%"}} },
		card: &cardPlan{key: lossFlue, from: 60, to: 260, step: 10},
	},
	{
		Name: "excess-air", Also: []string{"lambda", "air-ratio"}, About: "air over the air that is needed (lambda), from oxygen in dry flue gas",
		Keys: []Key{oxygenKey(false), fuelKey(), {Name: "method", About: "exact by the fuel, or 20.95/(20.95 - O2)", Kind: units.Word, Words: []string{"exact", "simple"}, Default: 0}},
		Kind: units.Number, Unit: "-", ReadsAlso: []string{"lambda"}, Meter: Spread{Half: 0.02}, Source: "stoichiometry, dry air with 20.95% oxygen", Cautions: []Caution{combustionLicensed},
		predict:   airRatio,
		tolerance: func(_ *values, y float64) float64 { return 0.01 * y },
		formula: func(v *values, y float64) string {
			o := figure(v.x[airOxygenKey])
			if v.x[airMethod] > 0 {
				return fmt.Sprintf("lambda = 20.95/(20.95 - %s) = %s", o, figure(y))
			}
			f := fuelOf(v, airFuelKey)
			return fmt.Sprintf("lambda = 1 + %.4g x O2/(20.95 - O2) = 1 + %.4g x %s/(20.95 - %s) = %s", f.dry()/f.air(), f.dry()/f.air(), o, o, figure(y))
		},
		more: func(v *values, y float64) []Detail {
			return []Detail{{"excess air", 100 * (y - 1), "%"}, {"carbon dioxide", fuelOf(v, airFuelKey).dioxideAt(v.x[airOxygenKey]), "%"}}
		},
		card: &cardPlan{key: airOxygenKey, from: 0, to: 10, step: 0.5},
	},
	{
		Name: "flue-co2", Also: []string{"co2", "carbon-dioxide"}, About: "carbon dioxide in dry flue gas from its oxygen, as a check of an analyser",
		Keys: []Key{oxygenKey(false), fuelKey()},
		Kind: units.Share, Unit: "%", ReadsAlso: []string{"co2"}, Meter: Spread{Half: 0.3}, reverse: []int{0}, Source: "stoichiometry and dilution with dry air", Cautions: []Caution{combustionLicensed},
		predict:   func(v *values) float64 { return fuelOf(v, 1).dioxideAt(v.x[0]) },
		tolerance: func(*values, float64) float64 { return 0.1 },
		state: func(v *values, reads float64) (Verdict, string) {
			if most := fuelOf(v, 1).mostDioxide(); reads > most+0.3 {
				return Impossible, fmt.Sprintf("%s cannot make more than %.4g%%: check the fuel and the analyser", fuelOf(v, 1).name, most)
			}
			return Unjudged, ""
		},
		formula: func(v *values, y float64) string {
			return fmt.Sprintf("CO2 = CO2max(20.95 - O2)/20.95 = %.5g(20.95 - %s)/20.95 = %s%%", fuelOf(v, 1).mostDioxide(), figure(v.x[0]), figure(y))
		},
		more: func(v *values, _ float64) []Detail { return []Detail{{"the most", fuelOf(v, 1).mostDioxide(), "%"}} },
		card: &cardPlan{key: 0, from: 0, to: 10, step: 0.5},
	},
	{
		Name: "co2-max", About: "the most carbon dioxide that a fuel's dry flue gas can hold", Also: []string{"co2max"},
		Keys: []Key{fuelKey()}, Kind: units.Share, Unit: "%", Meter: Spread{Half: 0.3}, Source: "stoichiometry, dry air with 20.95% oxygen", Cautions: []Caution{combustionLicensed},
		predict: func(v *values) float64 { return fuelOf(v, 0).mostDioxide() },
		limits:  func(v *values) (float64, float64) { return 0, fuelOf(v, 0).mostDioxide() },
		formula: func(v *values, y float64) string {
			f := fuelOf(v, 0)
			return fmt.Sprintf("n/(n + (n + m/4)(1 - 0.2095)/0.2095) with n = %s, m = %s: %s%%", figure(f.Carbon), figure(f.Hydrogen), figure(y))
		},
	},
	{
		Name: "co-ratio", Also: []string{"combustion-ratio", "co/co2"}, About: "ratio of carbon monoxide to carbon dioxide",
		Keys: []Key{monoxideKey(), dioxideKey(false),
			{Name: "limit", About: "highest ratio allowed", Kind: units.Number, Unit: "-", Low: 1e-5, High: 0.1, Default: 0.004}},
		Kind: units.Number, Unit: "-", ReadsAlso: []string{"ratio"}, derived: true,
		Source: "definition; limit 0.004 for commissioning and servicing of condensing boilers, from memory" + licensed, Edition: "BS 7967:2015 (from memory)", Cautions: []Caution{combustionLicensed},
		predict: func(v *values) float64 { return v.x[ratioCO] / (v.x[ratioCO2] * 10000) },
		limits:  func(v *values) (float64, float64) { return 0, v.x[2] },
		state: func(v *values, reads float64) (Verdict, string) {
			if v.x[ratioCO2] > 16 || reads < 0 {
				return Impossible, "no fuel here makes that much carbon dioxide: check the analyser"
			}
			return Unjudged, ""
		},
		formula: func(v *values, y float64) string {
			return fmt.Sprintf("CO/CO2 = %s ppm/(%s%% x 10000) = %s", figure(v.x[ratioCO]), figure(v.x[ratioCO2]), figure(y))
		},
	},
	{
		Name: "co-air-free", Also: []string{"air-free", "air-free-co"}, About: "carbon monoxide as it would be without excess air",
		Keys: []Key{monoxideKey(), oxygenKey(true), fuelKey(), dioxideKey(true)},
		Kind: units.Concentration, Unit: "ppm", derived: true, Source: "dilution with dry air of 20.95% oxygen" + licensed, Cautions: []Caution{combustionLicensed},
		check: func(v *values) error { return fuelByOxygen(v, freeOxygen, freeDioxide, freeFuel) },
		predict: func(v *values) float64 {
			return airFree(v.x[freeCO], freeOxygenOf(v))
		},
		formula: func(v *values, y float64) string {
			return fmt.Sprintf("CO x 20.95/(20.95 - O2) = %s x 20.95/(20.95 - %s) = %s ppm", figure(v.x[freeCO]), figure(freeOxygenOf(v)), figure(y))
		},
		card: &cardPlan{key: freeOxygen, from: 0, to: 14, step: 1},
	},
	{
		Name: "co-alarm", About: "minutes within which a carbon monoxide alarm has to sound",
		Keys: []Key{{Name: "co", Also: []string{"monoxide"}, About: "carbon monoxide in the room: 30, 50, 100 or 300 ppm", Kind: units.Concentration, Unit: "ppm", Low: 30, High: 300, Default: none}},
		Kind: units.Duration, Unit: "min", ReadsAlso: []string{"after"}, Source: "EN 50291-1, table of alarm conditions", Edition: "EN 50291-1 (30 ppm: not before 120 min; 50: 60 to 90; 100: 10 to 40; 300: before 3)",
		Cautions: []Caution{{signal.Danger, "An alarm that sounds is carbon monoxide until it is shown not to be: get out, open up, do not go back to test it."}},
		check: func(v *values) error {
			if _, _, ok := alarmWindow(v.x[0]); !ok {
				return fmt.Errorf("the standard has windows for 30, 50, 100 and 300 ppm only: choose one of them")
			}
			return nil
		},
		predict: func(v *values) float64 {
			low, high, _ := alarmWindow(v.x[0])
			if math.IsInf(high, 1) {
				return 60 * low
			}
			return 60 * high
		},
		limits: func(v *values) (float64, float64) {
			low, high, _ := alarmWindow(v.x[0])
			return 60 * low, 60 * high
		},
		formula: func(v *values, _ float64) string {
			low, high, _ := alarmWindow(v.x[0])
			if math.IsInf(high, 1) {
				return fmt.Sprintf("at %s ppm not before %s min", figure(v.x[0]), figure(low))
			}
			return fmt.Sprintf("at %s ppm between %s and %s min", figure(v.x[0]), figure(low), figure(high))
		},
	},
}

// alarmWindow is the range in minutes within which an alarm has to sound at one of
// the concentrations in ppm that EN 50291-1 tests it at; high is infinite where it
// must not sound before low, and no more is asked. ok is false for any other
// concentration.
func alarmWindow(ppm float64) (low, high float64, ok bool) {
	switch ppm {
	case 30:
		return 120, math.Inf(1), true
	case 50:
		return 60, 90, true
	case 100:
		return 10, 40, true
	case 300:
		return 0, 3, true
	}
	return 0, 0, false
}

// fuelNicknames are those of gases, but for fuels that have their own entry.
func fuelNicknames() map[string]string {
	out := map[string]string{}
	for nick, name := range gasNicknames {
		if nick != "methane" {
			out[nick] = name
		}
	}
	return out
}
