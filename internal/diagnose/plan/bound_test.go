package plan

import (
	"cmp"
	"context"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// drawSingle draws a problem of single faults, with someone to call for help or
// without. It is large enough for the search to give up on options by its bound, and
// small enough for going through everything, since what was done first makes no
// difference.
func drawSingle(t *rapid.T) Problem {
	faults := rapid.IntRange(2, 5).Draw(t, "faults")
	figure := func(low, high float64, what string) float64 { return rapid.Float64Range(low, high).Draw(t, what) }
	p := Problem{}
	call := rapid.Bool().Draw(t, "somebody to call")
	for f := range faults {
		p.Worlds = append(p.Worlds, figure(0.02, 1, "weight"))
		if call {
			p.Call = append(p.Call, figure(20, 300, "call"))
		}
		r := Repair{Cost: figure(5, 150, "repair"), Wrong: rapid.SampledFrom([]float64{0, 0, 20}).Draw(t, "wrong")}
		for w := range faults {
			r.After = append(r.After, w)
		}
		r.After[f] = Works
		p.Repairs = append(p.Repairs, r)
	}
	for range rapid.IntRange(1, 4).Draw(t, "tests") {
		yes, no := make([]float64, faults), make([]float64, faults)
		for w := range yes {
			yes[w] = rapid.SampledFrom([]float64{0, 0.05, 0.3, 0.7, 0.95, 1}).Draw(t, "result")
			no[w] = 1 - yes[w]
		}
		p.Tests = append(p.Tests, Test{Cost: figure(1, 30, "test"), Results: [][]float64{yes, no}})
	}
	return p
}

// recursion is the least expected cost from a state on, by dynamic programming
// over what was done and found. For single faults only: there what is left does
// not depend on the order.
type recursion struct {
	Problem
	known map[string]float64
}

func (d recursion) cost(mass []float64, repaired uint64, results []byte) float64 {
	key := string(results) + string(rune('A'+repaired))
	if v, is := d.known[key]; is {
		return v
	}
	total, best := 0.0, 0.0
	for w, m := range mass {
		total += m
		switch {
		case m == 0:
		case d.Call == nil:
			best = math.Inf(1)
		default:
			best += m * d.Call[w]
		}
	}
	if total == 0 {
		return 0
	}
	for i, test := range d.Tests {
		if results[i] != '.' {
			continue
		}
		sum := total * test.Cost
		for r, result := range test.Results {
			after, found := make([]float64, len(mass)), slices.Clone(results)
			for w := range mass {
				after[w] = mass[w] * result[w]
			}
			found[i] = byte('0' + r)
			sum += d.cost(after, repaired, found)
		}
		best = math.Min(best, sum)
	}
	for r, repair := range d.Repairs {
		if repaired>>r&1 == 1 || mass[r] == 0 {
			continue
		}
		after := slices.Clone(mass)
		after[r] = 0
		best = math.Min(best, total*repair.Cost+(total-mass[r])*repair.Wrong+d.cost(after, repaired|1<<r, results))
	}
	d.known[key] = best
	return best
}

// least is the least expected cost with such masses and nothing done yet.
func least(p Problem, mass []float64) float64 {
	return recursion{p, map[string]float64{}}.cost(mass, 0, slices.Repeat([]byte("."), len(p.Tests)))
}

// A plan may be cut short by its budget at any point. Whatever it says then to be
// exact is the optimum, nothing it advises promises less than the optimum, and the
// bound that the search gives up by is never above it.
func TestAPlanThatIsSaidToBeExactIsTheOptimumWhateverItsBudget(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := drawSingle(t)
		s := newSearch(p)
		total := s.start().total()
		want := least(p, p.Worlds)
		assert.LessOrEqual(t, s.least(s.start()), want*(1+1e-9), "the bound is not above what it bounds")
		for _, states := range []int{1, 5, 30, rapid.IntRange(1, 300).Draw(t, "states"), 1_000_000} {
			a := advice(t, p, Budget{Work: states * s.state()})
			if a.Exact {
				assert.InEpsilon(t, want/total, a.Options[0].Cost, 1e-8, "exact after %d states", states)
			}
			for _, o := range a.Options {
				assert.GreaterOrEqual(t, o.Cost, want/total*(1-1e-9), "after %d states", states)
			}
			assert.True(t, slices.IsSortedFunc(a.Options, func(a, b Option) int { return cmp.Compare(a.Cost, b.Cost) }), "the best comes first")
			assert.True(t, a.Exact || states < 1_000_000, "with all the work it takes, the plan is exact")
		}
	})
}

