package measure

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// most is how many keys a model can have.
const most = 12

// none marks a figure that there is not.
var none = math.NaN()

// Spread is the usual uncertainty of a figure given without one: it lies anywhere
// within plus and minus Half and the Relative part of itself.
type Spread struct{ Half, Relative float64 }

func (s Spread) standard(x float64) float64 {
	return Rectangular(s.Half + float64(s.Relative*math.Abs(x)))
}

// Key is one thing that a model wants to know.
type Key struct {
	Name  string
	Also  []string // other names of it
	About string
	Kind  Kind
	// Unit is what a number without a unit is in, and what the key is printed in.
	Unit string
	// Low and High are the range, both allowed, in the unit of the Kind.
	Low, High float64
	// Beyond says why there is no more, or less.
	Beyond string
	// Default is taken if the key is left out; NaN if there is none.
	Default float64
	// Optional keys have no default and may be left out.
	Optional bool
	// Given and Assumed are the usual uncertainty of a figure that was given and of
	// the default.
	Given, Assumed Spread
	// Words are the values of a key of the kind Word.
	Words []string
	// Nicknames are other names of those words, or words for figures.
	Nicknames map[string]string
}

// Caution warns where work can hurt someone. Level is a signal word of ISO 3864-2
// in small letters.
type Caution struct{ Level, Text string }

// Detail is a further figure of an answer.
type Detail struct {
	Name  string
	Value float64
	Unit  string
}

// Model says what a healthy part reads. Its functions get figures in the units of
// their kinds.
type Model struct {
	Name  string
	Also  []string
	About string
	Keys  []Key
	// Kind and Unit are those of the reading.
	Kind Kind
	Unit string
	// ReadsAlso are other names of the measured value.
	ReadsAlso []string
	// Meter is the usual uncertainty of the instrument; the key `meter` changes it.
	Meter  Spread
	Source string
	// Edition is said where a law or a standard may change the limits.
	Edition  string
	Cautions []Caution
	// presets are other names that fix a key: name, key, value.
	presets [][3]string
	// reverse lists the keys that a reading can tell, in the order of trying.
	reverse []int
	// predict is what a healthy part reads; NaN where only limits are known.
	predict func(v *values) float64
	// tolerance is the half-width of what the makers of healthy parts allow.
	tolerance func(v *values, y float64) float64
	// service is the half-width of what a part in service has to keep; without it
	// the tolerance counts.
	service func(v *values, y float64) float64
	// approximate is the standard uncertainty of the formula itself.
	approximate func(v *values, y float64) float64
	// limits are those of a standard, a law or the trade; infinite if there is none.
	limits func(v *values) (low, high float64)
	// beyond says that a meter beyond its range is what is wanted.
	beyond bool
	// derived models work the measured value out from the keys.
	derived bool
	// state looks for what is no reading of a working part.
	state func(v *values, reads float64) (Verdict, string)
	// check finds what does not go together.
	check func(v *values) error
	// formula has the numbers put in.
	formula func(v *values, y float64) string
	// more are further figures.
	more func(v *values, y float64) []Detail
	// remark adds what the answer has to say about itself.
	remark func(j *Judgement, v *values) string
	// skip says that a key need not be solved for, since another one tells it.
	skip func(v *values, key int) bool
	// within narrows where a key is looked for, to where the prediction runs one way.
	within func(v *values, key int) (low, high float64)
	// measured says whether a derived model has what it needs for a verdict; nil for
	// always.
	measured func(v *values) bool
	// card says what the table for the van is made of; nil if there is none.
	card *cardPlan
}

// values are the figures of the keys, in the order of the model's keys.
type values struct {
	x     [most]float64
	given [most]bool
}

// word is the word of a key of the kind Word.
func (m *Model) word(v *values, key int) string {
	if i := int(v.x[key]); i >= 0 && i < len(m.Keys[key].Words) {
		return m.Keys[key].Words[i]
	}
	return ""
}

// Models returns all models, sorted by name.
func Models() []*Model { return slices.Clone(models) }

// models is filled from the table of each file.
var models = func() []*Model {
	all := slices.Concat(electricModels, sensorModels, transducerModels, waterModels, vesselModels, heatModels,
		gasModels, combustionModels, hotWaterModels, volumeModels, conformityModels)
	slices.SortFunc(all, func(a, b *Model) int { return strings.Compare(a.Name, b.Name) })
	return all
}()

// Find returns the model of a name. The error names the nearest one.
func Find(name string) (*Model, error) {
	m, _, err := find(name)
	return m, err
}

