package measure

import (
	"fmt"
	"math"

	"kg/internal/signal"
	"kg/internal/units"
)

// conductorAreas are nominal cross-sections in mm² with the highest resistances at
// 20 degrees C of plain copper, in ohms per kilometre (IEC 60228, tables 1 to 3;
// those below 16 mm² by a stored copy in part, the rest from memory). NaN where
// there is none.
var conductorAreas = []struct{ area, class1, class2, class5 float64 }{
	{0.5, 36.0, 36.0, 39.0},
	{0.75, 24.5, 24.5, 26.0},
	{1, 18.1, 18.1, 19.5},
	{1.5, 12.1, 12.1, 13.3},
	{2.5, 7.41, 7.41, 7.98},
	{4, 4.61, 4.61, 4.95},
	{6, 3.08, 3.08, 3.30},
	{10, 1.83, 1.83, 1.91},
	{16, 1.15, 1.15, 1.21},
	{25, 0.727, 0.727, 0.780},
	{35, 0.524, 0.524, 0.554},
	{50, 0.387, 0.387, 0.386},
	{70, 0.268, 0.268, 0.272},
	{95, 0.193, 0.193, 0.206},
	{120, 0.153, 0.153, 0.161},
}

// conductorResistance is the highest resistance at 20 degrees C, in ohms per
// kilometre, of a copper conductor of a nominal cross-section in mm² and class 1,
// 2, 5 or 6 (IEC 60228); NaN for one that the standard has not.
func conductorResistance(area float64, class int) float64 {
	for _, c := range conductorAreas {
		if math.Abs(c.area-area) < 1e-9 {
			switch class {
			case 1:
				return c.class1
			case 2:
				return c.class2
			case 5, 6: // the same for plain wires
				return c.class5
			}
		}
	}
	return none
}

// copperTo20 is the factor that brings a resistance of copper at t to 20 degrees C
// (IEC 60228, annex A): 250/(230 + t).
func copperTo20(t celsius) float64 { return 250 / (230 + float64(t)) }

// loadPower is what a supply's voltage and a current carry, at unity power factor.
func loadPower(volts, amperes float64) kilowatt { return kilowatt(volts * amperes / 1000) }

var (
	deadWorking = Caution{signal.Danger, "Isolate, lock off and prove dead with an approved tester before measuring resistance; wait for capacitors to discharge."}
	liveWorking = Caution{signal.Danger, "This is measured live: it can kill. Only by someone competent, with leads and a tester for the voltage (GS38, CAT III or better), where it cannot be done dead."}
	conductorW  = []string{"1", "2", "5", "6"}
)

const (
	copperArea = iota
	copperClass
	copperLength
	copperAt
	copperCores
)

func conductorOf(v *values) float64 {
	class := [...]int{1, 2, 5, 6}[min(max(int(v.x[copperClass]), 0), 3)]
	return conductorResistance(v.x[copperArea], class) * v.x[copperLength] / 1000 * v.x[copperCores] / copperTo20(celsius(v.x[copperAt]))
}

