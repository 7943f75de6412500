package measure

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"kg/internal/portable"
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
	// Low and High bound the band. An infinity is no bound.
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
	err := g.JudgeInto(&j)
	return j, err
}

// JudgeInto is Judge for those who judge often: it uses the memory of a judgement
// that there is already, and allocates nothing unless it returns an error.
func (g *Given) JudgeInto(j *Judgement) error {
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
	switch usual, unit := example(k.Kind), mustUnit(k.Kind, k.Unit).name(); {
	case len(k.Words) > 0:
		return k.Words[0]
	case strings.HasSuffix(usual, unit) || k.Kind == Number || k.Kind == Resistance:
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
	j.Expanded = Coverage * portable.Hypot(j.Standard, Rectangular(j.Tolerance))
	switch {
	case m.limits != nil:
		j.Low, j.High = m.limits(&g.values)
	case finite(y):
		j.Low, j.High = y-j.Expanded, y+j.Expanded
		if m.Kind == Resistance || m.Kind == Section || m.Kind == Volume {
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
	j.Probability = Conformity(low, high, reads, u)
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
	case Resistance, Duration, Length, Volume, Line, Section, Surface, Flow:
		if reads < 0 {
			return Impossible, "there is no negative " + m.Kind.String() + ": check the leads, and that nothing is live"
		}
	}
	if m.state != nil {
		return m.state(&j.given.values, reads)
	}
	return Unjudged, ""
}

// reverse finds the key that makes the prediction the reading.
func (j *Judgement) reverse() {
	g := &j.given
	m := g.model
	k := &m.Keys[j.Solved]
	if g.reads.State != Figure {
		j.Verdict, j.Probability = IsOpen, 0
		if g.reads.State == Short {
			j.Verdict = IsShort
		}
		return
	}
	reads := g.reads.Value
	g.values.given[j.Solved] = true
	g.values.x[j.Solved] = none
	if j.Verdict, j.Why = j.absurd(reads); j.Verdict != Unjudged {
		j.Probability = 0
		return
	}
	low, high := j.within(&g.values)
	w := &j.scratch
	*w = g.values
	x := solve(func(x float64) float64 {
		w.x[j.Solved] = x
		return m.predict(w) - reads
	}, low, high)
	if !finite(x) {
		u := mustUnit(k.Kind, k.Unit)
		g.values.x[j.Solved] = low
		a := m.predict(&g.values)
		g.values.x[j.Solved] = high
		b := m.predict(&g.values)
		g.values.x[j.Solved] = none
		j.Probability = 0
		j.Verdict = Impossible
		out := mustUnit(m.Kind, m.Unit)
		if m.Kind == Resistance {
			if reads > max(a, b) {
				j.Verdict = IsOpen
			} else {
				j.Verdict = IsShort
			}
		}
		j.Why = fmt.Sprintf("no %s from %s to %s %s gives that reading; they give %s to %s %s", k.Name,
			figure(u.from(low)), figure(u.from(high)), u.name(), figure(out.from(min(a, b))), figure(out.from(max(a, b))), out.name())
		return
	}
	g.values.x[j.Solved] = x
	slope := j.slope(x)
	y := m.predict(&g.values)
	// The figure that was solved for moves by what the prediction moves, over the
	// slope (GUM 5.1.3, to first order).
	sum := j.spread(y) / (slope * slope)
	for i := range j.parts {
		j.parts[i] /= slope
	}
	j.meter = g.meterUncertainty(reads) / slope
	if m.approximate != nil {
		j.formula = m.approximate(&g.values, y) / slope
	}
	if m.tolerance != nil {
		j.Tolerance = math.Abs(m.tolerance(&g.values, y)) / slope
	}
	j.Expected = x
	j.Standard = math.Sqrt(sum + float64(j.meter*j.meter) + float64(j.formula*j.formula))
	j.Expanded = Coverage * portable.Hypot(j.Standard, Rectangular(j.Tolerance))
	j.Low, j.High = x-j.Expanded, x+j.Expanded
	if k.Low >= 0 {
		j.Low = max(j.Low, k.Low)
	}
}

// within is where the key that is solved for is looked for.
func (j *Judgement) within(v *values) (low, high float64) {
	m := j.given.model
	if m.within != nil {
		return m.within(v, j.Solved)
	}
	return m.Keys[j.Solved].Low, m.Keys[j.Solved].High
}

// slope is how fast the prediction changes with the key that was solved for.
func (j *Judgement) slope(x float64) float64 {
	m := j.given.model
	k := &m.Keys[j.Solved]
	const part = 1e-4
	h := part * (k.High - k.Low)
	h = min(h, part*max(math.Abs(x), 1)*10)
	v := &j.scratch
	*v = j.given.values
	v.x[j.Solved] = min(x+h, k.High)
	up, top := m.predict(v), v.x[j.Solved]
	v.x[j.Solved] = max(x-h, k.Low)
	down, bottom := m.predict(v), v.x[j.Solved]
	return math.Abs((up - down) / (top - bottom))
}

// solve finds a root of f between low and high by Ridders' method (C. Ridders
// 1979), or NaN if both ends are on one side. Infinite values count by their
// sign: the bracket is halved until they are gone.
func solve(f func(float64) float64, low, high float64) float64 {
	a, b := low, high
	fa, fb := f(a), f(b)
	if fa == 0 {
		return a
	}
	if fb == 0 {
		return b
	}
	if math.IsNaN(fa) || math.IsNaN(fb) || fa > 0 == (fb > 0) {
		return none
	}
	const rounds, precise = 60, 1e-12
	for range rounds {
		m := float64((a + b) / 2)
		fm := f(m)
		if fm == 0 || math.IsNaN(fm) {
			return m
		}
		x, fx := m, fm
		if finite(fa) && finite(fb) && finite(fm) {
			x = m + (m-a)*math.Copysign(1, fa-fb)*fm/math.Sqrt(float64(fm*fm)-float64(fa*fb))
			if fx = f(x); fx == 0 || math.IsNaN(fx) {
				return x
			}
		}
		switch {
		case fm > 0 != (fx > 0):
			a, fa, b, fb = m, fm, x, fx
		case fa > 0 != (fx > 0):
			b, fb = x, fx
		default:
			a, fa = x, fx
		}
		if math.Abs(b-a) <= precise*max(1, math.Abs(a)) {
			break
		}
	}
	if math.Abs(fa) < math.Abs(fb) {
		return a
	}
	return b
}

// Model is the model that answered.
func (j *Judgement) Model() *Model { return j.given.model }

// Unit is the name of the unit in which Expected, Low and High are printed, and
// convert brings a figure into it.
func (j *Judgement) Unit() string { return j.unit().name() }

func (j *Judgement) unit() *unit {
	m := j.given.model
	if j.Solved >= 0 {
		return mustUnit(m.Keys[j.Solved].Kind, m.Keys[j.Solved].Unit)
	}
	return mustUnit(m.Kind, m.Unit)
}

// In brings a figure of the answer into its Unit.
func (j *Judgement) In(x float64) float64 { return j.unit().from(x) }

// WidthUnit is the unit of a width: kelvin for temperatures, else Unit.
func (j *Judgement) WidthUnit() string {
	if u := j.unit(); u.kind == Temperature {
		return "K"
	}
	return j.Unit()
}

// Width brings a width of the answer, such as Expanded, into its Unit.
func (j *Judgement) Width(x float64) float64 { return x / j.unit().factor }

// Reads is the reading in the model's unit, and whether there is one.
func (j *Judgement) Reads() (Quantity, bool) {
	q := j.given.reads
	u := mustUnit(j.given.model.Kind, j.given.model.Unit)
	q.Value = u.from(q.Value)
	q.Standard /= u.factor
	return q, j.given.hasReads
}

// ReadsUnit is the name of the unit of the reading.
func (j *Judgement) ReadsUnit() string {
	return mustUnit(j.given.model.Kind, j.given.model.Unit).name()
}

// SolvedName is the name of the key that was solved for, or "".
func (j *Judgement) SolvedName() string {
	if j.Solved < 0 {
		return ""
	}
	return j.given.model.Keys[j.Solved].Name
}

// Means is what the reading would mean if the part were healthy: the key that it
// tells, its figure and its unit. ok is false where the model cannot tell.
func (j *Judgement) Means() (name string, x float64, unit string, ok bool) {
	m := j.given.model
	if j.Solved >= 0 || !j.given.hasReads || m.derived || len(m.reverse) == 0 || j.given.reads.State != Figure {
		return "", none, "", false
	}
	g := j.given
	key := m.reverse[0]
	g.values.given[key] = false
	var back Judgement
	if g.JudgeInto(&back) != nil || back.Solved != key || !finite(back.Expected) {
		return "", none, "", false
	}
	return m.Keys[key].Name, back.In(back.Expected), back.Unit(), true
}

// Part is how much of the variance comes from one figure.
type Part struct {
	Name    string // a key, or "meter", "tolerance", "formula"
	Share   float64
	Assumed bool // the figure was not given
	Usual   bool // its uncertainty was not given
}

// Parts returns what the uncertainty is made of, the largest first, without what
// is less than a hundredth.
func (j *Judgement) Parts() []Part {
	const little = 0.01
	g := &j.given
	total := float64(j.Standard*j.Standard) + j.Tolerance*j.Tolerance/3
	if total == 0 {
		return nil
	}
	var out []Part
	add := func(name string, u float64, assumed, usual bool) {
		if share := u * u / total; share >= little {
			out = append(out, Part{name, share, assumed, usual})
		}
	}
	for i, k := range g.model.Keys {
		add(k.Name, j.parts[i], !g.values.given[i], math.IsNaN(g.standard[i]))
	}
	add(meterName, j.meter, false, math.IsNaN(g.meter) && math.IsNaN(g.relative) && math.IsNaN(g.reads.Standard))
	add("tolerance", Rectangular(j.Tolerance), false, false)
	add("formula", j.formula, false, false)
	slices.SortStableFunc(out, func(a, b Part) int {
		switch {
		case a.Share > b.Share:
			return -1
		case a.Share < b.Share:
			return 1
		}
		return 0
	})
	return out
}

// Missing names the keys that were not given and widen the band, the one that
// would narrow it most first.
func (j *Judgement) Missing() []string {
	out := []string{}
	for _, p := range j.Parts() {
		if p.Assumed && p.Name != j.SolvedName() {
			out = append(out, p.Name)
		}
	}
	return out
}

// Assumed lists the defaults that were used, as "key=value unit".
func (j *Judgement) Assumed() []string {
	var out []string
	g := &j.given
	for i, k := range g.model.Keys {
		if g.values.given[i] || math.IsNaN(g.values.x[i]) || i == j.Solved {
			continue
		}
		if k.Kind == Word {
			out = append(out, k.Name+"="+g.model.word(&g.values, i))
			continue
		}
		text := k.Name + "=" + withUnit(k.Kind, k.Unit, g.values.x[i])
		if u := g.uncertainty(i); u > 0 {
			text += " ± " + halfWidth(k.Kind, k.Unit, u)
		}
		out = append(out, text)
	}
	return out
}

// Usual lists the uncertainties that were taken for figures given without one, as
// "key ± half-width unit", as far as they count.
func (j *Judgement) Usual() []string {
	var out []string
	g := &j.given
	for _, p := range j.Parts() {
		switch i, err := g.model.key(p.Name); {
		case !p.Usual || p.Assumed:
		case p.Name == meterName:
			at := j.Expected
			if j.Solved >= 0 || g.model.limits != nil && g.hasReads {
				at = g.reads.Value
			}
			out = append(out, meterName+" ± "+halfWidth(g.model.Kind, g.model.Unit, g.meterUncertainty(at)))
		case err == nil:
			k := &g.model.Keys[i]
			out = append(out, k.Name+" ± "+halfWidth(k.Kind, k.Unit, g.uncertainty(i)))
		}
	}
	return out
}

// halfWidth prints the half-width of the range that a standard uncertainty is of,
// to two digits.
func halfWidth(k Kind, name string, standard float64) string {
	u := mustUnit(k, name)
	text := strconv.FormatFloat(standard*math.Sqrt(3)/u.factor, 'g', 2, 64)
	if short, err := strconv.ParseFloat(text, 64); err == nil {
		text = figure(short)
	}
	switch k {
	case Temperature:
		return text + " K"
	case Number:
		return text
	}
	return text + " " + u.name()
}

// withUnit prints a figure held in the unit of its kind.
func withUnit(k Kind, name string, x float64) string {
	u := mustUnit(k, name)
	if u.kind == Number {
		return figure(u.from(x))
	}
	return figure(u.from(x)) + " " + u.name()
}

// Formula is the formula with the numbers put in.
func (j *Judgement) Formula() string {
	g := &j.given
	y := j.Expected
	if j.Solved >= 0 {
		if !finite(y) {
			return ""
		}
		y = g.model.predict(&g.values)
	}
	if g.model.formula == nil || !finite(y) && g.model.limits == nil {
		return ""
	}
	return g.model.formula(&g.values, y)
}

// Details are further figures of the answer.
func (j *Judgement) Details() []Detail {
	g := &j.given
	if g.model.more == nil || j.Solved >= 0 && !finite(j.Expected) {
		return nil
	}
	y := j.Expected
	if j.Solved >= 0 {
		y = g.model.predict(&g.values)
	}
	return g.model.more(&g.values, y)
}

// Remark is what the answer has to say about itself, or "".
func (j *Judgement) Remark() string {
	m := j.given.model
	if m.remark == nil {
		return ""
	}
	return m.remark(j, &j.given.values)
}

// known reports whether a key has a figure.
func (v *values) known(key int) bool { return !math.IsNaN(v.x[key]) }

// Given is the case that was judged.
func (j *Judgement) Given() *Given { return &j.given }
