package parts

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"kg/internal/units"
)

// Attribute is one thing that has to agree, by its name, with its value as it is
// written.
type Attribute struct {
	Name string `json:"name"`
	Text string `json:"text"`
}

// meaning is how the values of an attribute are read and compared.
type meaning struct {
	name    string
	kind    units.Kind // of quantity; of no meaning where any will do
	anyKind bool
	thread  bool
	// covers says that the value is what the part can bear or measure: another one
	// that bears more will do.
	covers bool
	// usual is the difference that does not matter where no tolerance is written,
	// as a share of the value.
	usual float64
	hint  string
}

// meanings are the attributes that are compared by more than their words. Others
// are compared as text.
var meanings = []meaning{
	{name: "thread", thread: true, hint: "G 1/2"},
	{name: "thread 2", thread: true, hint: "G 3/8"},
	{name: "voltage", kind: units.Voltage, covers: true, usual: 0.06, hint: "220 to 240 V"},
	{name: "range", anyKind: true, covers: true, hint: "0 to 4 bar"},
	{name: "temperature range", kind: units.Temperature, covers: true, hint: "-10 to 110 C"},
	{name: "output", anyKind: true, hint: "0.5 to 3.5 V"},
	{name: "set pressure", kind: units.Pressure, usual: 0, hint: "3 bar ± 0.1"},
	{name: "set temperature", kind: units.Temperature, usual: 0, hint: "90 C ± 3"},
	{name: "pre-charge", kind: units.Pressure, usual: 0.1, hint: "0.75 bar ± 0.1"},
	{name: "volume", kind: units.Volume, usual: 0.05, hint: "8 l"},
	{name: "pipe size", kind: units.Length, usual: 0.01, hint: "22 mm"},
	{name: "length", kind: units.Length, usual: 0.005, hint: "130 mm"},
	{name: "diameter", kind: units.Length, usual: 0.005, hint: "60 mm"},
	{name: "head", kind: units.Length, usual: 0.05, hint: "6 m"},
	{name: "power", kind: units.Power, usual: 0.05, hint: "3 kW"},
	{name: "current", kind: units.Current, covers: true, usual: 0.05, hint: "3 A"},
	{name: "resistance", kind: units.Resistance, usual: 0.02, hint: "10 kohm ± 2 %"},
	{name: "flow", kind: units.Flow, usual: 0.05, hint: "12 l/min"},
	{name: "stroke", kind: units.Length, usual: 0.02, hint: "4 mm"},
	{name: "capacitance", kind: units.Capacitance, usual: 0.05, hint: "2 uF"},
	{name: "plates", kind: units.Number, hint: "16"},
}

func meaningOf(name string) (meaning, bool) {
	for _, m := range meanings {
		if m.name == foldedName(name) {
			return m, true
		}
	}
	return meaning{}, false
}

func foldedName(s string) string {
	return strings.ToLower(strings.Join(strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == '_' }), " "))
}

// value is an attribute that was read.
type value struct {
	low, high float64 // in the first unit of its kind; the same for one value
	// tolerance is how far off either end may be; NaN where it is not written.
	tolerance float64
	kind      units.Kind
	thread    thread
	word      string
}

// read reads the value of an attribute. Those that are known have a form, such as
// a thread or a quantity with its unit; of the others the words are kept.
func (a Attribute) read() (value, error) {
	m, known := meaningOf(a.Name)
	switch {
	case strings.TrimSpace(a.Text) == "":
		return value{}, fmt.Errorf("%s has no value: write it like %s: 3 bar", a.Name, a.Name)
	case !known:
		return value{word: foldedName(a.Text)}, nil
	case m.thread:
		t, err := parseThread(a.Text)
		return value{thread: t}, err
	}
	v, err := parseQuantity(a.Text)
	if err != nil {
		return value{}, fmt.Errorf("%s: %w: write it like %q", a.Name, err, m.hint)
	}
	if !m.anyKind && v.kind != m.kind {
		return value{}, fmt.Errorf("%s: %q is a %s, and a %s belongs here: write it like %q", a.Name, a.Text, v.kind, m.kind, m.hint)
	}
	return v, nil
}

