package measure

import (
	"fmt"
	"math"
	"strings"
	"unicode/utf8"

	"kg/internal/units"
)

// State says whether a meter showed a number.
type State uint8

// What a meter shows. Open is "OL", "open" or an infinite resistance; Short is
// what a meter that beeps says.
const (
	Figure State = iota
	Open
	Short
)

// String names the state.
func (s State) String() string { return [...]string{"figure", "open", "short"}[min(s, 2)] }

// Quantity is what was read or given, in the unit in which its Kind is held.
type Quantity struct {
	Value float64
	State State
	// Standard is the standard uncertainty if one was given, else NaN: the
	// half-width after "±" over the root of 3 (GUM 4.3.7, all values within as
	// likely), or what stands before "k=2" over 2.
	Standard float64
	// Rough is set by "about": the usual uncertainty of such a figure is doubled.
	Rough bool
	// Seconds is the time in "2 m3 in 118 s", else 0.
	Seconds float64
}

// absoluteZero is in degrees Celsius.
const absoluteZero = -273.15

// longestValue bounds what is looked at.
const longestValue = 200

// parseQuantity reads a value as people write it: "10.4k", "10k4", "4R7",
// "1.2 bar", "17 psi", "75F", "0.6 uA", "2 min 5 s", "1:58", "4,200 ohms",
// "about 24 degrees", "20 C ± 1", "0.2 l/s ± 2% k=2", "OL".
//
// A number without a unit is in bare, a unit's name. A comma before exactly three
// digits separates thousands, any other is a decimal comma. In "10k4" the letter
// stands where the decimal point does (IEC 60062). The numbers have to be finite.
//
// No maintained units library at hand knows such writing (10k4, gauge pressures,
// "in" between a volume and its time) or tells a temperature from a difference of
// two, hence this parser.
func parseQuantity(k units.Kind, bare, text string) (Quantity, error) {
	q := Quantity{Standard: math.NaN()}
	if len(text) > longestValue || !utf8.ValidString(text) {
		return q, fmt.Errorf("a value is a number with a unit, like %s; this is not readable as one", example(k))
	}
	text = strings.Join(strings.Fields(text), " ") // spaces of every kind
	p := &valueParser{text: text, kind: k, bare: units.Usual(k, bare)}
	if p.text == "" {
		return q, fmt.Errorf("the value is empty: give %s, like %s", k.Article(), example(k))
	}
	if state, ok := states[strings.ToLower(strings.Trim(p.text, ". "))]; ok {
		switch k {
		case units.Resistance, units.Voltage, units.Current:
			q.State = state
			return q, nil
		}
		return q, fmt.Errorf("%q is what a meter shows for a resistance, a voltage or a current; here %s is needed, like %s", text, k.Article(), example(k))
	}
	return p.quantity()
}

var states = map[string]State{
	"ol": Open, "o.l": Open, "0l": Open, "0.l": Open, "open": Open, "open circuit": Open, "open-circuit": Open,
	"infinite": Open, "infinity": Open, "inf": Open, "∞": Open, "over": Open, "overload": Open,
	"over limit": Open, "overrange": Open,
	"short": Short, "shorted": Short, "short circuit": Short, "short-circuit": Short, "dead short": Short,
}

var kindExamples = [units.Kinds]string{
	"4.2", "B", "20C", "5K", "1.2bar", "10.4k", "230V", "0.6uA", "24kW", "12l/min", "100l", "118s", "10m", "0.75mm2",
	"0.6m2", "3%", "360ppm", "39.5MJ/m3", "998kg/m3", "42kJ/kg", "4.18kJ/(l K)", "26ohm/km", "50Hz", "2uF",
}

func example(k units.Kind) string {
	if k < units.Kinds {
		return kindExamples[k]
	}
	return "4.2"
}
