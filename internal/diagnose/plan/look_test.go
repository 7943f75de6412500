package plan

import (
	"context"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// wide is a problem of so many faults, with a test for each that tells it, the
// cheaper the later. Made up.
func wide(n int) Problem {
	p := single(slices.Repeat([]float64{1}, n), slices.Repeat([]float64{50}, n))
	for f := range n {
		yes, no := make([]float64, n), slices.Repeat([]float64{1}, n)
		yes[f], no[f] = 1, 0
		p.Tests = append(p.Tests, Test{Cost: 1 + float64(n-1-f)/10, Results: [][]float64{yes, no}})
		p.Repairs[f].Cost += float64(n - 1 - f)
		p.Repairs[f].Wrong = 1
	}
	return p
}

// Of few tests and repairs all are looked at. Of many only those that promise most
// are, and the plan does not say to be exact then.
func TestWhatIsLeftOutIsNotSaidToBeExact(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		faults, width, tests, repairs int
		exact                         bool
	}{
		{8, widthAtStart, 8, 8, true},
		{8, widthBelow, 8, 8, true},
		{9, widthAtStart, 9, 4, false},
		{9, widthBelow, 5, 4, false},
		{12, widthAtStart, 12, 4, false},
		{13, widthAtStart, 12, 4, false},
	} {
		s := newSearch(wide(c.faults))
		exact := true
		var tests, repairs []int
		for _, o := range s.candidates(s.start(), math.Inf(1), c.width, &exact) {
			if o.Kind == DoTest {
				tests = append(tests, o.Index)
			} else {
				repairs = append(repairs, o.Index)
			}
		}
		best := func(n int) (out []int) { // the last ones are the cheapest
			for i := range n {
				out = append(out, c.faults-1-i)
			}
			if n == c.faults { // nothing was left out: they are as they were
				slices.Reverse(out)
			}
			return out
		}
		assert.Equal(t, best(c.tests), tests, "the cheapest of %d as good tests", c.faults)
		assert.Equal(t, best(c.repairs), repairs)
		assert.Equal(t, c.exact, exact)
	}
	p := wide(9)
	p.Repairs, p.Call = p.Repairs[:8], slices.Repeat([]float64{1000}, 9)
	s := newSearch(p)
	exact := true
	s.candidates(s.start(), math.Inf(1), widthBelow, &exact)
	assert.False(t, exact, "tests alone are left out")
}

// A test that tells nothing is done only where a repair waits for it.
func TestATestThatTellsNothingIsDoneOnlyForARepairThatWaitsForIt(t *testing.T) {
	t.Parallel()
	p := single([]float64{0.6, 0.4}, []float64{10, 20})
	p.Call = []float64{500, 500}
	p.Tests = []Test{{Cost: 1, Results: [][]float64{{0.5, 0.5}, {0.5, 0.5}}}, {Cost: 1, Results: [][]float64{{0.3, 0.3}, {0.7, 0.7}}}}
	p.Repairs[0].Proof, p.Repairs[0].Least = []int{1}, 0.9
	s := newSearch(p)
	exact := true
	got := s.candidates(s.start(), math.Inf(1), widthAtStart, &exact)
	assert.Equal(t, []Option{{DoTest, 1, 0}, {DoRepair, 1, -0.4 / 20}}, got)

	after, changed := s.afterRepair(s.start(), 0)
	assert.InDelta(t, 0.6, changed, 1e-12)
	assert.False(t, s.unlocks(after, 1), "the repair has been done")
	assert.False(t, s.unlocks(s.start(), 0))
	a := advice(t, p, Budget{})
	assert.InDelta(t, optimum(p), a.Options[0].Cost, 1e-9)
}

// The end of the context ends the search at once: what comes is the first look.
func TestAnAdviceThatIsNotWaitedForIsTheFirstLook(t *testing.T) {
	t.Parallel()
	p := wide(8)
	p.Call = slices.Repeat([]float64{1000}, 8)
	ended, end := context.WithCancel(context.Background())
	end()
	a, err := Next(ended, p, Budget{Work: 100_000_000})
	require.NoError(t, err)
	assert.Equal(t, 1, a.Depth)
	assert.False(t, a.Exact)
	assert.NotEmpty(t, a.Options)
	s := newSearch(p).within(1000)
	s.done = ended.Done()
	assert.True(t, s.exhausted())
	assert.InDelta(t, first(s.sequence(s.start())), s.rollout(s.start(), deepestRollout), 1e-12)
	assert.Empty(t, s.rolled, "a value that was cut short is not kept")
	s.done = nil
	assert.False(t, s.exhausted())
	s.steps = 999
	assert.False(t, s.exhausted())
	s.steps = 1000
	assert.True(t, s.exhausted())
}

func first(x float64, _ int) float64 { return x }

// The first look leaves half of the budget to looking deeper, and shares the rest
// out, so that no option is left with a poor figure for coming last.
func TestTheFirstLookTakesHalfTheBudgetAtTheMost(t *testing.T) {
	t.Parallel()
	p := wide(8)
	s := newSearch(p)
	s.budget = 60
	a := s.options(s.start(), 1)
	assert.LessOrEqual(t, s.steps, 30+len(a.Options), "each state that is begun is ended")
	assert.Greater(t, s.steps, 15)
	assert.Len(t, a.Options, 16)
	assert.False(t, a.Exact)
}