// Check says what keeps an attribute from being compared with others.
func (a Attribute) Check() error {
	_, err := a.read()
	return err
}

// parseQuantity reads "3 bar", "0 to 4 bar", "230 V ± 10 %", "3 bar ± 0.1".
func parseQuantity(s string) (value, error) {
	main, tolerance, toleranced := strings.Cut(strings.ReplaceAll(s, "+/-", "±"), "±")
	figures, name := cutUnit(strings.TrimSpace(main))
	u, err := unitNamed(name)
	if err != nil {
		return value{}, err
	}
	low, high, between := strings.Cut(figures, " to ")
	if !between {
		high = low
	}
	v := value{kind: u.kind, tolerance: math.NaN()}
	if v.low, err = figure(low); err != nil {
		return value{}, err
	}
	if v.high, err = figure(high); err != nil {
		return value{}, err
	}
	v.low, v.high = v.low*u.factor, v.high*u.factor
	if v.low > v.high {
		return value{}, fmt.Errorf("%q ends below where it begins", strings.TrimSpace(s))
	}
	if toleranced {
		tolerance = strings.TrimSpace(tolerance)
		if share, isShare := strings.CutSuffix(tolerance, "%"); isShare {
			x, err := figure(share)
			v.tolerance = x / 100 * max(math.Abs(v.low), math.Abs(v.high))
			return v, errors.Join(err, positive(v.tolerance))
		}
		figures, name := cutUnit(tolerance)
		tu := u
		switch {
		case name == "":
		case name == "K" && u.kind == units.Temperature:
		default:
			if tu, err = unitNamed(name); err != nil {
				return value{}, err
			}
			if tu.kind != u.kind {
				return value{}, fmt.Errorf("the tolerance %q is not in the unit of the value", tolerance)
			}
		}
		x, err := figure(figures)
		v.tolerance = x * tu.factor
		return v, errors.Join(err, positive(v.tolerance))
	}
	return v, nil
}

func positive(tolerance float64) error {
	if tolerance < 0 {
		return errors.New("a tolerance is not below zero")
	}
	return nil
}

// cutUnit parts the figures from the unit after them.
func cutUnit(s string) (figures, unit string) {
	at := strings.LastIndexAny(s, "0123456789") + 1
	if rest := s[at:]; strings.HasPrefix(rest, "3/h") { // m3/h
		at--
	}
	if strings.HasSuffix(s, "m3/h") {
		at = len(s) - len("m3/h")
	}
	if strings.HasSuffix(strings.ToLower(s), "mh2o") {
		at = len(s) - len("mh2o")
	}
	return strings.TrimSpace(s[:at]), strings.ReplaceAll(strings.TrimSpace(s[at:]), " ", "")
}

const largestFigure = 1e12

func figure(s string) (float64, error) {
	s = strings.ReplaceAll(strings.TrimSpace(s), "−", "-")
	x, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsNaN(x) || math.Abs(x) > largestFigure || strings.ContainsAny(s, "xXpP_") {
		return 0, fmt.Errorf("%q is not a figure", s)
	}
	return x, nil
}

// Difference is how one attribute of a candidate differs from what is wanted.
type Difference struct {
	Name string `json:"name"`
	Want string `json:"want,omitempty"`
	Has  string `json:"has,omitempty"`
	// Distance is 0 where they agree, up to 1 within the tolerance, and more beyond
	// it; farthestApart where nothing is alike, unstated where one of them does not
	// say.
	Distance float64 `json:"distance"`
	Why      string  `json:"why,omitempty"`
}

// Agrees reports whether the difference does not matter.
func (d Difference) Agrees() bool { return d.Distance <= 1 }

const (
	// farthestApart is the distance of values that have nothing in common.
	farthestApart = 10.0
	// unstated is the distance of a value that only one of the two parts states.
	unstated = 3.0
	// sealsOtherwise is that of threads that screw in and are tight another way.
	sealsOtherwise = 2.0
)

