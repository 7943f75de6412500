package measure

import (
	"fmt"
	"math"

	"kg/internal/signal"
	"kg/internal/units"
)

// celsius is a temperature in degrees Celsius (ITS-90), kelvin a difference of
// temperatures, ohm a resistance.
type (
	celsius float64
	kelvin  float64
	ohm     float64
)

// Coefficients of the Callendar-Van Dusen equation, IEC 60751:2022, clause 4.2.
const (
	platinumA = 3.9083e-3
	platinumB = -5.775e-7
	platinumC = -4.183e-12
)

// The range of IEC 60751, in degrees Celsius.
const (
	platinumColdest = -200
	platinumHottest = 850
)

// platinum returns the resistance of an industrial platinum sensor with the
// resistance r0 at 0 degrees C (IEC 60751:2022):
//
//	R = R0 (1 + A t + B t² + C (t - 100) t³), C only below 0
//
// It holds from -200 to 850 degrees C; outside it extrapolates.
func platinum(r0 ohm, t celsius) ohm {
	x := float64(t)
	w := 1 + float64(platinumA*x) + float64(platinumB*x*x)
	if x < 0 {
		w += float64(platinumC * (x - 100) * x * x * x)
	}
	return ohm(r0 * ohm(w))
}

// platinumSlope is how fast that resistance rises, in ohms per kelvin.
func platinumSlope(r0 ohm, t celsius) ohm {
	x := float64(t)
	d := platinumA + float64(2*platinumB*x)
	if x < 0 {
		d += float64(platinumC * (float64(4*x*x*x) - float64(300*x*x)))
	}
	return r0 * ohm(d)
}

// platinumClass is a tolerance class of IEC 60751:2022, table 3: plus and minus
// fixed + slope |t|, in kelvin. The ranges are those of wire-wound elements, from
// memory; film elements have narrower ones.
type platinumClass struct {
	name             string
	fixed, slope     float64
	coldest, hottest float64
}

var platinumClasses = []platinumClass{
	{"AA", 0.1, 0.0017, -50, 250},
	{"A", 0.15, 0.002, -100, 450},
	{"B", 0.3, 0.005, -196, 600},
	{"C", 0.6, 0.01, -196, 600},
}

// platinumTolerance is the half-width of a tolerance class ("AA", "A", "B" or
// "C", IEC 60751:2022, table 3) at a temperature; NaN for any other class.
func platinumTolerance(class string, t celsius) kelvin {
	for _, c := range platinumClasses {
		if c.name == class {
			return kelvin(c.fixed + float64(c.slope*math.Abs(float64(t))))
		}
	}
	return kelvin(none)
}

// The usual uncertainties of what an engineer brings along: a probe strapped to a
// pipe, a guess of the room, a hand-held multimeter on resistance. Common practice.
var (
	pipeProbe  = Spread{Half: 1}
	someRoom   = Spread{Half: 5}
	multimeter = Spread{Relative: 0.005}
)

const room = 20 // degrees C, if nobody says

var isolateSensor = Caution{signal.Warning, "Isolate the appliance and unplug the sensor before measuring resistance; a resistance range on a live circuit hurts the meter and may hurt you."}

var hotSurfaces = Caution{signal.Caution, "Pipes, heat exchangers and sensor pockets may be hot enough to burn; a sensor that is screwed in may hold back hot water under pressure."}

const (
	platinumR0 = iota
	platinumAt
	platinumGrade
	platinumLead
	platinumWires
)