// New begins a case of the model of a name; a name such as pt1000 gives a key its
// figure too.
func New(name string) (*Given, error) {
	m, preset, err := find(name)
	if err != nil {
		return nil, err
	}
	g := NewGiven(m)
	if preset != nil {
		i, err := m.key(preset[1])
		if err == nil {
			err = g.set(i, preset[1], preset[2])
		}
		if err != nil {
			return nil, fmt.Errorf("beginning with %s: %w", name, err)
		}
		g.values.given[i] = false // may still be said otherwise
	}
	return g, nil
}

func find(name string) (*Model, *[3]string, error) {
	low := strings.ToLower(name)
	var valid []string
	for _, m := range models {
		if m.Name == low || slices.Contains(m.Also, low) {
			return m, nil, nil
		}
		for i := range m.presets {
			if m.presets[i][0] == low {
				return m, &m.presets[i], nil
			}
		}
		valid = append(valid, m.Name)
	}
	if near, ok := nearest(name, valid); ok {
		return nil, nil, fmt.Errorf("there is no model %q: did you mean %s?", name, near)
	}
	return nil, nil, fmt.Errorf("there is no model %q among the %d there are", name, len(valid))
}

// The names of the keys that every model has.
const (
	readsName = "reads"
	meterName = "meter"
)

// Given is what is known about a case: the figures for the keys of a model, and
// what was read.
type Given struct {
	model    *Model
	values   values
	standard [most]float64
	rough    [most]bool
	meter    float64 // standard uncertainty; NaN for the usual one
	relative float64 // the same as a part of the reading; NaN
	reads    Quantity
	hasReads bool
}

// NewGiven begins a case of a model with its defaults.
func NewGiven(m *Model) *Given {
	g := &Given{model: m, meter: none, relative: none}
	for i := range g.standard {
		g.values.x[i] = none
		g.standard[i] = none
	}
	for i, k := range m.Keys {
		g.values.x[i] = k.Default
	}
	return g
}

// Set gives a key its value as text; the name may also be "reads", for what the
// meter shows, or "meter", for its accuracy. The error says what is wrong and
// what would be right.
func (g *Given) Set(name, text string) error {
	m := g.model
	switch low := strings.ToLower(name); {
	case low == readsName || slices.Contains(m.ReadsAlso, low):
		if g.hasReads {
			return fmt.Errorf("%s is given twice: leave one out", name)
		}
		q, err := ParseQuantity(m.Kind, m.Unit, text)
		if err != nil {
			return fmt.Errorf("reading %s: %w", name, err)
		}
		g.reads, g.hasReads = q, true
		return nil
	case low == meterName || low == "accuracy":
		return g.setMeter(text)
	}
	i, err := m.key(name)
	if err != nil {
		return err
	}
	if g.values.given[i] {
		return fmt.Errorf("%s is given twice: leave one out", name)
	}
	return g.set(i, name, text)
}

func (m *Model) key(name string) (int, error) {
	low := strings.ToLower(name)
	valid := make([]string, 0, len(m.Keys)+2)
	for i, k := range m.Keys {
		if k.Name == low || slices.Contains(k.Also, low) {
			return i, nil
		}
		valid = append(valid, k.Name)
	}
	valid = append(valid, readsName, meterName)
	return 0, fmt.Errorf("%s has no key %q: %s", m.Name, name, suggest(low, valid, "its keys are"))
}

func (g *Given) setMeter(text string) error {
	const usage = "meter is the accuracy of the instrument, like 0.5% or 0.2 (in the unit of the reading)"
	if q, err := ParseQuantity(Share, "%", text); err == nil && strings.Contains(text, "%") && g.model.Kind != Share {
		if q.Value < 0 || q.Value > 100 {
			return fmt.Errorf("%s; %q is not between 0 and 100%%", usage, text)
		}
		g.relative = Rectangular(q.Value / 100)
		return nil
	}
	k, bare := g.model.Kind, g.model.Unit
	if k == Temperature {
		k, bare = Difference, "K"
	}
	for _, sign := range []string{"±", "+/-", "+-"} {
		text = strings.TrimPrefix(strings.TrimSpace(text), sign)
	}
	q, err := ParseQuantity(k, bare, text)
	if err != nil {
		return fmt.Errorf("%s: %w", usage, err)
	}
	if q.State != Figure || q.Value < 0 {
		return errNegative(usage)
	}
	g.meter = Rectangular(q.Value)
	return nil
}

func errNegative(usage string) error { return fmt.Errorf("%s, from 0", usage) }