// compare compares what a part is with what a candidate is, attribute by
// attribute, in the order of the first one's list. What only the candidate states
// does not count.
func compare(want, has []Attribute) []Difference {
	var out []Difference
	for _, w := range want {
		i := slices.IndexFunc(has, func(h Attribute) bool { return foldedName(h.Name) == foldedName(w.Name) })
		if i < 0 {
			out = append(out, Difference{Name: w.Name, Want: w.Text, Distance: unstated, Why: "the other part does not say"})
			continue
		}
		out = append(out, difference(w, has[i]))
	}
	return out
}

func difference(want, has Attribute) Difference {
	d := Difference{Name: want.Name, Want: want.Text, Has: has.Text}
	w, werr := want.read()
	h, herr := has.read()
	m, known := meaningOf(want.Name)
	switch {
	case werr != nil || herr != nil:
		d.Distance, d.Why = farthestApart, "one of them cannot be read"
	case !known:
		if w.word != h.word {
			d.Distance, d.Why = farthestApart, "not the same"
		}
	case m.thread:
		d.thread(w.thread, h.thread)
	case w.kind != h.kind:
		d.Distance, d.Why = farthestApart, "not the same kind of quantity"
	default:
		d.quantity(w, h, m)
	}
	return d
}

func (d *Difference) thread(w, h thread) {
	switch {
	case w == h:
	case w.sameScrew(h):
		d.Distance, d.Why = sealsOtherwise, "screws in, and seals another way"
	default:
		d.Distance, d.Why = farthestApart, "does not screw in"
	}
}

// quantity compares two values. Where the attribute says what a part bears, the
// candidate's range has to hold the wanted one; elsewhere both ends have to be
// near. The wanted tolerance counts; that of the candidate makes it wider.
func (d *Difference) quantity(w, h value, m meaning) {
	tolerance := w.tolerance
	if math.IsNaN(tolerance) {
		tolerance = m.usual * max(math.Abs(w.low), math.Abs(w.high))
	}
	low, high := w.low-h.low, h.high-w.high // how far the candidate goes beyond
	switch {
	case m.covers && w.low == w.high && h.low == h.high && m.kind == units.Current:
		low, high = 0, max(0, -high) // bears less than wanted
	case m.covers && !(w.low == w.high && h.low == h.high):
		low, high = max(0, -low), max(0, -high)
	default:
		spread := 0.0
		if !math.IsNaN(h.tolerance) && !math.IsNaN(w.tolerance) {
			spread = max(0, h.tolerance-w.tolerance)
		}
		low, high = math.Abs(low)+spread, math.Abs(high)+spread
	}
	off := max(low, high)
	rounding := float64(1e-9 * max(math.Abs(w.low), math.Abs(w.high), 1))
	switch {
	case off <= rounding:
	case tolerance > 0 && off <= tolerance+rounding:
		d.Distance = min(1, off/tolerance)
	case tolerance > 0:
		d.Distance = min(farthestApart, off/tolerance)
	default:
		d.Distance = min(farthestApart, 1+farthestApart*off/max(math.Abs(w.low), math.Abs(w.high), rounding))
	}
	if !d.Agrees() {
		d.Why = "out of tolerance"
		if m.covers {
			d.Why = "does not cover it"
		}
	}
}

// parseAttributes reads "thread: G 1/2 | voltage: 230 V".
func parseAttributes(s string) ([]Attribute, error) {
	var out []Attribute
	for _, item := range strings.Split(s, listSeparator) {
		if strings.TrimSpace(item) == "" {
			continue
		}
		name, text, ok := strings.Cut(item, ":")
		a := Attribute{strings.TrimSpace(name), strings.TrimSpace(text)}
		if !ok || a.Name == "" {
			return nil, fmt.Errorf("%q is not an attribute: write it like thread: G 1/2", strings.TrimSpace(item))
		}
		if err := a.Check(); err != nil {
			return nil, err
		}
		if slices.ContainsFunc(out, func(o Attribute) bool { return foldedName(o.Name) == foldedName(a.Name) }) {
			return nil, fmt.Errorf("the attribute %q stands there twice: keep one", a.Name)
		}
		out = append(out, a)
	}
	return out, nil
}
