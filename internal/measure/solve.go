package measure

import (
	"fmt"
	"math"

	"kg/internal/portable"
	"kg/internal/units"
)

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
		u := units.Usual(k.Kind, k.Unit)
		g.values.x[j.Solved] = low
		a := m.predict(&g.values)
		g.values.x[j.Solved] = high
		b := m.predict(&g.values)
		g.values.x[j.Solved] = none
		j.Probability = 0
		j.Verdict = Impossible
		out := units.Usual(m.Kind, m.Unit)
		if m.Kind == units.Resistance {
			if reads > max(a, b) {
				j.Verdict = IsOpen
			} else {
				j.Verdict = IsShort
			}
		}
		j.Why = fmt.Sprintf("no %s from %s to %s %s gives that reading; they give %s to %s %s", k.Name,
			figure(u.Of(low)), figure(u.Of(high)), u.Name(), figure(out.Of(min(a, b))), figure(out.Of(max(a, b))), out.Name())
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
	j.Expanded = coverage * portable.Hypot(j.Standard, rectangular(j.Tolerance))
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
