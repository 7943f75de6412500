package diagnose

import (
	"cmp"
	"context"
	"math"
	"slices"

	"kg/internal/diagnose/plan"
)

// Work is what can be done at a call-out, and what it costs, all in one unit.
type Work struct {
	Tests   []Method
	Repairs []Repair
	// Preparations are the costs of bringing the appliance into a state that
	// several tests and repairs share.
	Preparations []float64
	// Call is the cost of handing the job over to someone, beyond the repairs that
	// are to be done then.
	Call float64
	// Again is the cost of coming back where a repair was not the right one.
	Again float64
}

// Method is a test with what it costs.
type Method struct {
	Test
	Cost  float64
	Needs []int // preparations
}

// Repair mends some causes.
type Repair struct {
	ID    ID
	Mends []ID
	Cost  float64 // of the work and the part
	Part  float64 // of the part alone; 0 when none goes in
	Wrong float64 // what it costs beyond that where it mends nothing
	Needs []int   // preparations
	// Guarded is set where the work needs a licence, or opens what keeps people safe.
	Guarded bool
	// Settles are the tests that prove one of the causes.
	Settles []ID
}

// Confidence is how probable it has to be that a part is the right one before it
// is advised, unless the tests that would prove it are dearer or done.
const Confidence = 0.9

// worthTrying is how probable it has to be that a repair without a part helps,
// unless its tests are dearer than itself or done. No source: our own assumption.
const worthTrying = 0.3

// Decision is what to do next.
type Decision struct {
	Options []Choice // the best first
	Depth   int      // steps that were looked ahead
	Exact   bool
	Least   float64 // no way of working costs less from here to the end
	// Wrong is set where the first option is a test that stands before a repair which
	// may cost less in the end: what it would cost if that repair were the wrong one.
	Wrong float64
}

// Choice is one thing that can be done next: a test or a repair, or to call for
// help where ID is empty. Cost is the expected cost from here to the end.
type Choice struct {
	ID     ID
	Repair bool
	Cost   float64
}

// Decide advises what to do next after some evidence, which has led to some
// beliefs. A part is advised only from the given confidence on (0 for Confidence).
func (m *Model) Decide(ctx context.Context, e Evidence, now Beliefs, w Work, confidence float64, b plan.Budget) (Decision, error) {
	c, err := m.compile()
	if err != nil {
		return Decision{}, err
	}
	if confidence <= 0 {
		confidence = Confidence
	}
	worlds := c.worlds(c.chains(e), now, e.Cleared)
	p := plan.Problem{Preparations: w.Preparations}
	for _, world := range worlds {
		p.Worlds = append(p.Worlds, world.p)
	}
	tests := c.telling(w.Tests, worlds)
	for _, t := range tests {
		p.Tests = append(p.Tests, plan.Test{Cost: t.Cost, Needs: t.Needs, Results: c.results(t.Test, worlds)})
	}
	var repairs []Repair
	for _, r := range w.Repairs {
		after, mends := c.after(r, worlds, e)
		if !mends || len(repairs) == plan.MaxRepairs {
			continue
		}
		out := plan.Repair{Cost: r.Cost, Wrong: r.Wrong, Needs: r.Needs, After: after, Least: confidence}
		if r.Part == 0 {
			out.Least = worthTrying
		}
		dear := r.Cost + r.Wrong // what a test may cost and still come first
		for i, t := range tests {
			if slices.Contains(r.Settles, t.ID) && t.Cost < dear {
				out.Proof = append(out.Proof, i)
			}
		}
		repairs = append(repairs, r)
		p.Repairs = append(p.Repairs, out)
	}
	p.Call = calls(p, w.Call)
	advice, err := plan.Next(ctx, p, b)
	if err != nil {
		return Decision{}, err
	}
	out := Decision{Depth: advice.Depth, Exact: advice.Exact, Least: advice.Least}
	var steps []float64
	for _, o := range advice.Options {
		choice, step := Choice{Cost: o.Cost}, o.Cost
		switch o.Kind {
		case plan.DoTest:
			choice.ID, step = tests[o.Index].ID, whole(w, tests[o.Index].Cost, tests[o.Index].Needs)
		case plan.DoRepair:
			choice.ID, choice.Repair, step = repairs[o.Index].ID, true, whole(w, repairs[o.Index].Cost, repairs[o.Index].Needs)
		}
		out.Options = append(out.Options, choice)
		steps = append(steps, step)
	}
	out.preferSmall(steps)
	out.preferDoing()
	out.preferProof(p, tests, repairs, w, confidence)
	return out, nil
}

// proofShare is how small a part of what being wrong would cost a test has to be to come
// before a repair that it could show to be the wrong one. No source: our own rule.
const proofShare = 0.1

// seldom is the probability of a result below which it is not waited for.
const seldom = 0.01

