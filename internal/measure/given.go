package measure

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"kg/internal/units"
)

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

// newGiven begins a case of a model with its defaults.
func newGiven(m *Model) *Given {
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
		q, err := parseQuantity(m.Kind, m.Unit, text)
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
	if q, err := parseQuantity(units.Share, "%", text); err == nil && strings.Contains(text, "%") && g.model.Kind != units.Share {
		if q.Value < 0 || q.Value > 100 {
			return fmt.Errorf("%s; %q is not between 0 and 100%%", usage, text)
		}
		g.relative = rectangular(q.Value / 100)
		return nil
	}
	k, bare := g.model.Kind, g.model.Unit
	if k == units.Temperature {
		k, bare = units.Difference, "K"
	}
	for _, sign := range []string{"±", "+/-", "+-"} {
		text = strings.TrimPrefix(strings.TrimSpace(text), sign)
	}
	q, err := parseQuantity(k, bare, text)
	if err != nil {
		return fmt.Errorf("%s: %w", usage, err)
	}
	if q.State != Figure || q.Value < 0 {
		return errNegative(usage)
	}
	g.meter = rectangular(q.Value)
	return nil
}

func errNegative(usage string) error { return fmt.Errorf("%s, from 0", usage) }

func (g *Given) set(i int, name, text string) error {
	k := &g.model.Keys[i]
	if k.Kind == units.Word {
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
	q, err := parseQuantity(k.Kind, k.Unit, text)
	if err != nil {
		return fmt.Errorf("reading %s: %w", name, err)
	}
	if q.State != Figure {
		return fmt.Errorf("%s is %s of the part, not a reading: give a number, like %s; what the meter shows is reads", name, k.Kind.Article(), example(k.Kind))
	}
	if q.Value < k.Low || q.Value > k.High {
		u := units.Usual(k.Kind, k.Unit)
		what := ""
		if q.Value < 0 && k.Low >= 0 && k.Kind != units.Temperature {
			what = " cannot be negative and"
		}
		why := ""
		if k.Beyond != "" {
			why = ": " + k.Beyond
		}
		return fmt.Errorf("%s%s has to be from %s to %s %s for %s; %s is outside%s", name, what,
			figure(u.Of(k.Low)), figure(u.Of(k.High)), u.Name(), g.model.Name, strings.TrimSpace(text), why)
	}
	g.values.x[i], g.values.given[i], g.standard[i], g.rough[i] = q.Value, true, q.Standard, q.Rough
	if q.Seconds > 0 {
		for j, other := range g.model.Keys {
			if other.Kind == units.Duration && !g.values.given[j] {
				g.values.x[j], g.values.given[j], g.standard[j] = q.Seconds, true, none
			}
		}
	}
	return nil
}

// setFigure gives a key its figure in the unit of its kind, with its standard
// uncertainty, or NaN for the usual one. It reports whether there is such a key
// and the figure is within its range.
func (g *Given) setFigure(name string, x, standard float64) bool {
	i, err := g.model.key(name)
	if err != nil || !(x >= g.model.Keys[i].Low && x <= g.model.Keys[i].High) {
		return false
	}
	g.values.x[i], g.values.given[i], g.standard[i] = x, true, standard
	return true
}

// uncertainty is the standard uncertainty of a key.
func (g *Given) uncertainty(i int) float64 {
	k := &g.model.Keys[i]
	x := g.values.x[i]
	switch {
	case k.Kind == units.Word || math.IsNaN(x):
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
