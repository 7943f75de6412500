package measure

import (
	"fmt"
	"math"

	"kg/internal/portable"
	"kg/internal/units"
)

// Hypothesis is something that may be the matter with a part, or that nothing is.
type Hypothesis struct {
	Name string
	// State is what its meter shows: a figure, or open or short.
	State State
	// Offset is by how much it reads wrong and Spread the standard deviation of that
	// from part to part, both as a part of the healthy reading and in its unit.
	Offset, Spread Deviation
}

// Deviation is a difference of a reading from what it should be: Relative times
// the healthy reading plus Absolute, in the unit of the kind of the reading.
type Deviation struct{ Relative, Absolute float64 }

func (d Deviation) at(y float64) float64 { return float64(d.Relative*y) + d.Absolute }

// HealthyPart reads within its tolerance.
func HealthyPart() Hypothesis { return Hypothesis{Name: "healthy"} }

// DriftedPart reads off by an offset that varies with a spread.
func DriftedPart(name string, offset, spread Deviation) Hypothesis {
	return Hypothesis{Name: name, Offset: offset, Spread: spread}
}

// OpenPart shows OL, ShortPart a short.
func OpenPart() Hypothesis  { return Hypothesis{Name: "open", State: Open} }
func ShortPart() Hypothesis { return Hypothesis{Name: "short", State: Short} }

// How often a meter shows something else than the part is: the probes slip, a lead
// is broken, a figure is written down wrong. Common practice, from memory.
const (
	slips    = 0.01 // a figure that has nothing to do with the part
	falseOL  = 0.01 // open, though it is not
	falseLow = 0.002
	brokenOL = 0.97 // open, and it shows
)

// Likelihoods says how well each hypothesis explains readings of one part, taken
// under one or several conditions: proportional to the probability of the readings
// under each, the greatest of them 1. A hypothesis that is not listed has none.
//
// Each reading has its own error, by its uncertainty budget (GUM); what is wrong
// with the part is the same for all, so that the readings of one part are
// correlated by its tolerance or spread. All are taken as normal, with a share of
// slips so that no single figure rules anything out for good.
//
// The error says which reading cannot be used.
func Likelihoods(readings []*Given, hypotheses []Hypothesis) ([]float64, error) {
	out := make([]float64, len(hypotheses))
	most := math.Inf(-1)
	for i := range hypotheses {
		l, err := logLikelihood(readings, &hypotheses[i])
		if err != nil {
			return nil, fmt.Errorf("weighing %q: %w", hypotheses[i].Name, err)
		}
		out[i] = l
		most = max(most, l)
	}
	for i := range out {
		out[i] = portable.Exp(out[i] - most)
	}
	return out, nil
}

func logLikelihood(readings []*Given, h *Hypothesis) (float64, error) {
	var sum float64 // of the states
	// The figures: a normal distribution with the covariance diag(u²) + s s',
	// by the formula of Sherman and Morrison.
	var squares, cross, common, logs, slip float64
	figures := 0
	var nominal Given
	var j Judgement
	for n, r := range readings {
		if !r.hasReads {
			return 0, fmt.Errorf("reading %d has no figure: set reads", n+1)
		}
		sum += portable.Log(stateChance(h.State, r.reads.State))
		if r.reads.State != Figure {
			continue
		}
		figures++
		nominal = *r
		nominal.hasReads = false
		if err := nominal.judgeInto(&j); err != nil {
			return 0, fmt.Errorf("reading %d: %w", n+1, err)
		}
		if !finite(j.Expected) || r.model.limits != nil {
			return 0, fmt.Errorf("reading %d: %s has limits, not a figure that a healthy part shows", n+1, r.model.Name)
		}
		x, y := r.reads.Value, j.Expected
		slip += portable.Log(broad(r.model.Kind, x, y))
		if h.State != Figure {
			continue
		}
		u := max(j.Standard, 1e-9*math.Abs(y), 1e-12)
		d := x - y - h.Offset.at(y)
		s := portable.Hypot(h.Spread.at(y), rectangular(j.Tolerance))
		w := 1 / (u * u)
		squares += float64(d * d * w)
		cross += float64(d * s * w)
		common += float64(s * s * w)
		logs += portable.Log(u)
	}
	if figures == 0 {
		return sum, nil
	}
	if h.State != Figure {
		return sum + slip, nil
	}
	normal := float64(-(squares-cross*cross/(1+common))/2) - float64(portable.Log1p(common)/2) - logs - float64(float64(figures)/2*portable.Log(2*math.Pi))
	return sum + logSum(portable.Log(1-slips)+normal, portable.Log(slips)+slip), nil
}

// stateChance is how often a meter shows a state.
func stateChance(is, shows State) float64 {
	switch {
	case is == Figure:
		return [...]float64{1 - falseOL - falseLow, falseOL, falseLow}[min(shows, 2)]
	case is == shows:
		return brokenOL
	}
	return (1 - brokenOL) / 2
}

// broad is the density of a figure that has nothing to do with the part: for a
// resistance even on a logarithmic scale over six decades, else even over ten
// times what is met.
func broad(k units.Kind, x, y float64) float64 {
	const decades, times, least = 6, 10, 1e-9
	if k == units.Resistance {
		return 1 / (max(x, 0.1) * decades * math.Ln10)
	}
	return 1 / max(times*max(math.Abs(x), math.Abs(y)), least)
}

// logSum is log(exp(a) + exp(b)).
func logSum(a, b float64) float64 {
	if b > a {
		a, b = b, a
	}
	if math.IsInf(a, -1) {
		return a
	}
	return a + portable.Log1p(portable.Exp(b-a))
}
