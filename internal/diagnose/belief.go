package diagnose

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"kg/internal/diagnose/bayes"
	"kg/internal/portable"
)

// Belief is one cause after the evidence.
type Belief struct {
	ID          ID
	Prior       float64
	Probability float64
	Weights     []Weight // one for each thing that was found, in their order
}

// Beliefs are the causes, the most probable first, equal ones by id. Several may
// be there at once, so the probabilities need not add up to 1. Other is the
// probability that none of them is.
type Beliefs struct {
	Causes []Belief
	Other  float64
	// Conflicts are the findings that do not go with the rest.
	Conflicts []Conflict
	// Approximate is set when the evidence hangs together so widely that the
	// probabilities could only be estimated.
	Approximate *Approximation
}

// solved is what inference says about some evidence.
type solved struct {
	probability []float64 // of each cause
	evidence    bayes.Scaled
	approximate *Approximation
}

// solve infers with some chains.
func (c *compiled) solve(chains []bayes.Chain) (solved, error) {
	tree, err := c.tree(chains, 1)
	var wide *bayes.TooWide
	if errors.As(err, &wide) {
		return c.sample(chains, wide).estimate(everything), nil
	}
	if err != nil {
		return solved{}, err
	}
	return read(tree)
}

// with is the problem of the causes with what was found.
func (c *compiled) with(chains []bayes.Chain) bayes.Problem {
	p := c.problem
	p.Chains = slices.Concat(p.Chains, chains)
	return p
}

// mostEntries bounds the work of exact inference: cluster entries times sweeps
// over all of them. It is a second or two.
const mostEntries = 400_000_000

// tree arranges the causes with what was found for some sweeps. The error is a
// *bayes.TooWide where that would take too long or too much memory.
func (c *compiled) tree(chains []bayes.Chain, sweeps int) (*bayes.Tree, error) {
	tree, err := bayes.NewTree(c.with(chains))
	if err != nil {
		return nil, err
	}
	if vars, entries := tree.Width(); entries > mostEntries/sweeps {
		return nil, &bayes.TooWide{Width: vars, Bytes: 8 * int64(entries)}
	}
	return tree, nil
}

// read takes the probabilities of the causes from a tree.
func read(tree *bayes.Tree) (solved, error) {
	marginals, evidence, err := tree.Marginals()
	if err != nil {
		return solved{}, err
	}
	out := solved{evidence: evidence}
	for _, m := range marginals {
		out.probability = append(out.probability, m[1])
	}
	return out, nil
}

// infer works out the probabilities given some evidence.
func (c *compiled) infer(e Evidence) (solved, error) {
	variants := c.variants(e)
	parts := make([]solved, len(variants))
	for i, v := range variants {
		var err error
		if parts[i], err = c.solve(v.chains); err != nil {
			return solved{}, fmt.Errorf("weighing what was found: %w", err)
		}
	}
	return mixed(variants, parts)
}

// mixed puts together what variants of the evidence say: each by its weight times
// how likely the evidence is in it.
func mixed(variants []variant, parts []solved) (solved, error) {
	if len(parts) == 1 && variants[0].weight == 1 {
		return parts[0], nil
	}
	top := math.Inf(-1)
	for _, p := range parts {
		top = math.Max(top, p.evidence.Log())
	}
	if math.IsInf(top, -1) {
		return solved{}, bayes.ErrImpossible
	}
	out := solved{probability: make([]float64, len(parts[0].probability))}
	total := 0.0
	for i, p := range parts {
		w := float64(variants[i].weight * portable.Exp(p.evidence.Log()-top))
		total += w
		for k, x := range p.probability {
			out.probability[k] += float64(w * x)
		}
		if p.approximate != nil && (out.approximate == nil || p.approximate.Error > out.approximate.Error) {
			out.approximate = p.approximate
		}
	}
	for k := range out.probability {
		out.probability[k] /= total
	}
	exponent := int(top / math.Ln2)
	out.evidence = bayes.Scaled{Mantissa: total * portable.Exp(top-float64(float64(exponent)*math.Ln2)), Exponent: exponent}
	return out, nil
}

// views are beliefs with all that was found, with all but one thing, with none,
// and how likely each thing is alone.
type views struct {
	all, prior solved
	without    []solved
	alone      []bayes.Scaled
}