// The value of a state stays right when it is asked for with a limit: what is
// given up is no better than the limit, and what is not given up is the optimum.
func TestAnOptionIsGivenUpOnlyWhenItIsNoBetterThanTheBestOne(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := drawSingle(t)
		s := newSearch(p)
		s.budget, s.limit = 1_000_000, 1_000_000
		st := s.start()
		for i, test := range p.Tests {
			want := st.total() * test.Cost
			for r := range test.Results {
				if after, comes := s.afterResult(st, i, r); comes {
					rest := p
					rest.Tests = slices.Delete(slices.Clone(p.Tests), i, i+1)
					want += least(rest, after.mass)
				}
			}
			best := want * rapid.Float64Range(0.5, 1.5).Draw(t, "best so far")
			got, exact := s.try(st, Option{Kind: DoTest, Index: i}, 20, best)
			assert.True(t, exact)
			if math.IsInf(got, 1) {
				assert.GreaterOrEqual(t, want, best*(1-1e-9))
			} else {
				assert.InEpsilon(t, want, got, 1e-8)
			}
		}
	})
}

// chained is a call-out with a fault (1), another (0) that is left when the first
// is mended, and a third that the same work ends at once (2). Made up.
func chained() Problem {
	return Problem{
		Worlds: []float64{0.2, 0.3, 0.5},
		Call:   []float64{100, 100, 30},
		Repairs: []Repair{
			{Cost: 10, After: []int{Works, 1, 2}},
			{Cost: 25, After: []int{0, 0, 2}},
			{Cost: 40, After: []int{0, 1, Works}},
		},
		Tests: []Test{
			{Cost: 7, Results: [][]float64{{1, 0, 0}, {0, 1, 1}}},
			{Cost: 3, Needs: []int{0}, Results: [][]float64{{1, 1, 0}, {0, 0, 1}}},
		},
		Preparations: []float64{6},
	}
}

// In a world that is known, the cheapest way is the repairs that end it, one after
// the other, or the call where that is cheaper. No plan costs less than that for
// each world by its probability. By hand: 10 for world 0, 25 and then world 0 for
// world 1, the call at 30 for world 2.
func TestTheFloorOfAPlanIsWhatEachWorldWouldCostIfItWereKnown(t *testing.T) {
	t.Parallel()
	p := chained()
	s := newSearch(p)
	assert.InDeltaSlice(t, []float64{10, 35, 30}, s.floor, 1e-12)
	assert.InDelta(t, 0.2*10+0.3*35+0.5*30, s.least(s.start()), 1e-12)
	for w, want := range s.floor {
		p.Worlds = make([]float64, 3)
		p.Worlds[w] = 1
		assert.InDelta(t, want, optimum(p), 1e-12)
	}

	p.Call = nil // nobody to hand over to: only repairs are left
	assert.InDeltaSlice(t, []float64{10, 35, 40}, newSearch(p).floor, 1e-12)
	p.Repairs = p.Repairs[:2]
	s = newSearch(p)
	assert.True(t, math.IsInf(s.floor[2], 1), "nothing ends world 2")
	assert.True(t, math.IsInf(s.least(s.start()), 1))
	assert.InDelta(t, 0.2*10+0.3*35, s.least(state{mass: []float64{0.2, 0.3, 0}}), 1e-12, "a world that is ruled out costs nothing")
}

// A repair is done once, even where what it leaves is something that it would change
// in turn. By hand: 10 for the repair, and for what it leaves the call; where the
// call is dearer than a second repair of another kind, that one.
func TestARepairIsDoneOnce(t *testing.T) {
	t.Parallel()
	p := Problem{Worlds: []float64{0, 1}, Call: []float64{70, 200}, Repairs: []Repair{{Cost: 10, After: []int{Works, 0}}, {Cost: 90, After: []int{Works, 1}}}}
	cost, first := newSearch(p).sequence(newSearch(p).start())
	assert.InDelta(t, 80, cost, 1e-12)
	assert.Equal(t, 0, first)
	p.Call[0] = 100
	cost, _ = newSearch(p).sequence(newSearch(p).start())
	assert.InDelta(t, 100, cost, 1e-12)
	assert.InDelta(t, 100, optimum(p), 1e-12)
	assert.InDelta(t, 100, advice(t, p, Budget{}).Options[0].Cost, 1e-12)
}