var platinumModel = &Model{
	Name: "platinum", Also: []string{"pt", "rtd"}, presets: [][3]string{{"pt100", "r0", "100"}, {"pt500", "r0", "500"}, {"pt1000", "r0", "1000"}},
	About: "resistance of a platinum sensor, and the temperature that a resistance means",
	Keys: []Key{
		{Name: "r0", Also: []string{"nominal"}, About: "resistance at 0 C", Kind: units.Resistance, Unit: "ohm", Low: 10, High: 1e4, Default: 100},
		{Name: "at", Also: []string{"temperature", "t"}, About: "temperature of the sensor", Kind: units.Temperature, Unit: "C",
			Low: platinumColdest, High: platinumHottest, Default: room, Given: pipeProbe, Assumed: someRoom},
		{Name: "class", About: "tolerance class", Kind: units.Word, Words: []string{"AA", "A", "B", "C"}, Default: 2,
			Nicknames: map[string]string{"1/3b": "AA", "1/3-b": "AA", "1/3-din": "AA", "f0.1": "AA", "w0.1": "AA", "f0.15": "A", "w0.15": "A", "f0.3": "B", "w0.3": "B", "f0.6": "C", "w0.6": "C"}},
		{Name: "lead", Also: []string{"leads"}, About: "resistance of both leads together", Kind: units.Resistance, Unit: "ohm", High: 100, Default: 0,
			Given: Spread{Relative: 0.05}},
		{Name: "wires", About: "wires of the measurement; with 3 or 4 the leads cancel", Kind: units.Word, Words: []string{"2", "3", "4"}, Default: 0},
	},
	Kind: units.Resistance, Unit: "ohm", Meter: multimeter, reverse: []int{platinumAt},
	Source:   "IEC 60751:2022, equations and table 3",
	Cautions: []Caution{isolateSensor, hotSurfaces},
	predict: func(v *values) float64 {
		return float64(platinum(ohm(v.x[platinumR0]), celsius(v.x[platinumAt]))) + platinumLeads(v)
	},
	tolerance: func(v *values, _ float64) float64 {
		t := celsius(v.x[platinumAt])
		return float64(platinumTolerance(platinumClasses[int(v.x[platinumGrade])].name, t)) * float64(platinumSlope(ohm(v.x[platinumR0]), t))
	},
	service: func(v *values, _ float64) float64 {
		if v.given[platinumGrade] { // whoever names a class wants it kept
			return 0
		}
		return fitForService * float64(platinumSlope(ohm(v.x[platinumR0]), celsius(v.x[platinumAt])))
	},
	state: resistanceState(func(v *values, hot bool) float64 {
		t := celsius(min(-100, v.x[platinumAt]-50)) // NaN if the temperature is asked for
		if hot {
			t = celsius(max(400, v.x[platinumAt]+50))
		}
		if math.IsNaN(float64(t)) {
			t = platinumColdest
			if hot {
				t = platinumHottest
			}
		}
		return float64(platinum(ohm(v.x[platinumR0]), t))
	}),
	formula: func(v *values, y float64) string {
		t := v.x[platinumAt]
		s := fmt.Sprintf("R = R0(1 + A t + B t²) = %s(1 + 3.9083e-3 x %s - 5.775e-7 x %s²)", figure(v.x[platinumR0]), figure(t), figure(t))
		if t < 0 {
			s = fmt.Sprintf("R = R0(1 + A t + B t² + C(t - 100)t³) = %s(1 + 3.9083e-3 x (%s) - 5.775e-7 x (%s)² - 4.183e-12 x (%s - 100) x (%s)³)",
				figure(v.x[platinumR0]), figure(t), figure(t), figure(t), figure(t))
		}
		if leads := platinumLeads(v); leads != 0 {
			s += " + " + figure(leads) + " of leads"
		}
		return s + " = " + figure(y) + " ohm"
	},
	more: func(v *values, y float64) []Detail {
		t := celsius(v.x[platinumAt])
		r0 := ohm(v.x[platinumR0])
		tol := platinumTolerance(platinumClasses[int(v.x[platinumGrade])].name, t)
		return []Detail{
			{"tolerance of the class", float64(tol), "K"},
			{"tolerance of the class", float64(tol) * float64(platinumSlope(r0, t)), "ohm"},
			{"rise", float64(platinumSlope(r0, t)), "ohm/K"},
		}
	},
	remark: func(_ *Judgement, v *values) string {
		c := platinumClasses[int(v.x[platinumGrade])]
		if t := v.x[platinumAt]; t < c.coldest || t > c.hottest {
			return fmt.Sprintf("class %s holds from %s to %s C; at %s C nothing is promised", c.name, figure(c.coldest), figure(c.hottest), figure(t))
		}
		return ""
	},
	card: &cardPlan{key: platinumAt, from: -20, to: 110, step: 5},
}

func platinumLeads(v *values) float64 {
	if v.x[platinumWires] > 0 {
		return 0
	}
	return v.x[platinumLead]
}

// resistanceState tells a broken sensor from one that is off: beyond what it has
// at temperatures that it cannot have, at either end.
func resistanceState(at func(v *values, hot bool) float64) func(v *values, reads float64) (Verdict, string) {
	return func(v *values, reads float64) (Verdict, string) {
		a, b := at(v, false), at(v, true)
		switch {
		case reads > max(a, b):
			return IsOpen, fmt.Sprintf("above %s ohm no temperature that it can have explains it: broken, unplugged or a bad joint", figure(max(a, b)))
		case reads < min(a, b):
			return IsShort, fmt.Sprintf("below %s ohm no temperature that it can have explains it: shorted, or water in the connector", figure(min(a, b)))
		}
		return Unjudged, ""
	}
}
