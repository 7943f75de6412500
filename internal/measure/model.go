package measure

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"kg/internal/signal"
	"kg/internal/spell"
	"kg/internal/units"
)

// most is how many keys a model can have.
const most = 12

// none marks a figure that there is not.
var none = math.NaN()

// Spread is the usual uncertainty of a figure given without one: it lies anywhere
// within plus and minus Half and the Relative part of itself.
type Spread struct{ Half, Relative float64 }

func (s Spread) standard(x float64) float64 {
	return rectangular(s.Half + float64(s.Relative*math.Abs(x)))
}

// Key is one thing that a model wants to know.
type Key struct {
	Name  string
	Also  []string // other names of it
	About string
	Kind  units.Kind
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

// Caution warns where work can hurt someone.
type Caution struct {
	Level signal.Word
	Text  string
}

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
	Kind units.Kind
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
	// state looks for what is not a reading of a working part.
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
	g := newGiven(m)
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
	if near, ok := spell.Nearest(name, valid); ok {
		return nil, nil, fmt.Errorf("there is no model %q: did you mean %s?", name, near)
	}
	return nil, nil, fmt.Errorf("there is no model %q among the %d there are", name, len(valid))
}

// Derived reports whether the model works the measured value out from its keys,
// so that nothing need be read beside them.
func (m *Model) Derived() bool { return m.derived }

// Explain says what a key is, its range and what is taken if it is left out.
func (k *Key) Explain() string {
	text := k.About
	if k.Kind == units.Word {
		text += ": " + strings.Join(k.Words, ", ")
	} else {
		u := units.Usual(k.Kind, k.Unit)
		text += fmt.Sprintf("; %s, %s to %s", k.Kind, figure(u.Of(k.Low)), withUnit(k.Kind, k.Unit, k.High))
	}
	switch {
	case k.Optional:
		text += "; may be left out"
	case math.IsNaN(k.Default):
		text += "; needed"
	case k.Kind == units.Word:
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

// suggest ends an error with the nearest valid word, or with all of them.
func suggest(s string, valid []string, what string) string {
	if near, ok := spell.Nearest(s, valid); ok {
		return "did you mean " + near + "?"
	}
	return what + " " + strings.Join(valid, ", ")
}
