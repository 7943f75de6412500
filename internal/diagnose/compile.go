package diagnose

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"kg/internal/diagnose/bayes"
)

// compiled is a model as a network: cause i is its variable i.
type compiled struct {
	*network
	causes  []Cause
	at      map[ID]int
	leads   []Link
	parents [][]Link  // of each cause
	alone   []float64 // how often each comes about by none of its parents
	problem bayes.Problem
}

// compile makes the network of a model. The error says which figure is not a
// probability.
func (m *Model) compile() (*compiled, error) {
	if err := m.check(); err != nil {
		return nil, err
	}
	c := &compiled{network: m.network(), causes: m.Causes, at: map[ID]int{}}
	for i, cause := range m.Causes {
		c.at[cause.ID] = i
	}
	c.leads = c.acyclic(c.at)
	c.network.leads = leadsFrom(c.leads)
	c.parents = make([][]Link, len(c.causes))
	for _, l := range c.leads {
		i := c.at[l.To]
		c.parents[i] = append(c.parents[i], l)
	}
	for i, cause := range c.causes {
		alone := c.byItself(cause, c.parents[i])
		if times, known := c.Times[cause.ID]; known {
			alone = alone * times / (1 - alone + float64(alone*times))
		}
		c.alone = append(c.alone, alone)
		c.problem.Cards = append(c.problem.Cards, 2)
		if len(c.parents[i]) == 0 {
			c.problem.Tables = append(c.problem.Tables, bayes.Table{Vars: []int{i}, P: []float64{1 - alone, alone}})
			continue
		}
		chain := bayes.Chain{Start: []float64{1 - alone, alone}, Into: i}
		for _, l := range c.parents[i] {
			chain.Steps = append(chain.Steps, bayes.Step{Var: c.at[l.From], Move: [][]float64{nil, {1 - l.Strength, l.Strength, 0, 1}}})
		}
		c.problem.Chains = append(c.problem.Chains, chain)
	}
	return c, nil
}

// leastAlone is the part of a base rate that is left to a cause itself when
// those that lead to it would explain all of it.
const leastAlone = 0.1

// surest is the highest probability of a cause: nothing is certain.
const surest = 1 - 1e-9

// byItself is how often a cause comes about by none of those that lead to it,
// so that its base rate comes out with them.
func (c *compiled) byItself(cause Cause, parents []Link) float64 {
	not := 1.0
	for _, l := range parents {
		not *= 1 - float64(l.Strength*c.causes[c.at[l.From]].Rate)
	}
	if not == 0 {
		return leastAlone * cause.Rate
	}
	return min(max(1-(1-cause.Rate)/not, leastAlone*cause.Rate), surest)
}

// strengths are how often each cause brings a sense about directly. A stated
// link is the whole of it, so that what comes about through other causes is
// taken off.
func (c *compiled) strengths(r Sense) []float64 {
	out := make([]float64, len(c.causes))
	if r.IsCause {
		if i, known := c.at[r.ID]; known {
			out[i] = namedRightly
		}
		return out
	}
	for i, cause := range c.causes {
		stated, is := c.shows[cause.ID][r.ID]
		if !is {
			continue
		}
		via := 0.0
		for _, l := range c.network.leads[cause.ID] {
			via = NoisyOR(via, l.Strength*c.strength(l.To, r.ID))
		}
		if stated > via {
			out[i] = (stated - via) / (1 - via)
		}
	}
	return out
}

func (m *Model) check() error {
	probability := func(x float64, of string, args ...any) error {
		if x >= 0 && x <= 1 {
			return nil
		}
		return fmt.Errorf("%s is %v: a probability lies from 0 to 1", fmt.Sprintf(of, args...), x)
	}
	var errs []error
	for i, c := range m.Causes {
		errs = append(errs, probability(c.Rate, "the base rate of %q", c.ID))
		if slices.ContainsFunc(m.Causes[:i], func(d Cause) bool { return d.ID == c.ID }) {
			errs = append(errs, fmt.Errorf("the cause %q is there twice", c.ID))
		}
	}
	for _, l := range slices.Concat(m.Shows, m.Leads) {
		errs = append(errs, probability(l.Strength, "the link from %q to %q", l.From, l.To))
	}
	for _, id := range sortedKeys(m.Leak) {
		errs = append(errs, probability(m.Leak[id], "the leak of %q", id))
	}
	for _, id := range sortedKeys(m.Times) {
		if times := m.Times[id]; !(times >= 0) || math.IsInf(times, 1) {
			errs = append(errs, fmt.Errorf("the odds of %q are %v times what they are on average: a number from 0 on, please", id, times))
		}
	}
	return errors.Join(errs...)
}

// check reports what is not a probability among the evidence.
func (e Evidence) check() error {
	var errs []error
	wrong := func(x float64, of string, args ...any) {
		if !(x >= 0 && x <= 1) {
			errs = append(errs, fmt.Errorf("%s is %v: a probability lies from 0 to 1", fmt.Sprintf(of, args...), x))
		}
	}
	for _, f := range e.Findings {
		for _, r := range f.Senses {
			wrong(r.Weight, "the weight of the sense %q of %q", r.ID, f.Label)
		}
	}
	for _, o := range e.Outcomes {
		for _, p := range o.Result {
			wrong(p, "the likelihood of a result of %q", o.Label)
		}
		for _, r := range o.Test.Results {
			wrong(r.Otherwise, "the figure of the result %q of %q", r.Name, o.Label)
			for _, id := range sortedKeys(r.Given) {
				wrong(r.Given[id], "the figure of the result %q of %q for %q", r.Name, o.Label, id)
			}
		}
	}
	return errors.Join(errs...)
}