// preferProof puts a cheap test before a repair that costs a part or is guarded, where a
// result of it could show that the repair is not the right one.
func (d *Decision) preferProof(p plan.Problem, tests []Method, repairs []Repair, w Work, confidence float64) {
	if len(d.Options) == 0 || !d.Options[0].Repair {
		return
	}
	at := slices.IndexFunc(repairs, func(r Repair) bool { return r.ID == d.Options[0].ID })
	r := repairs[at]
	if r.Part == 0 && !r.Guarded {
		return
	}
	wrong := r.Cost + r.Wrong + w.Again
	for i, o := range d.Options {
		t := slices.IndexFunc(tests, func(t Method) bool { return !o.Repair && o.ID != "" && t.ID == o.ID })
		if t < 0 || whole(w, tests[t].Cost, tests[t].Needs) > proofShare*wrong || !doubts(p, p.Tests[t], p.Repairs[at], confidence) {
			continue
		}
		d.Options = slices.Insert(slices.Delete(d.Options, i, i+1), 0, o)
		d.Wrong = wrong
		return
	}
}

// doubts reports whether a result of a test that may well come would leave a repair less
// probable to help than is asked for.
func doubts(p plan.Problem, t plan.Test, r plan.Repair, confidence float64) bool {
	for _, likely := range t.Results {
		found, helps := 0.0, 0.0
		for n, world := range p.Worlds {
			joint := float64(world * likely[n])
			found += joint
			if r.After[n] != n {
				helps += joint
			}
		}
		if found >= seldom && helps < float64(confidence*found) {
			return true
		}
	}
	return false
}

// whole is what a step costs with all that has to be prepared for it.
func whole(w Work, cost float64, needs []int) float64 {
	for _, n := range needs {
		cost += w.Preparations[n]
	}
	return cost
}

// calls are the costs of handing over in each world: the repairs that it needs are
// to be paid for all the same.
func calls(p plan.Problem, call float64) []float64 {
	out := make([]float64, len(p.Worlds))
	repairs := make([]float64, len(p.Worlds))
	for n := range out { // repairs lead to lower worlds
		least := math.Inf(1)
		for _, r := range p.Repairs {
			switch to := r.After[n]; {
			case to == n:
			case to == plan.Works:
				least = math.Min(least, r.Cost)
			default:
				least = math.Min(least, r.Cost+repairs[to])
			}
		}
		if !math.IsInf(least, 1) {
			repairs[n] = least
		}
		out[n] = call + repairs[n]
	}
	return out
}

// asGood is how much dearer a step may be in the end than the best one and still
// be as good: what the costs are known to is coarser.
const asGood = 1.02

// preferSmall puts the smallest step first among those that are as good as the
// best.
func (d *Decision) preferSmall(steps []float64) {
	pick := 0
	for i, o := range d.Options {
		if o.Cost <= asGood*d.Options[0].Cost && steps[i] < steps[pick] {
			pick = i
		}
	}
	if pick > 0 {
		o := d.Options[pick]
		d.Options = slices.Insert(slices.Delete(d.Options, pick, pick+1), 0, o)
	}
}

// asGoodAsHelp is how much dearer a step may be in the end than to call for help and still
// come before it. No source: our own assumption; what help costs is known least of all.
const asGoodAsHelp = 1.05

// preferDoing puts the best step before a call for help where it is about as good.
func (d *Decision) preferDoing() {
	if len(d.Options) > 1 && d.Options[0].ID == "" && d.Options[1].Cost <= asGoodAsHelp*d.Options[0].Cost {
		d.Options[0], d.Options[1] = d.Options[1], d.Options[0]
	}
}

// telling are the tests that say something about a cause of some world, those
// about the likeliest ones first where there are too many.
func (c *compiled) telling(tests []Method, worlds []world) []Method {
	about := func(t Method) float64 {
		p := 0.0
		for _, w := range worlds {
			if slices.ContainsFunc(w.causes, func(i int) bool { return t.knows(c.causes[i].ID) }) {
				p += w.p
			}
		}
		return p
	}
	var out []Method
	for _, t := range tests {
		if about(t) > 0 {
			out = append(out, t)
		}
	}
	if len(out) > plan.MaxTests {
		slices.SortStableFunc(out, func(a, b Method) int { return cmp.Compare(about(b), about(a)) })
		out = out[:plan.MaxTests]
	}
	return out
}

// results are the probabilities of the results of a test in some worlds.
func (c *compiled) results(t Test, worlds []world) [][]float64 {
	out := make([][]float64, len(t.Results))
	there := make([]bool, len(c.causes))
	for r := range t.Results {
		chain := c.outcome(t.Seen("", r))
		for _, w := range worlds {
			for _, i := range w.causes {
				there[i] = true
			}
			out[r] = append(out[r], chain.Under(there))
			for _, i := range w.causes {
				there[i] = false
			}
		}
	}
	return out
}

// worthNoting is how probable a world has to be for what it does not explain to
// count; below it, it stands mostly for what a repair has left of another one.
const worthNoting = 0.01

// after is the world that a repair leaves of each; false where it changes none.
func (c *compiled) after(r Repair, worlds []world, e Evidence) (after []int, mends bool) {
	for n, w := range worlds {
		rest := w.causes
		for _, id := range r.Mends {
			if i, known := c.at[id]; known {
				rest = without(rest, i)
			}
		}
		switch {
		case len(rest) == len(w.causes):
			after = append(after, n)
		case c.works(e, rest):
			to := plan.Works
			if w.p >= worthNoting && !c.explains(e, w.causes) {
				to = 0 // what was found had come from something else, and goes on
			}
			after, mends = append(after, to), true
		default:
			after, mends = append(after, place(worlds, rest)), true
		}
	}
	return after, mends
}
