package measure

import (
	"fmt"
	"math"
	"strings"

	"kg/internal/portable"
	"kg/internal/units"
)

// Verdict is what a reading says about a part.
type Verdict string

// The verdicts. Unjudged is that of an answer without a reading to judge.
const (
	Unjudged   Verdict = ""
	Healthy    Verdict = "healthy"
	Low        Verdict = "low"
	High       Verdict = "high"
	IsOpen     Verdict = "open"
	IsShort    Verdict = "short"
	Impossible Verdict = "impossible"
)

// Judgement is the answer of a model. Figures are in the unit of their kind; NaN
// where there is none.
type Judgement struct {
	given Given
	// Solved is the key that a reading was used to find, or -1; then Expected, Low
	// and High are its figures.
	Solved int
	// Expected is what a healthy part reads, Standard its combined standard
	// uncertainty without the tolerance of the part, Tolerance the half-width of
	// that, Expanded the expanded uncertainty of all (k = 2).
	Expected, Standard, Tolerance, Expanded float64
	// Low and High bound the band. An infinity is not a bound.
	Low, High float64
	Verdict   Verdict
	// Probability that the part conforms (JCGM 106); NaN without a reading.
	Probability float64
	// Why says in words what led to a verdict of open, short or impossible.
	Why string
	// parts are the contributions of the keys to the standard uncertainty; meter
	// and formula those of the instrument and of the formula itself.
	parts          [most]float64
	meter, formula float64
	scratch        values
}

// Judge works a case out. The error names a key that is missing or figures that
// do not go together.
func (g *Given) Judge() (Judgement, error) {
	var j Judgement
	err := g.judgeInto(&j)
	return j, err
}

// judgeInto is Judge for those who judge often: it uses the memory of a judgement
// that there is already, and allocates nothing unless it returns an error.
func (g *Given) judgeInto(j *Judgement) error {
	m := g.model
	*j = Judgement{given: *g, Solved: -1, Probability: none, Expected: none, Low: math.Inf(-1), High: math.Inf(1)}
	g = &j.given
	if g.hasReads && !m.derived {
		for _, key := range m.reverse {
			if !g.values.given[key] && (m.skip == nil || !m.skip(&g.values, key)) {
				j.Solved = key
				break
			}
		}
	}
	for i, k := range m.Keys {
		if math.IsNaN(g.values.x[i]) && !k.Optional && i != j.Solved {
			return fmt.Errorf("%s needs %s (%s), like %s=%s", m.Name, k.Name, k.About, k.Name, k.example())
		}
	}
	if m.check != nil {
		if err := m.check(&g.values); err != nil {
			return fmt.Errorf("%s: %w", m.Name, err)
		}
	}
	if j.Solved >= 0 {
		j.reverse()
	} else {
		j.predict()
		j.verdict()
	}
	if finite(j.Expected) && !(finite(j.Standard) && finite(j.Expanded)) {
		return fmt.Errorf("%s: these figures lead to no answer with a finite uncertainty: check them and their units", m.Name)
	}
	return nil
}

// example is a value that the key takes.
func (k *Key) example() string {
	switch usual, unit := example(k.Kind), units.Usual(k.Kind, k.Unit).Name(); {
	case len(k.Words) > 0:
		return k.Words[0]
	case strings.HasSuffix(usual, unit) || k.Kind == units.Number || k.Kind == units.Resistance:
		return usual
	default:
		return "..." + unit
	}
}

// spread fills in what each key adds to the uncertainty of the prediction y, and
// returns the sum of the squares.
func (j *Judgement) spread(y float64) float64 {
	g := &j.given
	f := g.model.predict
	v := &j.scratch
	*v = g.values
	var sum float64
	for i := range g.model.Keys {
		u := g.uncertainty(i)
		if u == 0 || i == j.Solved {
			continue
		}
		// GUM 5.1.4, note 2: half the change over plus and minus u.
		v.x[i] = g.values.x[i] + u
		up := f(v)
		v.x[i] = g.values.x[i] - u
		down := f(v)
		v.x[i] = g.values.x[i]
		var c float64
		switch {
		case finite(up) && finite(down):
			c = (up - down) / 2
		case finite(up):
			c = up - y
		case finite(down):
			c = y - down
		}
		j.parts[i] = math.Abs(c)
		sum += float64(c * c)
	}
	return sum
}

