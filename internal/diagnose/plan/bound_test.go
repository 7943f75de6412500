package plan

import (
	"cmp"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
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
// A bound is never above the optimum, looks further to come closer, and is the optimum
// once it looks at all that can be done.
func TestABoundIsNeverAboveTheOptimum(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		s := newSearch(p)
		best, before := optimum(p), 0.0
		for depth := range 4 {
			b := s.bound(s.start(), depth)
			if b > best*(1+1e-9)+1e-9 || b < before-1e-9 {
				t.Fatalf("looking %d steps ahead the bound is %v, after %v; the optimum is %v", depth, b, before, best)
			}
			before = b
		}
		steps := len(p.Tests) + len(p.Repairs)
		if b := s.bound(s.start(), steps); !math.IsInf(best, 1) && math.Abs(b-best) > 1e-6*(1+best) {
			t.Fatalf("looking at all %d steps the bound is %v, the optimum %v", steps, b, best)
		}
		a, err := Next(t.Context(), p, Budget{Work: 1})
		if err != nil {
			t.Fatal(err)
		}
		if len(a.Options) > 0 && !(a.Least <= a.Options[0].Cost*(1+1e-9)+1e-9) {
			t.Fatalf("the least is %v, the advice costs %v", a.Least, a.Options[0].Cost)
		}
	})
}

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