// Where nothing is left, nothing is to be paid, and that is certain.
func TestWhereNothingIsLeftNothingIsPaid(t *testing.T) {
	t.Parallel()
	s := newSearch(chained()).within(100)
	for _, left := range []float64{0, 1e-10} {
		st := state{mass: []float64{0, left, 0}}
		v, exact := s.value(st, 3)
		assert.Zero(t, v)
		assert.True(t, exact)
		assert.Zero(t, s.rollout(st, deepestRollout))
		cost, first := s.sequence(st)
		assert.Zero(t, cost)
		assert.Equal(t, -1, first)
	}
	assert.Zero(t, s.steps)
}

// A test is looked at only where it could make a state cheaper: what it costs with
// the floor has to be less than the best way so far.
func TestOnlyTestsThatCanPayAreLookedAt(t *testing.T) {
	t.Parallel()
	s := newSearch(chained())
	st := s.start()
	const floor = 27.5
	assert.InDelta(t, 7, s.cheapest(st), 1e-12, "3 and 6 for the preparation are more")
	assert.True(t, s.testsPay(st, floor+7.01))
	assert.False(t, s.testsPay(st, floor+6.99))

	st.prepared = 1
	assert.InDelta(t, 3, s.cheapest(st), 1e-12)
	st.tests = 2
	assert.InDelta(t, 7, s.cheapest(st), 1e-12, "what was done is not done again")
	st.tests = 3
	assert.True(t, math.IsInf(s.cheapest(st), 1))
	assert.False(t, s.testsPay(st, 1000))

	half := s.start()
	half.mass = []float64{0.1, 0.15, 0.25}
	assert.True(t, s.testsPay(half, (floor+7.01)/2), "half the mass costs half")
	assert.False(t, s.testsPay(half, (floor+6.99)/2))
}

// Looking at results takes most of the work. None is looked at when the floor of
// what is left already makes the option no better.
func TestAnOptionThatCannotPayCostsNoWork(t *testing.T) {
	t.Parallel()
	const floor = 27.5
	s := newSearch(chained())
	s.limit = 1000
	cost, exact := s.try(s.start(), Option{Kind: DoTest, Index: 0}, 5, floor+7)
	assert.True(t, math.IsInf(cost, 1))
	assert.True(t, exact)
	assert.Zero(t, s.steps)
	assert.Empty(t, s.memo, "no state was looked at")

	cost, _ = s.try(s.start(), Option{Kind: DoTest, Index: 0}, 5, floor+50)
	assert.False(t, math.IsInf(cost, 1))

	s = newSearch(chained())
	s.limit = 1000
	cost, exact = s.try(s.start(), Option{Kind: DoRepair, Index: 2}, 5, 40)
	assert.True(t, math.IsInf(cost, 1), "the repair alone costs 40")
	assert.True(t, exact)
	assert.Empty(t, s.memo)
	cost, _ = s.try(s.start(), Option{Kind: DoRepair, Index: 2}, 5, 40.01)
	assert.False(t, math.IsInf(cost, 1))
}

// Figures of worlds are what they are to each other: probabilities, or counts of
// call-outs, lead to the same advice.
func TestOnlyTheProportionsOfWorldsCount(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		// Powers of two, so that nothing is rounded another way.
		times := rapid.SampledFrom([]float64{1.0 / (1 << 40), 1.0 / 64, 256, 1 << 40}).Draw(t, "times")
		scaled := p
		scaled.Worlds = nil
		for _, w := range p.Worlds {
			scaled.Worlds = append(scaled.Worlds, w*times)
		}
		for _, work := range []int{1, 4000, 40_000} {
			assert.Equal(t, advice(t, p, Budget{Work: work}), advice(t, scaled, Budget{Work: work}))
		}
	})
}

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