func (g *Given) set(i int, name, text string) error {
	k := &g.model.Keys[i]
	if k.Kind == Word {
		w := strings.ToLower(strings.ReplaceAll(strings.TrimSpace(text), " ", "-"))
		if full, ok := k.Nicknames[w]; ok {
			w = full
		}
		for n, valid := range k.Words {
			if strings.EqualFold(w, valid) {
				g.values.x[i], g.values.given[i], g.standard[i] = float64(n), true, 0
				return nil
			}
		}
		return fmt.Errorf("%s has no value %q: %s", name, text, suggest(w, k.Words, "it is one of"))
	}
	if figure, ok := k.Nicknames[strings.ToLower(strings.TrimSpace(text))]; ok {
		text = figure
	}
	q, err := ParseQuantity(k.Kind, k.Unit, text)
	if err != nil {
		return fmt.Errorf("reading %s: %w", name, err)
	}
	if q.State != Figure {
		return fmt.Errorf("%s is %s of the part, not a reading: give a number, like %s; what the meter shows is reads", name, k.Kind.article(), example(k.Kind))
	}
	if q.Value < k.Low || q.Value > k.High {
		u := mustUnit(k.Kind, k.Unit)
		what := ""
		if q.Value < 0 && k.Low >= 0 && k.Kind != Temperature {
			what = " cannot be negative and"
		}
		why := ""
		if k.Beyond != "" {
			why = ": " + k.Beyond
		}
		return fmt.Errorf("%s%s has to be from %s to %s %s for %s; %s is outside%s", name, what,
			figure(u.from(k.Low)), figure(u.from(k.High)), u.name(), g.model.Name, strings.TrimSpace(text), why)
	}
	g.values.x[i], g.values.given[i], g.standard[i], g.rough[i] = q.Value, true, q.Standard, q.Rough
	if q.Seconds > 0 {
		for j, other := range g.model.Keys {
			if other.Kind == Duration && !g.values.given[j] {
				g.values.x[j], g.values.given[j], g.standard[j] = q.Seconds, true, none
			}
		}
	}
	return nil
}

// SetReading gives what was read, in the unit in which its kind is held.
func (g *Given) SetReading(q Quantity) { g.reads, g.hasReads = q, true }

// SetFigure gives a key its figure in the unit of its kind, with its standard
// uncertainty, or NaN for the usual one. It reports whether there is such a key
// and the figure is within its range.
func (g *Given) SetFigure(name string, x, standard float64) bool {
	i, err := g.model.key(name)
	if err != nil || !(x >= g.model.Keys[i].Low && x <= g.model.Keys[i].High) {
		return false
	}
	g.values.x[i], g.values.given[i], g.standard[i] = x, true, standard
	return true
}

// from converts a figure in the unit of the kind.
func (u *unit) from(x float64) float64 { return (x - u.offset) / u.factor }

// uncertainty is the standard uncertainty of a key.
func (g *Given) uncertainty(i int) float64 {
	k := &g.model.Keys[i]
	x := g.values.x[i]
	switch {
	case k.Kind == Word || math.IsNaN(x):
		return 0
	case !math.IsNaN(g.standard[i]):
		return g.standard[i]
	case g.values.given[i]:
		u := k.Given.standard(x)
		if g.rough[i] {
			u *= 2
		}
		return u
	}
	return k.Assumed.standard(x)
}

// meterUncertainty is the standard uncertainty of the instrument at a reading.
func (g *Given) meterUncertainty(at float64) float64 {
	switch {
	case g.hasReads && !math.IsNaN(g.reads.Standard):
		return g.reads.Standard
	case !math.IsNaN(g.meter):
		return g.meter
	case !math.IsNaN(g.relative):
		return g.relative * math.Abs(at)
	}
	u := g.model.Meter.standard(at)
	if g.hasReads && g.reads.Rough {
		u *= 2
	}
	return u
}

// Derived reports whether the model works the measured value out from its keys,
// so that nothing need be read beside them.
func (m *Model) Derived() bool { return m.derived }

// Explain says what a key is, its range and what is taken if it is left out.
func (k *Key) Explain() string {
	text := k.About
	if k.Kind == Word {
		text += ": " + strings.Join(k.Words, ", ")
	} else {
		u := mustUnit(k.Kind, k.Unit)
		text += fmt.Sprintf("; %s, %s to %s", k.Kind, figure(u.from(k.Low)), withUnit(k.Kind, k.Unit, k.High))
	}
	switch {
	case k.Optional:
		text += "; may be left out"
	case math.IsNaN(k.Default):
		text += "; needed"
	case k.Kind == Word:
		if i := int(k.Default); i < len(k.Words) {
			text += "; " + k.Words[i] + " if left out"
		}
	default:
		text += "; " + withUnit(k.Kind, k.Unit, k.Default) + " if left out"
	}
	return text
}

// Model is the model of the case.
func (g *Given) Model() *Model { return g.model }

// Limited reports whether the band is that of a rule, not of a prediction.
func (m *Model) Limited() bool { return m.limits != nil }
