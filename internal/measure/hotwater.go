package measure

import (
	"fmt"

	"kg/internal/portable"
	"kg/internal/signal"
	"kg/internal/units"
)

// scalds are times in seconds to a burn of the second and third degree of adult
// skin in water (Moritz and Henriques 1947, by a table handed on since). Orders
// of magnitude; children and the old burn sooner.
var scalds = []struct{ at, second, third float64 }{
	{48, 15 * 60, 20 * 60},
	{49, 8 * 60, 10 * 60},
	{51, 2 * 60, 4.2 * 60},
	{55, 17, 30},
	{60, 3, 5},
}

// The range of the table, a little beyond.
const (
	scaldLowest  = 44
	scaldHighest = 70
)

// scaldTime is the time in seconds after which water at t burns the skin of an
// adult to the second or third degree, an order of magnitude: between the table's
// temperatures its logarithm is interpolated, beyond them extrapolated, from 44 to
// 70 degrees C; NaN outside.
func scaldTime(t celsius, third bool) float64 {
	x := float64(t)
	if !(x >= scaldLowest && x <= scaldHighest) {
		return none
	}
	i := 0
	for i < len(scalds)-2 && x > scalds[i+1].at {
		i++
	}
	a, b := scalds[i], scalds[i+1]
	y0, y1 := a.second, b.second
	if third {
		y0, y1 = a.third, b.third
	}
	return portable.Exp(portable.Log(y0) + (portable.Log(y1)-portable.Log(y0))*(x-a.at)/(b.at-a.at))
}

// waterPoint is where hot or cold water is measured, and between which limits.
type waterPoint struct {
	name       string
	low, high  float64
	normal     float64
	when, from string
}

const (
	hse       = "HSE; HSG274 Part 2"
	thermoMix = "thermostatic mixing for care premises: NHS Model Engineering Specification D 08; EN 1111 valves"
)

var waterPoints = []waterPoint{
	{"store", 60, 100, 60, "leaving the cylinder", hse},
	{"outlet", 50, 100, 50, "after running for 1 minute", hse},
	{"outlet-healthcare", 55, 100, 55, "after running for 1 minute", hse},
	{"return", 50, 100, 50, "at the return to the cylinder", hse},
	{"cold", 0, 20, 20, "after running for 2 minutes", hse},
	{"bath", 0, 44, 44, "mixed", thermoMix},
	{"assisted-bath", 0, 46, 46, "mixed", thermoMix},
	{"shower", 0, 41, 41, "mixed", thermoMix},
	{"basin", 0, 41, 41, "mixed", thermoMix},
	{"bidet", 0, 38, 38, "mixed", thermoMix},
}

func pointOf(v *values) waterPoint { return waterPoints[min(max(int(v.x[0]), 0), len(waterPoints)-1)] }

func pointWords() []string {
	var out []string
	for _, p := range waterPoints {
		out = append(out, p.name)
	}
	return out
}

var (
	legionella = Caution{signal.Warning, "Stored water that is lukewarm breeds legionella; water above 45 C scalds: where children, the old or the ill draw it, a mixing valve has to be fitted."}
	unvented   = Caution{signal.Danger, "An unvented cylinder whose safety devices fail can burst: work on it is for people competent in it (in England by Building Regulations G3); never plug or bypass a valve or cut-out."}
)

// limit is a named pair of limits; normal is what is expected.
type limit struct {
	name              string
	low, high, normal float64
	about             string
}

var unventedTemperatures = []limit{
	{"relief", 90, 95, 90, "the temperature and pressure relief valve opens"},
	{"cut-out", 60, 90, 85, "the non-self-resetting cut-out opens; 85 to 89 C is usual"},
	{"thermostat", 55, 70, 60, "the control thermostat opens"},
	{"stored", 0, 100, 60, "stored water must never exceed 100 C; two independent devices besides the thermostat"},
}

var unventedPressures = []limit{
	{"reducing", 3, 3.5, 3, "behind the pressure reducing valve"},
	{"expansion-valve", 5.4, 6.6, 6, "the expansion relief valve opens at 6 bar"},
	{"relief-7", 6.3, 7.7, 7, "the temperature and pressure relief valve opens at 7 bar"},
	{"relief-10", 9, 11, 10, "the temperature and pressure relief valve opens at 10 bar"},
}