// look works out all views of some evidence.
func (c *compiled) look(e Evidence) (views, error) {
	variants := c.variants(e)
	parts := make([]views, len(variants))
	for i, v := range variants {
		var err error
		if parts[i], err = c.lookAt(v.chains); err != nil {
			return views{}, err
		}
	}
	if len(variants) == 1 {
		return parts[0], nil
	}
	pick := func(of func(views) solved) (solved, error) {
		chosen := make([]solved, len(parts))
		for i, p := range parts {
			chosen[i] = of(p)
		}
		return mixed(variants, chosen)
	}
	out := views{without: make([]solved, e.items()), alone: make([]bayes.Scaled, e.items())}
	var err error
	if out.all, err = pick(func(v views) solved { return v.all }); err != nil {
		return out, err
	}
	out.prior = parts[0].prior
	for k := range out.without {
		if out.without[k], err = pick(func(v views) solved { return v.without[k] }); err != nil {
			return out, err
		}
		alone, err := pick(func(v views) solved { return solved{evidence: v.alone[k]} })
		if err != nil {
			return out, err
		}
		out.alone[k] = alone.evidence
	}
	return out, nil
}

// lookAt works out all views on one tree. Where that is too wide, they are
// estimated from one set of worlds.
func (c *compiled) lookAt(chains []bayes.Chain) (views, error) {
	v := views{without: make([]solved, len(chains)), alone: make([]bayes.Scaled, len(chains))}
	tree, err := c.tree(chains, 2*len(chains)+2)
	var wide *bayes.TooWide
	if errors.As(err, &wide) {
		return c.estimated(chains, wide), nil
	}
	if err != nil {
		return v, err
	}
	if v.all, err = read(tree); err != nil {
		return v, err
	}
	own := len(c.problem.Chains)
	for i := range chains {
		tree.Leave(own+i, true)
		if v.without[i], err = read(tree); err != nil {
			return v, err
		}
		tree.Leave(own+i, false)
	}
	for i := range chains {
		tree.Leave(own+i, true)
	}
	if v.prior, err = read(tree); err != nil {
		return v, err
	}
	for i := range chains {
		tree.Leave(own+i, false)
		if v.alone[i], err = tree.Evidence(); err != nil {
			return v, err
		}
		tree.Leave(own+i, true)
	}
	return v, nil
}

func (c *compiled) estimated(chains []bayes.Chain, wide *bayes.TooWide) views {
	drawn := c.sample(chains, wide)
	v := views{all: drawn.estimate(everything), prior: drawn.estimate(func(int) bool { return false })}
	for i := range chains {
		v.without = append(v.without, drawn.estimate(func(k int) bool { return k != i }))
		v.alone = append(v.alone, drawn.estimate(func(k int) bool { return k == i }).evidence)
	}
	return v
}

// Posterior returns the beliefs after some evidence. Without any the beliefs are
// the base rates. The error says which figure of the model, or which weight of
// the evidence, is not a probability.
func (m *Model) Posterior(e Evidence) (Beliefs, error) {
	c, err := m.compile()
	if err != nil {
		return Beliefs{}, err
	}
	if err := e.check(); err != nil {
		return Beliefs{}, err
	}
	v, err := c.look(e)
	if err != nil {
		return Beliefs{}, fmt.Errorf("weighing what was found: %w", err)
	}
	out := Beliefs{Other: c.none(e, v.all), Approximate: v.all.approximate}
	if out.Conflicts, err = c.conflicts(e, v); err != nil {
		return Beliefs{}, fmt.Errorf("looking for what does not go together: %w", err)
	}
	for i, cause := range c.causes {
		b := Belief{ID: cause.ID, Prior: v.prior.probability[i], Probability: v.all.probability[i]}
		for k := range e.items() {
			b.Weights = append(b.Weights, weightOf(e.label(k), v.without[k].probability[i], v.all.probability[i]))
		}
		out.Causes = append(out.Causes, b)
	}
	out.sort()
	return out, nil
}

// none is the probability that none of the causes is there, but for those that
// were repaired.
func (c *compiled) none(e Evidence, all solved) float64 {
	return math.Min(1, portable.Exp(c.weight(c.chains(e), nil, c.places(e.Cleared))-all.evidence.Log()))
}

// prior is the probability of a world before any evidence: which causes are
// there and which are not.
func (c *compiled) prior(world []bool) float64 {
	p := 1.0
	for i := range c.causes {
		on := c.alone[i]
		for _, l := range c.parents[i] {
			if world[c.at[l.From]] {
				on = NoisyOR(on, l.Strength)
			}
		}
		if !world[i] {
			on = 1 - on
		}
		p *= on
	}
	return p
}

func (b Beliefs) sort() {
	slices.SortFunc(b.Causes, func(x, y Belief) int {
		return cmp.Or(cmp.Compare(y.Probability, x.Probability), cmp.Compare(x.ID, y.ID))
	})
}