// Probability over cost is the best order of repairs that are all done (Kadane and
// Simon 1977). It is not the best plan where more can be done, even where no test
// pays at once.
//
// With a call it may be better to leave a dear repair to that and to go on with the
// one behind it: by hand, 20 + 0.6 x 5 for the second one alone and then the call,
// 19 + 0.4 x 20 for both in their order. And a test that is too dear for all there
// is pays after a repair, for what that leaves: by hand, 1 for the first repair,
// then for a tenth of the calls 40 for the test and 100 for the one repair that is
// to be done, against 100 and half of 100 in their order.
func TestTheOrderOfRepairsAloneIsNotTheOptimumWhereMoreCanBeDone(t *testing.T) {
	t.Parallel()
	call := single([]float64{0.6, 0.4}, []float64{19, 20})
	call.Call = []float64{5, 200}
	assert.InDelta(t, 23, optimum(call), 1e-12)

	later := single([]float64{0.9, 0.05, 0.05}, []float64{1, 100, 100})
	later.Tests = []Test{{Cost: 40, Results: [][]float64{{0.5, 1, 0}, {0.5, 0, 1}}}}
	assert.InDelta(t, 1+0.1*(40+100), optimum(later), 1e-12)

	for _, p := range []Problem{call, later} {
		s := newSearch(p).within(1000)
		v, exact := s.value(s.start(), 10)
		assert.True(t, exact)
		assert.InDelta(t, optimum(p), v, 1e-9)
	}
}

// Where nothing is left to do but to call, or nothing at all, that is the advice.
func TestTheAdviceWhereThereIsNothingToPlan(t *testing.T) {
	t.Parallel()
	a := advice(t, Problem{Worlds: []float64{0, 0}}, Budget{})
	assert.Equal(t, Advice{Exact: true}, a)
	a = advice(t, Problem{Worlds: []float64{1, 3}, Call: []float64{10, 20}}, Budget{})
	assert.Equal(t, Advice{Options: []Option{{DoCall, 0, 17.5}}, Depth: 1, Exact: true}, a)
	a = advice(t, Problem{Worlds: []float64{1, 3}}, Budget{})
	assert.Empty(t, a.Options, "nobody to call")
}

// A preparation is paid for once, whoever needs it first.
func TestAPreparationIsPaidForOnce(t *testing.T) {
	t.Parallel()
	p := chained()
	p.Preparations = []float64{6, 4, 2}
	p.Tests[1].Needs = []int{0, 2}
	p.Repairs[2].Needs = []int{2, 1}
	s := newSearch(p)
	st := s.start()
	assert.InDelta(t, 3+6+2, s.testCost(st, 1), 1e-12)
	assert.InDelta(t, 40+4+2, s.repairCost(st, 2), 1e-12)
	after, comes := s.afterResult(st, 1, 0)
	require.True(t, comes)
	assert.InDelta(t, 40+4, s.repairCost(after, 2), 1e-12)
	assert.InDelta(t, 3, s.testCost(after, 1), 1e-12)
	repaired, _ := s.afterRepair(after, 2)
	assert.InDelta(t, 40, s.repairCost(repaired, 2), 1e-12)
}

// What a state is known by says what was done and found in it, in any order; a
// result from before a repair and the same one from after it are two things.
func TestAStateIsKnownByWhatWasDoneAndFound(t *testing.T) {
	t.Parallel()
	s := newSearch(wide(8))
	result := func(st state, t, r int) state { after, _ := s.afterResult(st, t, r); return after }
	repair := func(st state, r int) state { after, _ := s.afterRepair(st, r); return after }
	st := s.start()
	assert.Equal(t, result(result(st, 0, 1), 1, 1), result(result(st, 1, 1), 0, 1))
	assert.Equal(t, repair(repair(st, 0), 1), repair(repair(st, 1), 0))
	assert.NotEqual(t, result(repair(st, 0), 1, 1).key, repair(result(st, 1, 1), 0).key)

	seen := map[uint64]bool{st.key: true}
	add := func(st state) {
		assert.False(t, seen[st.key], "two states are taken for one")
		seen[st.key] = true
	}
	for a := range 8 {
		add(repair(st, a))
		for r := range 2 {
			add(result(st, a, r))
			for b := range 8 {
				add(result(repair(st, b), a, r))
				add(repair(result(st, a, r), b))
			}
		}
	}
}

// A result that cannot come opens no state.
func TestAResultThatCannotComeIsPassedOver(t *testing.T) {
	t.Parallel()
	s := newSearch(chained())
	st, comes := s.afterResult(s.start(), 0, 0)
	require.True(t, comes)
	assert.Equal(t, []float64{0.2, 0, 0}, st.mass)
	_, comes = s.afterResult(st, 1, 1)
	assert.False(t, comes)
}

