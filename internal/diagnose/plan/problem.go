// Package plan owns the decision what to do next at a call-out: which test, which
// repair, or to call for help, so that the expected cost until the appliance works
// is as low as it can be. Its functions are pure and know nothing of heating; it
// uses only the standard library and compiles to js/wasm.
//
// What may be wrong is a small set of worlds with their probabilities. A test
// tells worlds apart, a repair changes the world, and both cost something; states
// of the appliance that several of them need are paid for once. The search looks
// ahead as far as its budget lasts. Where it stops, it goes on with a policy that
// takes tests by what they tell for their cost and repairs in the order of
// probability over cost (Kadane and Simon 1977; Heckerman, Breese and Rommelse
// 1995), worked out to its end (rollout; Bertsekas, Tsitsiklis and Wu 1997).
package plan

import (
	"errors"
	"fmt"
	"math"
)

// Problem is what is open at a call-out. All costs are in one unit.
type Problem struct {
	Worlds       []float64 // probability of each; what they add up to is all there is
	Tests        []Test
	Repairs      []Repair
	Preparations []float64 // what each costs, once
	// Call is for each world the cost of handing the job over to someone who will
	// end it; +Inf where there is nobody, and so is nil.
	Call []float64
}

// Test tells worlds apart.
type Test struct {
	Cost  float64
	Needs []int // preparations
	// Results holds for each result its probability in each world.
	Results [][]float64
}

// Repair changes the world. That it helped is seen at once.
type Repair struct {
	Cost  float64
	Wrong float64 // what it costs beyond Cost where it changes nothing; +Inf forbids it
	Needs []int   // preparations
	// After is for each world the one that is left after the repair: the same where
	// the repair does nothing, Works where the appliance works then.
	After []int
	// Least is how probable it has to be that the repair does something before it
	// may be advised, as long as one of the tests in Proof has not been done.
	Least float64
	Proof []int
}

// Works is the world in which the job is done.
const Works = -1

// Limits of a problem. A caller with more has to leave out what tells least.
const (
	MaxTests   = 64
	MaxRepairs = 64
)

func (p *Problem) check() error {
	if len(p.Tests) > MaxTests || len(p.Repairs) > MaxRepairs || len(p.Preparations) > 64 {
		return fmt.Errorf("%d tests, %d repairs and %d preparations are more than can be planned with: at most %d, %d and 64, please",
			len(p.Tests), len(p.Repairs), len(p.Preparations), MaxTests, MaxRepairs)
	}
	errs := []error{nonNegative("a world", p.Worlds...), nonNegative("a preparation", p.Preparations...)}
	if p.Call != nil && len(p.Call) != len(p.Worlds) {
		errs = append(errs, fmt.Errorf("there are %d costs of calling for help where there are %d worlds", len(p.Call), len(p.Worlds)))
	}
	for _, c := range p.Call {
		errs = append(errs, cost("the call", c))
	}
	for i, t := range p.Tests {
		what := fmt.Sprint("test ", i)
		errs = append(errs, cost(what, t.Cost), p.known(what, t.Needs))
		if len(t.Results) == 0 {
			errs = append(errs, fmt.Errorf("%s has no result: give it at least one", what))
		}
		for _, r := range t.Results {
			if len(r) != len(p.Worlds) {
				errs = append(errs, fmt.Errorf("%s says something about %d worlds where there are %d", what, len(r), len(p.Worlds)))
			}
			errs = append(errs, nonNegative(what, r...))
		}
	}
	for i, r := range p.Repairs {
		what := fmt.Sprint("repair ", i)
		errs = append(errs, cost(what, r.Cost), cost(what, r.Wrong), p.known(what, r.Needs), p.leads(what, r.After))
		for _, t := range r.Proof {
			if t < 0 || t >= len(p.Tests) {
				errs = append(errs, fmt.Errorf("%s is proved by test %d, which is not there", what, t))
			}
		}
	}
	return errors.Join(errs...)
}

// leads checks that repairs come to an end: a world is left for one that comes
// later in no list, so that no repair undoes another.
func (p *Problem) leads(what string, after []int) error {
	if len(after) != len(p.Worlds) {
		return fmt.Errorf("%s says something about %d worlds where there are %d", what, len(after), len(p.Worlds))
	}
	for w, to := range after {
		if to < Works || to >= len(p.Worlds) || to > w {
			return fmt.Errorf("%s leads from world %d to world %d: number the worlds so that a repair leads to a lower one", what, w, to)
		}
	}
	return nil
}

func (p *Problem) known(what string, needs []int) error {
	for _, n := range needs {
		if n < 0 || n >= len(p.Preparations) {
			return fmt.Errorf("%s needs preparation %d, which is not there", what, n)
		}
	}
	return nil
}

func nonNegative(what string, numbers ...float64) error {
	for _, x := range numbers {
		if !(x >= 0) || math.IsInf(x, 1) {
			return fmt.Errorf("%s has the figure %v: numbers from 0 on, please", what, x)
		}
	}
	return nil
}

func cost(what string, x float64) error {
	if !(x >= 0) {
		return fmt.Errorf("%s costs %v: numbers from 0 on, please", what, x)
	}
	return nil
}