func limitModel(name, about string, also []string, k units.Kind, unit string, list []limit, nicknames map[string]string, meter Spread, source, edition string) *Model {
	var words []string
	for _, l := range list {
		words = append(words, l.name)
	}
	of := func(v *values) limit { return list[min(max(int(v.x[0]), 0), len(list)-1)] }
	u := units.Usual(k, unit)
	return &Model{
		Name: name, Also: also, About: about,
		Keys: []Key{{Name: "limit", Also: []string{"of", "item", "device"}, About: "which one", Kind: units.Word, Words: words, Default: 0, Nicknames: nicknames}},
		Kind: k, Unit: unit, Meter: meter, Source: source, Edition: edition, Cautions: []Caution{unvented, legionella},
		predict: func(v *values) float64 { return of(v).normal },
		limits:  func(v *values) (float64, float64) { return of(v).low, of(v).high },
		formula: func(v *values, _ float64) string {
			l := of(v)
			return fmt.Sprintf("%s: %s to %s %s", l.about, figure(l.low), figure(l.high), u.Name())
		},
	}
}

var hotWaterModels = []*Model{
	{
		Name: "water-temperature", Also: []string{"hot-water-temperature", "legionella", "delivered-temperature", "stored-temperature"}, About: "temperature of stored, delivered and mixed water against its limits",
		Keys: []Key{{Name: "point", Also: []string{"at", "where", "position"}, About: "where it is measured", Kind: units.Word, Words: pointWords(), Default: none,
			Nicknames: map[string]string{"stored": "store", "cylinder": "store", "tap": "outlet", "delivered": "outlet", "healthcare": "outlet-healthcare", "calorifier": "store", "calorifier-return": "return", "cold-tap": "cold"}}},
		Kind: units.Temperature, Unit: "C", Meter: Spread{Half: 0.5}, Source: hse + "; " + thermoMix, Edition: "HSG274 Part 2 (2014), NHS D 08", Cautions: []Caution{legionella},
		predict: func(v *values) float64 { return pointOf(v).normal },
		limits:  func(v *values) (float64, float64) { p := pointOf(v); return p.low, p.high },
		state: func(_ *values, reads float64) (Verdict, string) {
			if reads < 0 || reads > 110 {
				return Impossible, "no liquid water at a tap has that temperature: check the probe"
			}
			return Unjudged, ""
		},
		formula: func(v *values, _ float64) string {
			p := pointOf(v)
			return fmt.Sprintf("%s, %s: %s to %s C (%s)", p.name, p.when, figure(p.low), figure(p.high), p.from)
		},
	},
	{
		Name: "scald-time", Also: []string{"scald"}, About: "time after which hot water burns an adult's skin; an order of magnitude",
		Keys: []Key{
			{Name: "water", Also: []string{"at", "temperature", "t"}, About: "temperature of the water", Kind: units.Temperature, Unit: "C", Low: scaldLowest, High: scaldHighest, Beyond: "hotter water burns at once, and no table is known for colder", Default: none, Given: Spread{Half: 0.5}},
			{Name: "degree", Also: []string{"burn"}, About: "of the burn", Kind: units.Word, Words: []string{"second", "third"}, Default: 0, Nicknames: map[string]string{"2": "second", "3": "third", "2nd": "second", "3rd": "third"}},
		},
		Kind: units.Duration, Unit: "s", Source: "Moritz and Henriques 1947, by a table handed on since; children and the old burn sooner", Cautions: []Caution{legionella},
		derived: true,
		predict: func(v *values) float64 { return scaldTime(celsius(v.x[0]), v.x[1] > 0) },
		approximate: func(_ *values, y float64) float64 {
			return y / 4 // an order of magnitude, half to twice
		},
		formula: func(v *values, y float64) string {
			return fmt.Sprintf("between the table's temperatures by the logarithm of the time: about %s s at %s C", figure(y), figure(v.x[0]))
		},
		card: &cardPlan{key: 0, from: 46, to: 66, step: 1},
	},
	limitModel("unvented-temperature", "temperature limits of an unvented cylinder", []string{"unvented"}, units.Temperature, "C", unventedTemperatures,
		map[string]string{"tp": "relief", "t&p": "relief", "tprv": "relief", "cutout": "cut-out", "water": "stored", "energy-cut-out": "cut-out"}, Spread{Half: 1},
		"relief: EN 1490 and a textbook page; cut-out, which EN 1490 does not treat: the textbook page; stored water: Approved Document G, requirement G3", "EN 1490:2000, Approved Document G (2015 edition with amendments)"),
	limitModel("unvented-pressure", "pressure limits of an unvented cylinder", nil, units.Pressure, "bar", unventedPressures,
		map[string]string{"relief": "relief-7", "expansion": "expansion-valve", "reducing-valve": "reducing", "prv": "reducing"}, gauge,
		"practice of EN 1490 (temperature and pressure relief), EN 1491 (expansion relief) and EN 1567 (reducing valve), from memory: 10% either side; the plate on the cylinder comes first", "EN 1490:2000, EN 1491:2000, EN 1567:1999 (from memory)"),
}
