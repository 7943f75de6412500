package main

import (
	"context"
	"fmt"
	"math"

	"kg/internal/diagnose/plan"
)

// point is where a call-out stands: what is left of each world, and what was
// done. Only problems with one fault at a time come here, so that the order in
// which things were done does not matter.
type point struct {
	mass           []float64
	tests, repairs uint
	results        string // result of each test, '.' where it was not done
}

func start(p plan.Problem) point {
	return point{mass: p.Worlds, results: fmt.Sprintf("%.*s", len(p.Tests), "................................................................")}
}

func (at point) total() float64 {
	sum := 0.0
	for _, m := range at.mass {
		sum += m
	}
	return sum
}

const nothing = 1e-12

// afterResult is the point after a result of a test.
func (at point) afterResult(p plan.Problem, t, r int) point {
	out := point{mass: make([]float64, len(at.mass)), tests: at.tests | 1<<t, repairs: at.repairs}
	out.results = at.results[:t] + string(rune('0'+r)) + at.results[t+1:]
	for w, m := range at.mass {
		out.mass[w] = m * p.Tests[t].Results[r][w]
	}
	return out
}

// afterRepair is the point after a repair that did not do, and what it cost.
func (at point) afterRepair(p plan.Problem, r int) (point, float64) {
	out := at
	out.mass = append([]float64(nil), at.mass...)
	out.mass[r] = 0
	out.repairs |= 1 << r
	cost := at.total() * p.Repairs[r].Cost
	if wrong := out.total(); wrong > nothing {
		cost += wrong * p.Repairs[r].Wrong
	}
	return out, cost
}

// optimum is the least expected cost, by dynamic programming over all points.
func optimum(p plan.Problem) float64 {
	type key struct {
		results string
		repairs uint
	}
	known := map[key]float64{}
	sharp := certain(p)
	var cost func(point) float64
	cost = func(at point) float64 {
		total := at.total()
		if total <= nothing {
			return 0
		}
		k := key{at.results, at.repairs}
		if sharp {
			k = key{results: at.left()}
		}
		if v, is := known[k]; is {
			return v
		}
		best := math.Inf(1)
		for r := range p.Repairs {
			if at.repairs>>r&1 == 1 || at.mass[r] == 0 {
				continue
			}
			after, c := at.afterRepair(p, r)
			if !math.IsInf(c, 1) {
				best = math.Min(best, c+cost(after))
			}
		}
		for t := range p.Tests {
			if at.tests>>t&1 == 1 || !at.splits(p, t) {
				continue
			}
			sum := total * p.Tests[t].Cost
			for r := range p.Tests[t].Results {
				if sum >= best {
					break
				}
				sum += cost(at.afterResult(p, t, r))
			}
			best = math.Min(best, sum)
		}
		known[k] = best
		return best
	}
	return cost(start(p))
}

// splits reports whether a test tells anything at a point.
func (at point) splits(p plan.Problem, t int) bool {
	for _, result := range p.Tests[t].Results {
		first := math.NaN()
		for w, m := range at.mass {
			switch {
			case m == 0:
			case math.IsNaN(first):
				first = result[w]
			case math.Abs(result[w]-first) > 1e-12:
				return true
			}
		}
	}
	return false
}

// certain reports whether no test of a problem ever errs. A point is then the
// set of faults that are left, whatever was done.
func certain(p plan.Problem) bool {
	for _, t := range p.Tests {
		for _, x := range t.Results[0] {
			if x != 0 && x != 1 {
				return false
			}
		}
	}
	return true
}

func (at point) left() string {
	out := make([]byte, len(at.mass))
	for w, m := range at.mass {
		out[w] = '0'
		if m > 0 {
			out[w] = '1'
		}
	}
	return string(out)
}

// policy says what to do at a point.
type policy func(plan.Problem, point) plan.Option

