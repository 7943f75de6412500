package plan

import (
	"math"

	"pgregory.net/rapid"
)

// optimum is the least expected cost by going through all that can be done, in
// every order. It shares nothing with the search but the rule of what may be
// advised.
func optimum(p Problem) float64 {
	type done struct{ tests, repairs, prepared uint64 }
	pay := func(d *done, needs []int) float64 {
		sum := 0.0
		for _, n := range needs {
			if d.prepared>>n&1 == 0 {
				sum += p.Preparations[n]
				d.prepared |= 1 << n
			}
		}
		return sum
	}
	var cost func(mass []float64, d done) float64
	cost = func(mass []float64, d done) float64 {
		total := 0.0
		for _, m := range mass {
			total += m
		}
		if total <= 1e-12 {
			return 0
		}
		best := 0.0
		for w, m := range mass {
			if m > 0 && p.Call != nil {
				best += m * p.Call[w]
			} else if m > 0 {
				best = math.Inf(1)
			}
		}
		for t, test := range p.Tests {
			if d.tests>>t&1 == 1 {
				continue
			}
			next := d
			next.tests |= 1 << t
			sum := total * (test.Cost + pay(&next, test.Needs))
			for _, result := range test.Results {
				after := make([]float64, len(mass))
				for w := range mass {
					after[w] = mass[w] * result[w]
				}
				sum += cost(after, next)
			}
			best = math.Min(best, sum)
		}
		for r, repair := range p.Repairs {
			if d.repairs>>r&1 == 1 {
				continue
			}
			changed, proved := 0.0, true
			after := make([]float64, len(mass))
			for w, to := range repair.After {
				if to != w {
					changed += mass[w]
				}
				if to != Works {
					after[to] += mass[w]
				}
			}
			for _, t := range repair.Proof {
				proved = proved && d.tests>>t&1 == 1
			}
			if changed == 0 || changed < repair.Least*total && !proved {
				continue
			}
			next := d
			next.repairs |= 1 << r
			sum := total * (repair.Cost + pay(&next, repair.Needs))
			if wrong := total - changed; wrong > 1e-12 {
				sum += wrong * repair.Wrong
			}
			best = math.Min(best, sum+cost(after, next))
		}
		return best
	}
	return cost(p.Worlds, done{})
}

// expected is the cost of following advice to the end, anew after each step.
func expected(p Problem, advise func(Problem, state) Option) float64 {
	s := newSearch(p)
	var follow func(st state) float64
	follow = func(st state) float64 {
		total := st.total()
		if total <= negligible*s.all {
			return 0
		}
		switch o := advise(p, st); o.Kind {
		case DoTest:
			sum := total * s.testCost(st, o.Index)
			for r := range p.Tests[o.Index].Results {
				if after, comes := s.afterResult(st, o.Index, r); comes {
					sum += follow(after)
				}
			}
			return sum
		case DoRepair:
			after, changed := s.afterRepair(st, o.Index)
			sum := total * s.repairCost(st, o.Index)
			if wrong := total - changed; wrong > negligible*s.all {
				sum += wrong * p.Repairs[o.Index].Wrong
			}
			return sum + follow(after)
		default:
			return s.calling(st.mass)
		}
	}
	return follow(s.start())
}

// drawProblem draws a small problem with one or two faults at once.
func drawProblem(t *rapid.T) Problem {
	faults := rapid.IntRange(1, 3).Draw(t, "faults")
	p := Problem{}
	figure := func(low, high float64, what string) float64 { return rapid.Float64Range(low, high).Draw(t, what) }
	for range rapid.IntRange(0, 2).Draw(t, "preparations") {
		p.Preparations = append(p.Preparations, figure(0.5, 5, "preparation"))
	}
	needs := func() []int {
		var out []int
		for i := range p.Preparations {
			if rapid.Bool().Draw(t, "needs") {
				out = append(out, i)
			}
		}
		return out
	}
	// World 0 is none of the faults, then single faults, then all of them in pairs.
	worlds := 1 + faults
	type pair struct{ a, b int }
	var pairs []pair
	for a := range faults {
		for b := range a {
			pairs = append(pairs, pair{a, b})
		}
	}
	worlds += len(pairs)
	for range worlds {
		p.Worlds = append(p.Worlds, figure(0.01, 1, "weight"))
		p.Call = append(p.Call, figure(5, 60, "call"))
	}
	for f := range faults {
		r := Repair{Cost: figure(1, 20, "repair"), Wrong: rapid.SampledFrom([]float64{0, 0, 10}).Draw(t, "wrong"), Needs: needs(), After: make([]int, worlds)}
		for w := range r.After {
			r.After[w] = w
		}
		r.After[1+f] = Works
		for i, two := range pairs {
			switch f {
			case two.a:
				r.After[1+faults+i] = 1 + two.b
			case two.b:
				r.After[1+faults+i] = 1 + two.a
			}
		}
		p.Repairs = append(p.Repairs, r)
	}
	for i := range rapid.IntRange(0, 3).Draw(t, "tests") {
		test := Test{Cost: figure(0.2, 5, "test"), Needs: needs()}
		yes, no := make([]float64, worlds), make([]float64, worlds)
		for w := range yes {
			yes[w] = rapid.SampledFrom([]float64{0, 0.1, 0.5, 0.9, 1}).Draw(t, "result")
			no[w] = 1 - yes[w]
		}
		test.Results = [][]float64{yes, no}
		p.Tests = append(p.Tests, test)
		for r := range p.Repairs {
			if rapid.IntRange(0, 3).Draw(t, "proof") == 0 {
				p.Repairs[r].Proof = append(p.Repairs[r].Proof, i)
				p.Repairs[r].Least = 0.7
			}
		}
	}
	return p
}
