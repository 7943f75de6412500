package main

import (
	"math"
	"math/rand/v2"

	"kg/internal/diagnose/plan"
)

// setting is a kind of random problems.
type setting struct {
	name string
	draw func(*rand.Rand) plan.Problem
}

// The two settings of the published comparison that the figures to beat come
// from: tests that never err, where the fault has to be identified; and tests
// that do, where a part that was not the fault is paid for all the same.
var settings = []setting{
	{"12 faults, 16 perfect tests", perfect},
	{"6 faults, 6 noisy tests, wrong parts charged", noisy},
}

// shares draws n probabilities, some of them much larger than others.
func shares(r *rand.Rand, n int) []float64 {
	out := make([]float64, n)
	sum := 0.0
	for i := range out {
		out[i] = r.ExpFloat64()
		sum += out[i]
	}
	for i := range out {
		out[i] /= sum
	}
	return out
}

// faults is a problem in which exactly one of n faults is there.
func faults(r *rand.Rand, n int, cost func() float64) plan.Problem {
	p := plan.Problem{Worlds: shares(r, n)}
	for f := range n {
		repair := plan.Repair{Cost: cost()}
		for w := range n {
			repair.After = append(repair.After, w)
		}
		repair.After[f] = plan.Works
		p.Repairs = append(p.Repairs, repair)
	}
	return p
}

func perfect(r *rand.Rand) plan.Problem {
	p := faults(r, 12, func() float64 { return 0 })
	for i := range p.Repairs {
		p.Repairs[i].Wrong = math.Inf(1)
	}
	for range 16 {
		yes, no := make([]float64, 12), make([]float64, 12)
		for w := range yes {
			if r.IntN(2) == 1 {
				yes[w] = 1
			} else {
				no[w] = 1
			}
		}
		p.Tests = append(p.Tests, plan.Test{Cost: 1 + 9*r.Float64(), Results: [][]float64{yes, no}})
	}
	// Faults that no test tells apart could never be identified.
	for a := range 12 {
		for b := range a {
			if same(p, a, b) {
				return perfect(r)
			}
		}
	}
	return p
}

func same(p plan.Problem, a, b int) bool {
	for _, t := range p.Tests {
		if t.Results[0][a] != t.Results[0][b] {
			return false
		}
	}
	return true
}

func noisy(r *rand.Rand) plan.Problem {
	p := faults(r, 6, func() float64 { return 10 + 90*r.Float64() })
	for range 6 {
		yes, no := make([]float64, 6), make([]float64, 6)
		for w := range yes {
			yes[w] = 0.05 + 0.1*r.Float64()
			if r.IntN(2) == 1 {
				yes[w] = 1 - yes[w]
			}
			no[w] = 1 - yes[w]
		}
		p.Tests = append(p.Tests, plan.Test{Cost: 1 + 9*r.Float64(), Results: [][]float64{yes, no}})
	}
	return p
}