// expected is the cost of following a policy to the end.
func expected(p plan.Problem, do policy) float64 {
	var follow func(point) float64
	follow = func(at point) float64 {
		if at.total() <= 1e-7 {
			return 0
		}
		o := do(p, at)
		if o.Kind == plan.DoTest {
			sum := at.total() * p.Tests[o.Index].Cost
			for r := range p.Tests[o.Index].Results {
				sum += follow(at.afterResult(p, o.Index, r))
			}
			return sum
		}
		if o.Index < 0 {
			return math.Inf(1) // it may not repair, and knows nothing else
		}
		after, c := at.afterRepair(p, o.Index)
		return c + follow(after)
	}
	return follow(start(p))
}

// advised follows plan.Next, asked anew at each point.
func advised(work int) policy {
	return func(p plan.Problem, at point) plan.Option {
		now, tests, repairs := at.rest(p)
		a, err := plan.Next(context.Background(), now, plan.Budget{Work: work})
		if err != nil {
			panic(err)
		}
		o := a.Options[0]
		if o.Kind == plan.DoTest {
			o.Index = tests[o.Index]
		} else {
			o.Index = repairs[o.Index]
		}
		return o
	}
}

// rest is the problem that is left, with the places of its tests and repairs in
// the whole.
func (at point) rest(p plan.Problem) (plan.Problem, []int, []int) {
	out := plan.Problem{Worlds: at.mass}
	var tests, repairs []int
	for t := range p.Tests {
		if at.tests>>t&1 == 0 {
			out.Tests = append(out.Tests, p.Tests[t])
			tests = append(tests, t)
		}
	}
	for r := range p.Repairs {
		if at.repairs>>r&1 == 0 {
			out.Repairs = append(out.Repairs, p.Repairs[r])
			repairs = append(repairs, r)
		}
	}
	return out, tests, repairs
}

// byRatio repairs by probability over cost and never tests unless a wrong repair
// is forbidden.
func byRatio(p plan.Problem, at point) plan.Option {
	total := at.total()
	best, pick := -1.0, -1
	for r, repair := range p.Repairs {
		wrong := total - at.mass[r]
		if at.repairs>>r&1 == 1 || at.mass[r] == 0 || wrong > nothing && math.IsInf(repair.Wrong, 1) {
			continue
		}
		if rate := at.mass[r] / math.Max(repair.Cost, nothing); rate > best {
			best, pick = rate, r
		}
	}
	return plan.Option{Kind: plan.DoRepair, Index: pick}
}

// repairsOnly is the cost of byRatio from a point; infinite where it may not go on.
func repairsOnly(p plan.Problem, at point) float64 {
	sum := 0.0
	for at.total() > nothing {
		o := byRatio(p, at)
		if o.Index < 0 {
			return math.Inf(1)
		}
		after, c := at.afterRepair(p, o.Index)
		sum += c
		at = after
	}
	return sum
}

// oneStep takes the test that lowers the cost of repairing most, and repairs when
// none does (myopic value of information). Where repairing is forbidden after any
// single test, it takes the most information for the cost.
func oneStep(p plan.Problem, at point) plan.Option {
	best := repairsOnly(p, at)
	pick := byRatio(p, at)
	for t := range p.Tests {
		if at.tests>>t&1 == 1 {
			continue
		}
		sum := at.total() * p.Tests[t].Cost
		for r := range p.Tests[t].Results {
			if after := at.afterResult(p, t, r); after.total() > nothing {
				sum += repairsOnly(p, after)
			}
		}
		if sum < best-nothing {
			best, pick = sum, plan.Option{Kind: plan.DoTest, Index: t}
		}
	}
	if math.IsInf(best, 1) {
		return information(p, at)
	}
	return pick
}

// information takes the test with the most information (Shannon 1948) for its
// cost while any tells something.
func information(p plan.Problem, at point) plan.Option {
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
	best, pick := nothing, -1
	for t := range p.Tests {
		if at.tests>>t&1 == 1 {
			continue
		}
		gain := entropy(at.mass)
		for r := range p.Tests[t].Results {
			gain -= entropy(at.afterResult(p, t, r).mass)
		}
		if gain /= p.Tests[t].Cost; gain > best {
			best, pick = gain, t
		}
	}
	if pick < 0 {
		return byRatio(p, at)
	}
	return plan.Option{Kind: plan.DoTest, Index: pick}
}