var electricModels = []*Model{
	{
		Name: "conductor", Also: []string{"cable", "wire"}, About: "highest resistance of a copper conductor",
		Keys: []Key{
			{Name: "area", Also: []string{"size", "section", "csa"}, About: "nominal cross-section", Kind: units.Section, Unit: "mm2", Low: 0.5, High: 120, Default: none},
			{Name: "class", About: "1 solid, 2 stranded, 5 flexible, 6 very flexible", Kind: units.Word, Words: conductorW, Default: 1},
			{Name: "length", Also: []string{"l"}, About: "of the conductor, out and back counted both ways", Kind: units.Length, Unit: "m", Low: 0.01, High: 1e5, Default: 1000, Given: Spread{Relative: 0.02}},
			{Name: "at", Also: []string{"temperature", "t"}, About: "temperature of the conductor", Kind: units.Temperature, Unit: "C", Low: -40, High: 200, Default: 20, Given: Spread{Half: 2}, Assumed: someRoom},
			{Name: "cores", Also: []string{"ways"}, About: "how often the length counts: 2 for out and back of a cable's length", Kind: units.Number, Unit: "-", Low: 1, High: 2, Default: 1},
		},
		Kind: units.Resistance, Unit: "ohm", Meter: Spread{Half: 0.05, Relative: 0.005}, Source: "IEC 60228:2004, tables 1 to 3 and annex A (sizes from 10 mm2 from memory)", Edition: "IEC 60228:2004",
		Cautions: []Caution{deadWorking},
		check: func(v *values) error {
			if !math.IsNaN(conductorOf(v)) {
				return nil
			}
			var sizes []string
			for _, c := range conductorAreas {
				sizes = append(sizes, figure(c.area))
			}
			return fmt.Errorf("there is no copper conductor of %s mm2: it is one of %s", figure(v.x[copperArea]), joined(sizes))
		},
		predict: conductorOf,
		limits:  func(v *values) (float64, float64) { return 0, conductorOf(v) },
		formula: func(v *values, y float64) string {
			return fmt.Sprintf("R = R20 l (230 + t)/250 = %s ohm/km x %s km x (230 + %s)/250 = at most %s ohm", figure(conductorOf(v)/v.x[copperLength]/v.x[copperCores]*1000*copperTo20(celsius(v.x[copperAt]))),
				figure(v.x[copperLength]*v.x[copperCores]/1000), figure(v.x[copperAt]), figure(y))
		},
		more: func(v *values, _ float64) []Detail {
			k := copperTo20(celsius(v.x[copperAt]))
			return []Detail{{"factor to 20 C", k, "-"}, {"at 20 C", conductorOf(v) * k, "ohm"}, {"at 20 C, of one", conductorOf(v) * k / v.x[copperLength] / v.x[copperCores] * 1000, "ohm/km"}}
		},
		remark: func(j *Judgement, v *values) string {
			if j.Verdict == High {
				return "more than the standard allows: look for a bad joint, a thinner or longer wire than was said, or broken strands"
			}
			return "the standard has a highest value only; a healthy wire is a few per cent below it"
		},
		card: &cardPlan{key: copperLength, from: 5, to: 100, step: 5},
	},
	{
		Name: "insulation", Also: []string{"insulation-resistance", "ir"}, About: "insulation resistance of a circuit against the lowest allowed",
		Keys: []Key{{Name: "circuit", Also: []string{"system"}, About: "kind of circuit: tested with 250, 500 or 1000 V d.c.", Kind: units.Word, Words: []string{"selv", "low-voltage", "above-500v"}, Default: 1,
			Nicknames: map[string]string{"pelv": "selv", "elv": "selv", "mains": "low-voltage", "230v": "low-voltage", "lv": "low-voltage", "400v": "low-voltage", "500v": "low-voltage", "extra-low": "selv"}}},
		Kind: units.Resistance, Unit: "Mohm", Meter: Spread{Relative: 0.05}, Source: "BS 7671:2018 regulation 643.3.2, by a trade magazine's table; number of the table from memory", Edition: "BS 7671:2018+A2:2022",
		Cautions: []Caution{deadWorking, {"warning", "The tester puts out up to 1000 V: unplug electronics, keep hands off, and let the circuit discharge."}},
		beyond:   true,
		predict:  insulationLimit,
		limits:   func(v *values) (float64, float64) { return insulationLimit(v), math.Inf(1) },
		formula: func(v *values, y float64) string {
			return fmt.Sprintf("at least %s Mohm at %s V d.c.", figure(y/1e6), []string{"250", "500", "1000"}[min(int(v.x[0]), 2)])
		},
		remark: func(j *Judgement, _ *values) string {
			if j.given.hasReads && j.given.reads.State == Open {
				return "above the range of the tester; show on a known resistance that it works"
			}
			return "lower than it was is a fault coming: compare with the last test"
		},
	},
	{
		Name: "supply-voltage", Also: []string{"mains", "mains-voltage", "voltage"}, About: "voltage of the public supply against its limits",
		Keys: []Key{{Name: "nominal", Also: []string{"supply"}, About: "nominal voltage", Kind: units.Voltage, Unit: "V", Low: 50, High: 1000, Default: 230}},
		Kind: units.Voltage, Unit: "V", Meter: Spread{Half: 0.5, Relative: 0.007}, Source: "230 V + 10%, - 6%: Electricity Safety, Quality and Continuity Regulations 2002, regulation 27; other nominal voltages by the same shares", Edition: "ESQCR 2002 (UK)",
		Cautions: []Caution{liveWorking},
		predict:  func(v *values) float64 { return v.x[0] },
		limits:   func(v *values) (float64, float64) { return 0.94 * v.x[0], 1.1 * v.x[0] },
		formula: func(v *values, _ float64) string {
			return fmt.Sprintf("%s V x 0.94 = %s V to %s V x 1.1 = %s V", figure(v.x[0]), figure(0.94*v.x[0]), figure(v.x[0]), figure(1.1*v.x[0]))
		},
		state: func(v *values, reads float64) (Verdict, string) {
			const deadBelow = 5
			if math.Abs(reads) < deadBelow {
				return IsOpen, "no voltage: prove the tester on a known supply before believing it; look for the fuse, the switch, the isolator"
			}
			return Unjudged, ""
		},
	},
	{
		Name: "element", Also: []string{"heating-element", "immersion"}, About: "resistance of a heating element by its rated power",
		Keys: []Key{
			{Name: "power", Also: []string{"rating", "watts"}, About: "rated power", Kind: units.Power, Unit: "W", Low: 1e-3, High: 1000, Default: none},
			{Name: "voltage", Also: []string{"volts", "supply"}, About: "rated voltage", Kind: units.Voltage, Unit: "V", Low: 1, High: 1000, Default: 230},
		},
		Kind: units.Resistance, Unit: "ohm", Meter: Spread{Half: 0.2, Relative: 0.005}, Source: "Ohm's law; rated power + 5%, - 10% by IEC 60335-1, from memory", Cautions: []Caution{deadWorking, hotSurfaces},
		predict: elementOhms,
		tolerance: func(_ *values, y float64) float64 {
			const powerDown = 0.1
			return y * powerDown / (1 - powerDown)
		},
		state: func(v *values, reads float64) (Verdict, string) {
			switch y := elementOhms(v); {
			case reads > 20*y:
				return IsOpen, "far above its resistance: the element, its thermal cut-out or a joint is open"
			case reads >= 0 && reads < y/20:
				return IsShort, "far below its resistance: shorted; do not put it back to the supply"
			}
			return Unjudged, ""
		},
		formula: func(v *values, y float64) string {
			return fmt.Sprintf("R = U²/P = %s²/%s = %s ohm", figure(v.x[1]), figure(1000*v.x[0]), figure(y))
		},
		more: func(v *values, _ float64) []Detail { return []Detail{{"current", 1000 * v.x[0] / v.x[1], "A"}} },
		remark: func(*Judgement, *values) string {
			return "for heating elements only: the watts of a pump, fan or valve do not give the resistance of its winding; test insulation to earth as well"
		},
		card: &cardPlan{key: 0, from: 500, to: 6000, step: 250},
	},
	{
		Name: "electric-power", Also: []string{"load", "fuse"}, About: "power that a current carries at a voltage, at unity power factor, and the current of a power",
		Keys: []Key{
			{Name: "voltage", Also: []string{"volts", "supply"}, About: "of the supply", Kind: units.Voltage, Unit: "V", Low: 0.1, High: 1000, Default: 230, Given: Spread{Relative: 0.01}, Assumed: Spread{Relative: 0.06}},
			{Name: "current", Also: []string{"amps", "i", "fuse"}, About: "that flows", Kind: units.Current, Unit: "A", Low: 0, High: 1000, Default: none, Given: Spread{Relative: 0.02}},
		},
		Kind: units.Power, Unit: "W", ReadsAlso: []string{"power"}, Meter: Spread{Relative: 0.02}, reverse: []int{1}, Source: "P = U I", Cautions: []Caution{liveWorking},
		predict: func(v *values) float64 { return float64(loadPower(v.x[0], v.x[1])) },
		formula: func(v *values, y float64) string {
			return fmt.Sprintf("P = U I = %s x %s = %s W", figure(v.x[0]), figure(v.x[1]), figure(1000*y))
		},
	},
	{
		Name: "flame-current", Also: []string{"ionisation", "flame", "ionization"}, About: "ionisation current of a flame against the lowest that the control accepts",
		Keys: []Key{
			{Name: "minimum", Also: []string{"limit", "min"}, About: "lowest current, by the maker", Kind: units.Current, Unit: "uA", Low: 1e-8, High: 1e-4, Default: 1e-6},
			{Name: "highest", Also: []string{"max"}, About: "highest current that is usual", Kind: units.Current, Unit: "uA", Low: 1e-8, High: 1e-3, Default: 2e-5},
		},
		Kind: units.Current, Unit: "uA", Meter: Spread{Half: 5e-8, Relative: 0.02}, Source: "common practice: most controls see a flame from 0.5 to 1.5 uA and run at 2 to 10; the maker's figure comes first",
		Cautions: []Caution{gasLicensed, {"warning", "Ignition puts out thousands of volts: connect the meter in series with the supply off, and keep hands and the meter away while it sparks."}},
		predict:  func(v *values) float64 { return 2 * v.x[0] },
		limits:   func(v *values) (float64, float64) { return v.x[0], v.x[1] },
		state: func(_ *values, reads float64) (Verdict, string) {
			const dead = 5e-8
			switch {
			case math.Abs(reads) < dead:
				return IsOpen, "no flame current: no flame, the lead or electrode open or shorted to earth, or no earth; with flame in view suspect lead, electrode and earth"
			case reads < 0:
				return Impossible, "flame current flows one way only: swap the meter's leads"
			}
			return Unjudged, ""
		},
		formula: func(v *values, _ float64) string {
			return fmt.Sprintf("at least %s uA", figure(v.x[0]*1e6))
		},
	},
}

func insulationLimit(v *values) float64 {
	return []float64{0.5e6, 1e6, 1e6}[min(max(int(v.x[0]), 0), 2)]
}

func elementOhms(v *values) float64 { return v.x[1] * v.x[1] / (1000 * v.x[0]) }

// joined lists words with commas.
func joined(words []string) string {
	var out []byte
	for i, w := range words {
		if i > 0 {
			out = append(out, ", "...)
		}
		out = append(out, w...)
	}
	return string(out)
}
