package plan

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
)

// Kind is what an option is.
type Kind int

// The kinds of options.
const (
	DoTest Kind = iota
	DoRepair
	DoCall
)

// Option is something that can be done next, with the expected cost from here to
// the end if it is. Index says which test or repair.
type Option struct {
	Kind  Kind
	Index int
	Cost  float64
}

// Advice is what to do next.
type Advice struct {
	Options []Option // what was looked at, the best first
	Depth   int      // how many steps were looked ahead
	Exact   bool     // nothing cheaper exists
	Least   float64  // no way of working costs less, whatever was not looked at
}

// Budget bounds the search. The zero value is a default budget.
type Budget struct {
	// Work is how many numbers may be looked at; 0 for DefaultWork. Where it binds,
	// the same problem has the same advice on every machine.
	Work int
}

// DefaultWork is about five milliseconds of work. On random problems it costs a
// third of a per cent of the optimum; see bench/policy.
const DefaultWork = 1_000_000

// leastState is the work that any state takes, however small the problem is.
const leastState = 400

// How many tests are looked at in a state, by what they tell for their cost, and
// how many repairs. Where there are few of them, all are.
const (
	fewTests     = 8
	widthAtStart = 12
	widthBelow   = 5
	repairsTried = 4
)

// Next advises what to do next. When the context ends, the advice is the best one
// so far.
func Next(ctx context.Context, p Problem, b Budget) (Advice, error) {
	if err := p.check(); err != nil {
		return Advice{}, fmt.Errorf("planning: %w", err)
	}
	s := newSearch(p)
	if b.Work <= 0 {
		b.Work = DefaultWork
	}
	s.budget = max(1, b.Work/s.state())
	s.done = ctx.Done()
	st := s.start()
	if st.total() <= 0 {
		return Advice{Exact: true}, nil
	}
	out := s.options(st, 1)
	for depth := 2; !out.Exact; depth++ {
		before := s.steps
		deeper := s.options(st, depth)
		if s.exhausted() {
			break
		}
		out = deeper
		if s.steps == before {
			break // nothing is left to look at
		}
	}
	if out.Exact && len(out.Options) > 0 {
		out.Least = out.Options[0].Cost
	} else {
		out.Least = s.bound(st, boundDepth) / st.total()
	}
	return out, nil
}

// search is a problem arranged for looking ahead.
type search struct {
	Problem
	all                    float64 // mass of all worlds at the start
	testNeeds, repairNeeds []uint64
	proof                  []uint64
	changed                [][]int // worlds that each repair changes
	floor                  []float64
	resultKeys             [][]uint64
	repairKeys             []uint64
	memo                   map[uint64]known
	rolled                 map[uint64]float64

	steps, budget int
	limit         int // of steps, for what is being looked at
	done          <-chan struct{}
}

// known is what the search has found out about a state.
type known struct {
	depth int
	value float64
	exact bool
}

func newSearch(p Problem) *search {
	s := &search{Problem: p, memo: map[uint64]known{}, rolled: map[uint64]float64{}}
	if s.Call == nil {
		s.Call = slices.Repeat([]float64{math.Inf(1)}, len(s.Worlds))
	}
	s.all = s.start().total()
	needs := func(n int, of func(int) []int) []uint64 {
		lists := make([][]int, n)
		for i := range lists {
			lists[i] = of(i)
		}
		return masks(lists)
	}
	s.testNeeds = needs(len(p.Tests), func(i int) []int { return p.Tests[i].Needs })
	s.repairNeeds = needs(len(p.Repairs), func(i int) []int { return p.Repairs[i].Needs })
	s.proof = needs(len(p.Repairs), func(i int) []int { return p.Repairs[i].Proof })
	for _, r := range p.Repairs {
		var changed []int
		for w, to := range r.After {
			if to != w {
				changed = append(changed, w)
			}
		}
		s.changed = append(s.changed, changed)
	}
	s.floors()
	s.keys()
	return s
}

// state is the work that it takes to look at one state.
func (p *Problem) state() int {
	numbers := len(p.Repairs)
	for _, t := range p.Tests {
		numbers += len(t.Results)
	}
	return max(leastState, numbers*len(p.Worlds))
}

// exhausted reports whether the budget is spent, or that of the option which is
// being looked at.
func (s *search) exhausted() bool {
	select {
	case <-s.done:
		return true
	default:
		return s.steps >= s.limit
	}
}

