package plan

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func advice(t require.TestingT, p Problem, b Budget) Advice {
	a, err := Next(context.Background(), p, b)
	require.NoError(t, err)
	return a
}

// Whatever is said to be exact is the optimum, and nothing that is advised
// promises less than the optimum costs.
func TestAdviceAgreesWithGoingThroughEverything(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		total := 0.0
		for _, w := range p.Worlds {
			total += w
		}
		want := optimum(p) / total
		a := advice(t, p, Budget{Work: math.MaxInt})
		assert.True(t, a.Exact)
		assert.InEpsilon(t, want, a.Options[0].Cost, 1e-6)
		quick := advice(t, p, Budget{Work: 1})
		assert.GreaterOrEqual(t, quick.Options[0].Cost, want*(1-1e-9))
	})
}

// single is a problem of faults of which exactly one is there.
func single(probability, cost []float64) Problem {
	p := Problem{Worlds: probability}
	for f := range probability {
		r := Repair{Cost: cost[f]}
		for w := range probability {
			r.After = append(r.After, w)
		}
		r.After[f] = Works
		p.Repairs = append(p.Repairs, r)
	}
	return p
}

// Kadane and Simon 1977; Heckerman, Breese and Rommelse 1995: by probability over
// cost 79.75, by probability 112.25, by cost 80.50. Figures recomputed by hand.
func TestOrderOfRepairsIsByProbabilityOverCost(t *testing.T) {
	t.Parallel()
	p := single([]float64{.5, .3, .15, .05}, []float64{100, 20, 10, 5})
	a := advice(t, p, Budget{})
	assert.InDelta(t, 79.75, a.Options[0].Cost, 1e-9)
	assert.Equal(t, Option{DoRepair, 1, a.Options[0].Cost}, Option{a.Options[0].Kind, a.Options[0].Index, a.Options[0].Cost})
	inOrder := func(order ...int) float64 {
		return expected(p, func(_ Problem, st state) Option {
			for _, r := range order {
				if st.repairs>>r&1 == 0 {
					return Option{Kind: DoRepair, Index: r}
				}
			}
			return Option{Kind: DoCall}
		})
	}
	assert.InDelta(t, 112.25, inOrder(0, 1, 2, 3), 1e-9)
	assert.InDelta(t, 80.50, inOrder(3, 2, 1, 0), 1e-9)
}

// testTree is the problem of Pattipati and Alexandridis 1990: six states of a
// system, five tests of unit cost that never err. Only the state that is proved
// may be repaired.
func testTree() Problem {
	p := single([]float64{.70, .01, .02, .10, .05, .12}, make([]float64, 6))
	for i := range p.Repairs {
		p.Repairs[i].Wrong = math.Inf(1)
	}
	results := []string{"00000", "01001", "00110", "10011", "11000", "11110"}
	for t := range 5 {
		one, zero := make([]float64, 6), make([]float64, 6)
		for w, r := range results {
			if r[t] == '1' {
				one[w] = 1
			} else {
				zero[w] = 1
			}
		}
		p.Tests = append(p.Tests, Test{Cost: 1, Results: [][]float64{one, zero}})
	}
	return p
}

// The published optimum is 2.18; taking at each step the test that gains most
// information costs 2.86.
func TestTestTreeIsThePublishedOne(t *testing.T) {
	t.Parallel()
	p := testTree()
	a := advice(t, p, Budget{})
	assert.InDelta(t, 2.18, a.Options[0].Cost, 1e-9)
	assert.True(t, a.Exact)
	assert.InDelta(t, 2.86, expected(p, informationAlone), 1e-9)
}

// informationAlone takes the test with the most information (Shannon 1948) per
// cost while any tells something, then repairs by probability over cost.
func informationAlone(p Problem, st state) Option {
	s := newSearch(p)
	entropy := func(mass []float64) float64 {
		total, h := 0.0, 0.0
		for _, m := range mass {
			total += m
		}
		for _, m := range mass {
			if m > 0 {
				h -= m * math.Log2(m/total)
			}
		}
		return h
	}
	best, pick := 1e-9, -1
	for t := range p.Tests {
		if st.tests>>t&1 == 1 {
			continue
		}
		gain := entropy(st.mass)
		for r := range p.Tests[t].Results {
			if after, comes := s.afterResult(st, t, r); comes {
				gain -= entropy(after.mass)
			}
		}
		if gain /= s.testCost(st, t); gain > best {
			best, pick = gain, t
		}
	}
	if pick >= 0 {
		return Option{Kind: DoTest, Index: pick}
	}
	_, first := s.sequence(st)
	if first < 0 {
		return Option{Kind: DoCall}
	}
	return Option{Kind: DoRepair, Index: first}
}
