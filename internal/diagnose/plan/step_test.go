package plan

import (
	"context"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

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
	assert.Equal(t, Advice{Options: []Option{{DoCall, 0, 17.5}}, Depth: 1, Exact: true, Least: 17.5}, a)
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