// The work of a state is the figures that are gone through in it.
func TestTheWorkOfAStateGrowsWithTheProblem(t *testing.T) {
	t.Parallel()
	small := chained()
	assert.Equal(t, 400, small.state())
	large := wide(20)
	assert.Equal(t, (20+20*2)*20, large.state())
}

// What makes no sense is refused with what to do about it, not planned with.
func TestAProblemThatMakesNoSenseIsRefused(t *testing.T) {
	t.Parallel()
	for says, change := range map[string]func(*Problem){
		"65 tests, 3 repairs and 1 preparations are more": func(p *Problem) {
			p.Tests = slices.Repeat(p.Tests[:1], 65)
		},
		"2 tests, 65 repairs and 1 preparations are more": func(p *Problem) {
			p.Repairs = slices.Repeat(p.Repairs[:1], 65)
		},
		"65 preparations are more": func(p *Problem) {
			p.Preparations = slices.Repeat([]float64{1}, 65)
		},
		"a world has the figure -0.1":                    func(p *Problem) { p.Worlds[1] = -0.1 },
		"a world has the figure NaN":                     func(p *Problem) { p.Worlds[1] = math.NaN() },
		"a world has the figure +Inf":                    func(p *Problem) { p.Worlds[1] = math.Inf(1) },
		"a preparation has the figure -6":                func(p *Problem) { p.Preparations[0] = -6 },
		"there are 2 costs of calling for help where":    func(p *Problem) { p.Call = p.Call[:2] },
		"the call costs -1":                              func(p *Problem) { p.Call[2] = -1 },
		"test 1 costs NaN":                               func(p *Problem) { p.Tests[1].Cost = math.NaN() },
		"test 1 needs preparation 1, which":              func(p *Problem) { p.Tests[1].Needs = []int{1} },
		"test 1 needs preparation -1, which":             func(p *Problem) { p.Tests[1].Needs = []int{-1} },
		"test 0 has no result":                           func(p *Problem) { p.Tests[0].Results = nil },
		"test 0 says something about 2 worlds where":     func(p *Problem) { p.Tests[0].Results[1] = []float64{1, 1} },
		"test 0 has the figure -1":                       func(p *Problem) { p.Tests[0].Results[0][0] = -1 },
		"repair 2 costs -40":                             func(p *Problem) { p.Repairs[2].Cost = -40 },
		"repair 0 costs -3":                              func(p *Problem) { p.Repairs[0].Wrong = -3 },
		"repair 0 needs preparation 4":                   func(p *Problem) { p.Repairs[0].Needs = []int{0, 4} },
		"repair 1 is proved by test 2, which":            func(p *Problem) { p.Repairs[1].Proof = []int{2} },
		"repair 1 is proved by test -1, which":           func(p *Problem) { p.Repairs[1].Proof = []int{-1} },
		"repair 1 says something about 2 worlds where":   func(p *Problem) { p.Repairs[1].After = []int{0, 1} },
		"repair 1 leads from world 0 to world 1":         func(p *Problem) { p.Repairs[1].After[0] = 1 },
		"repair 1 leads from world 2 to world -2":        func(p *Problem) { p.Repairs[1].After[2] = -2 },
		"repair 1 leads from world 2 to world 3: number": func(p *Problem) { p.Repairs[1].After[2] = 3 },
	} {
		p := chained()
		change(&p)
		_, err := Next(context.Background(), p, Budget{})
		assert.ErrorContains(t, err, says)
	}
	p := chained()
	p.Call[0], p.Repairs[0].Cost, p.Repairs[0].Wrong, p.Tests[0].Cost = math.Inf(1), math.Inf(1), math.Inf(1), math.Inf(1)
	p.Worlds[0], p.Preparations[0], p.Repairs[1].Cost = 0, 0, 0
	_, err := Next(context.Background(), p, Budget{})
	assert.NoError(t, err, "what must not be done costs without end, and some things cost nothing")
	p = wide(64)
	p.Preparations = slices.Repeat([]float64{1}, 64)
	_, err = Next(context.Background(), p, Budget{Work: 1})
	assert.NoError(t, err, "64 of each can be planned with")
}