func finite(x float64) bool { return !math.IsInf(x, 0) && !math.IsNaN(x) }

func (j *Judgement) predict() {
	g := &j.given
	m := g.model
	j.Expected = m.predict(&g.values)
	y := j.Expected
	var sum float64
	if finite(y) {
		sum = j.spread(y)
		if m.tolerance != nil {
			j.Tolerance = math.Abs(m.tolerance(&g.values, y))
		}
	}
	if m.approximate != nil {
		j.formula = m.approximate(&g.values, y)
	}
	at := y
	if g.hasReads && g.reads.State == Figure && m.limits != nil {
		at = g.reads.Value
	}
	if !m.derived && finite(at) {
		j.meter = g.meterUncertainty(at)
	}
	j.Standard = math.Sqrt(sum + float64(j.formula*j.formula) + float64(j.meter*j.meter))
	j.Expanded = coverage * portable.Hypot(j.Standard, rectangular(j.Tolerance))
	switch {
	case m.limits != nil:
		j.Low, j.High = m.limits(&g.values)
	case finite(y):
		j.Low, j.High = y-j.Expanded, y+j.Expanded
		if m.Kind == units.Resistance || m.Kind == units.Section || m.Kind == units.Volume {
			j.Low = max(j.Low, 0)
		}
	}
}

func (j *Judgement) verdict() {
	g := &j.given
	m := g.model
	reads := g.reads.Value
	switch {
	case m.derived:
		if m.limits == nil && m.state == nil || !g.hasReads && m.measured != nil && !m.measured(&g.values) {
			return
		}
		reads = j.Expected
		if g.hasReads { // someone else's figure for the same
			reads = g.reads.Value
		}
	case !g.hasReads:
		return
	}
	if g.reads.State == Open && m.beyond {
		j.Probability, j.Verdict = 1, Healthy
		return
	}
	if g.reads.State != Figure {
		j.Probability = 0
		j.Verdict = IsOpen
		if g.reads.State == Short {
			j.Verdict = IsShort
		}
		return
	}
	if j.Verdict, j.Why = j.absurd(reads); j.Verdict != Unjudged {
		j.Probability = 0
		return
	}
	low, high, u := j.Low, j.High, j.Standard
	if m.limits == nil {
		if m.derived || !finite(j.Expected) {
			return
		}
		half := j.Tolerance
		if m.service != nil {
			half = max(half, math.Abs(m.service(&g.values, j.Expected)))
		}
		if half == 0 {
			half = j.Expanded
		}
		low, high = j.Expected-half, j.Expected+half
	}
	if math.IsInf(low, -1) && math.IsInf(high, 1) || math.IsNaN(low) || math.IsNaN(high) {
		return
	}
	j.Probability = conformity(low, high, reads, u)
	// A figure that only rounding keeps from a limit is on it.
	const rounding = 1e-9
	switch {
	case reads < j.Low-float64(rounding*math.Abs(j.Low)):
		j.Verdict = Low
	case reads > j.High+float64(rounding*math.Abs(j.High)):
		j.Verdict = High
	default:
		j.Verdict = Healthy
	}
}

// absurd looks for readings that no working part gives.
func (j *Judgement) absurd(reads float64) (Verdict, string) {
	m := j.given.model
	switch m.Kind {
	case units.Resistance, units.Duration, units.Length, units.Volume, units.Line, units.Section, units.Surface, units.Flow:
		if reads < 0 {
			return Impossible, "there is no negative " + m.Kind.String() + ": check the leads, and that nothing is live"
		}
	}
	if m.state != nil {
		return m.state(&j.given.values, reads)
	}
	return Unjudged, ""
}
