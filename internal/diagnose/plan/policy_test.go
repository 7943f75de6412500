package plan

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// policy is what a rollout stands for, written down once more: from a state on,
// the least of repairing without tests, of the test that tells most for its cost
// and then the same again, and of the first repair and then the same again, as deep
// as is said.
func policy(s *search, st state, deepest int) float64 {
	total := st.total()
	if total <= negligible*s.all {
		return 0
	}
	best, first := s.sequence(st)
	if deepest == 0 || total < s.all/100 && !math.IsInf(best, 1) || best <= s.least(st)+total*s.cheapest(st) {
		return best
	}
	concentrated := func(mass []float64) float64 {
		sum, squares := 0.0, 0.0
		for _, m := range mass {
			sum += m
			squares += m * m
		}
		if sum == 0 {
			return 0
		}
		return squares / sum
	}
	pick, most := -1, 0.0
	for t, test := range s.Tests {
		if st.tests>>t&1 == 1 {
			continue
		}
		gain := -concentrated(st.mass)
		for r := range test.Results {
			after, _ := s.afterResult(st, t, r)
			gain += concentrated(after.mass)
		}
		if rate := gain / s.testCost(st, t); gain >= 1e-9*total && rate > most {
			pick, most = t, rate
		}
	}
	out := best
	if pick >= 0 {
		sum := total * s.testCost(st, pick)
		for r := range s.Tests[pick].Results {
			if after, comes := s.afterResult(st, pick, r); comes {
				sum += policy(s, after, deepest-1)
			}
		}
		out = math.Min(out, sum)
	}
	if first >= 0 {
		after, changed := s.afterRepair(st, first)
		out = math.Min(out, total*s.repairCost(st, first)+(total-changed)*s.Repairs[first].Wrong+policy(s, after, deepest-1))
	}
	return out
}

// Looking one step ahead values an option by its cost and the policy from there on.
func TestOneStepAheadIsTheStepAndThePolicyFromThere(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		s := newSearch(p)
		s.budget = 1_000_000
		st := s.start()
		total := st.total()
		for deepest := range deepestRollout + 1 {
			assert.InDelta(t, policy(s, st, deepest), newSearch(p).within(1_000_000).rollout(st, deepest), 1e-9*total)
		}
		cost, first := s.sequence(st)
		for _, o := range s.options(st, 1).Options {
			want := s.calling(st.mass)
			switch o.Kind {
			case DoTest:
				want = total * s.testCost(st, o.Index)
				for r := range p.Tests[o.Index].Results {
					if after, comes := s.afterResult(st, o.Index, r); comes {
						want += policy(s, after, deepestRollout)
					}
				}
			case DoRepair:
				after, changed := s.afterRepair(st, o.Index)
				want = total*s.repairCost(st, o.Index) + (total-changed)*p.Repairs[o.Index].Wrong + policy(s, after, deepestRollout)
				if o.Index == first {
					want = math.Min(want, cost)
				}
			}
			assert.InDelta(t, want/total, o.Cost, 1e-8, "%v", o)
		}
	})
}

// within sets how many states may be looked at.
func (s *search) within(states int) *search {
	s.limit = states
	return s
}

// At depth 0 a state is valued by the policy and nobody says that it is exact;
// with a step more its options are looked at.
func TestAStateIsLookedIntoAsDeepAsAskedFor(t *testing.T) {
	t.Parallel()
	p := testTree()
	for i := range p.Tests { // so that some order of tests has to be found
		p.Tests[i].Cost = float64(1 + i%3)
	}
	s := newSearch(p).within(100_000)
	v, exact := s.value(s.start(), 0)
	assert.False(t, exact)
	assert.Equal(t, 0, s.memo[s.start().key].depth)
	assert.InDelta(t, policy(s, s.start(), deepestRollout), v, 1e-9)
	assert.Len(t, s.memo, 1)

	deeper, exact := s.value(s.start(), 1)
	assert.False(t, exact)
	assert.Equal(t, 1, s.memo[s.start().key].depth)
	assert.LessOrEqual(t, deeper, v)
	steps := s.steps
	again, _ := s.value(s.start(), 1)
	assert.Equal(t, deeper, again)
	assert.Equal(t, steps, s.steps, "what is known is not worked out again")

	best, exact := s.value(s.start(), 20)
	assert.True(t, exact)
	assert.InDelta(t, optimum(p), best, 1e-9)
}