// options values what can be done first.
func (s *search) options(st state, depth int) Advice {
	out := Advice{Depth: depth}
	total := st.total()
	cost, first := s.sequence(st)
	exact := true
	seen := false
	candidates := s.candidates(st, math.Inf(1), widthAtStart, &exact)
	for i, o := range candidates {
		s.limit = s.budget
		if depth == 1 { // each gets its part, so that all of them are looked at
			s.limit = s.steps + (s.budget/2-s.steps)/(len(candidates)-i)
		}
		v, ex := s.try(st, o, depth, math.Inf(1))
		exact = exact && ex
		o.Cost = v / total
		seen = seen || o.Kind == DoRepair && o.Index == first
		if o.Kind == DoRepair && o.Index == first {
			o.Cost = math.Min(o.Cost, cost/total)
		}
		out.Options = append(out.Options, o)
	}
	if first >= 0 && !seen {
		out.Options = append(out.Options, Option{DoRepair, first, cost / total})
	}
	if call := s.calling(st.mass); !math.IsInf(call, 1) {
		out.Options = append(out.Options, Option{DoCall, 0, call / total})
	}
	out.Exact = exact
	slices.SortStableFunc(out.Options, func(a, b Option) int { return cmp.Compare(a.Cost, b.Cost) })
	return out
}

// value is the cost of a state, looking some steps ahead.
func (s *search) value(st state, depth int) (float64, bool) {
	total := st.total()
	if total <= negligible*s.all {
		return 0, true
	}
	if k, is := s.memo[st.key]; is && (k.exact || k.depth >= depth) {
		return k.value, k.exact
	}
	best, _ := s.sequence(st)
	if least := s.least(st); best <= least*(1+1e-9) {
		s.memo[st.key] = known{depth, best, true}
		return best, true
	}
	s.steps++
	if depth <= 0 || s.exhausted() {
		v := math.Min(best, s.rollout(st, deepestRollout))
		s.memo[st.key] = known{0, v, false}
		return v, false
	}
	exact := true
	for _, o := range s.candidates(st, best, widthBelow, &exact) {
		v, ex := s.try(st, o, depth, best)
		exact = exact && ex
		best = math.Min(best, v)
	}
	if k, is := s.memo[st.key]; is && !k.exact && k.value < best {
		best = k.value // a shallower look found a better way
	}
	s.memo[st.key] = known{depth, best, exact}
	return best, exact
}

// try is the cost of an option. It gives up, with a cost that is no better, once
// that is certain.
func (s *search) try(st state, o Option, depth int, best float64) (float64, bool) {
	total := st.total()
	if o.Kind == DoRepair {
		c := s.repairCost(st, o.Index)
		after, changed := s.afterRepair(st, o.Index)
		c += s.waste(o.Index, changed, total)
		if total*c >= best {
			return math.Inf(1), true
		}
		v, exact := s.value(after, depth-1)
		return float64(total*c) + v, exact
	}
	sum := total * s.testCost(st, o.Index)
	floor := s.least(st) // results share out what is left
	exact := true
	for r := range s.Tests[o.Index].Results {
		if sum+floor >= best {
			return math.Inf(1), exact
		}
		after, comes := s.afterResult(st, o.Index, r)
		if !comes {
			continue
		}
		floor -= s.least(after)
		v, ex := s.value(after, depth-1)
		exact = exact && ex
		sum += v
	}
	return sum, exact
}

// candidates are the tests that tell most for their cost and the repairs that
// promise most for theirs. exact becomes false when some are left out.
func (s *search) candidates(st state, best float64, width int, exact *bool) []Option {
	var tests []Option
	pay := s.testsPay(st, best)
	for t := range s.Tests {
		if !pay || st.tests>>t&1 == 1 {
			continue
		}
		if told := s.tells(st, t); told > 0 || s.unlocks(st, t) {
			tests = append(tests, Option{DoTest, t, -told / math.Max(s.testCost(st, t), tiny)})
		}
	}
	if len(tests) > max(width, fewTests) {
		slices.SortStableFunc(tests, func(a, b Option) int { return cmp.Compare(a.Cost, b.Cost) })
		tests = tests[:width]
		*exact = false
	}
	total := st.total()
	var repairs []Option
	for r := range s.Repairs {
		if st.repairs>>r&1 == 1 {
			continue
		}
		p := s.changes(st.mass, r)
		if c := s.repairCost(st, r) + s.waste(r, p, total); s.allowed(st, r, p, total) && !math.IsInf(c, 1) {
			repairs = append(repairs, Option{DoRepair, r, -p / math.Max(c, tiny)})
		}
	}
	if len(repairs) > max(repairsTried, fewTests) {
		slices.SortStableFunc(repairs, func(a, b Option) int { return cmp.Compare(a.Cost, b.Cost) })
		repairs = repairs[:repairsTried]
		*exact = false
	}
	return append(tests, repairs...)
}

const tiny = 1e-9

// unlocks reports whether a repair waits for a test, whatever that tells.
func (s *search) unlocks(st state, t int) bool {
	for r, proof := range s.proof {
		if st.repairs>>r&1 == 0 && proof>>t&1 == 1 {
			return true
		}
	}
	return false
}

// testsPay reports whether any test could make a state cheaper than it is.
func (s *search) testsPay(st state, best float64) bool {
	return best > s.least(st)+float64(st.total()*s.cheapest(st))
}

// cheapest is the cost of the cheapest test that is left.
func (s *search) cheapest(st state) float64 {
	least := math.Inf(1)
	for t := range s.Tests {
		if st.tests>>t&1 == 0 {
			least = math.Min(least, s.testCost(st, t))
		}
	}
	return least
}
