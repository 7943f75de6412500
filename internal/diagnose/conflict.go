package diagnose

import (
	"cmp"
	"errors"
	"math"
	"slices"

	"kg/internal/diagnose/bayes"
	"kg/internal/portable"
)

// Conflict says that one finding does not go with the others: how many times
// rarer they are together than if they had nothing to do with each other, as a
// logarithm to base 2 (the conflict measure of Jensen, Chamberlain, Nordahl and
// Jensen 1991).
type Conflict struct {
	Label string
	Bits  float64
	// With is the one of the others that it goes with least, by the same measure for
	// the two alone.
	With string
}

// oddTimes is from how many times rarer with the rest than apart on a finding is worth
// a word, and oddPair the same for the results of two tests of which one speaks for a
// cause and the other against it, by all that was found beside them. Where all was found
// as the model has it, such a report is a false alarm: of 960 simulated call-outs it was
// made at 20 (bench/callouts).
const (
	oddTimes = 30
	oddPair  = 3
)

// speaks is from how many times likelier with a cause than without it on, or the other
// way round, a result speaks for it or against it.
const speaks = 3

// conflicts returns the findings that conflict with the rest, the worst first.
func (c *compiled) conflicts(e Evidence, v views) ([]Conflict, error) {
	if len(v.without) < 2 || v.all.approximate != nil {
		return nil, nil
	}
	var out []Conflict
	for i := range v.without {
		bits := (v.alone[i].Log() + v.without[i].evidence.Log() - v.all.evidence.Log()) / math.Ln2
		if bits < portable.Log2(oddTimes) {
			continue
		}
		with, err := c.oddest(e, v, i)
		if err != nil {
			return nil, err
		}
		out = append(out, Conflict{e.label(i), bits, with})
	}
	pairs, err := c.opposites(e, v)
	if err != nil {
		return nil, err
	}
	for _, p := range pairs {
		if !slices.ContainsFunc(out, func(o Conflict) bool {
			return o.Label == p.Label && o.With == p.With || o.Label == p.With && o.With == p.Label
		}) {
			out = append(out, p)
		}
	}
	slices.SortStableFunc(out, func(a, b Conflict) int { return cmp.Compare(b.Bits, a.Bits) })
	return out, nil
}

// opposites are the pairs of tests that speak for and against one cause, and whose
// results do not go together.
func (c *compiled) opposites(e Evidence, v views) ([]Conflict, error) {
	var out []Conflict
	first := len(e.Findings)
	for i, a := range e.Outcomes {
		for k, b := range e.Outcomes[:i] {
			if !opposite(a, b) {
				continue
			}
			var rest []int
			for n := range e.items() {
				if n != first+i && n != first+k {
					rest = append(rest, n)
				}
			}
			without, err := c.infer(e.only(rest...))
			if err != nil {
				return nil, err
			}
			bits := (v.without[first+i].evidence.Log() + v.without[first+k].evidence.Log() - without.evidence.Log() - v.all.evidence.Log()) / math.Ln2
			if bits >= portable.Log2(oddPair) {
				out = append(out, Conflict{a.Label, bits, b.Label})
			}
		}
	}
	return out, nil
}

// opposite reports whether of two outcomes one speaks for a cause and the other against
// it.
func opposite(a, b Outcome) bool {
	return slices.ContainsFunc(a.Test.Causes(), func(cause ID) bool {
		x, y := a.says(cause), b.says(cause)
		return x >= speaks && y <= 1.0/speaks || y >= speaks && x <= 1.0/speaks
	})
}

// says is how many times likelier an outcome is with a cause than otherwise; once where
// the test does not speak of it.
func (o Outcome) says(cause ID) float64 {
	if !o.Test.knows(cause) {
		return 1
	}
	with, otherwise := 0.0, 0.0
	for r, p := range o.Result {
		with += float64(p * likely(o.Test.Results[r].Given[cause], len(o.Result)))
		otherwise += float64(p * likely(o.Test.Results[r].Otherwise, len(o.Result)))
	}
	return with / otherwise
}

// oddest names the finding that the i-th one goes with least, the two of them alone.
func (c *compiled) oddest(e Evidence, v views, i int) (string, error) {
	with, most := "", math.Inf(-1)
	for k := range v.alone {
		if k == i {
			continue
		}
		both, err := c.infer(e.only(i, k))
		if err != nil {
			return "", err
		}
		if bits := v.alone[i].Log() + v.alone[k].Log() - both.evidence.Log(); bits > most {
			with, most = e.label(k), bits
		}
	}
	return with, nil
}

// only is the evidence of some of the things that were found.
func (e Evidence) only(items ...int) Evidence {
	out := Evidence{Cleared: e.Cleared}
	for _, i := range items {
		if i < len(e.Findings) {
			out.Findings = append(out.Findings, e.Findings[i])
		} else {
			out.Outcomes = append(out.Outcomes, e.Outcomes[i-len(e.Findings)])
		}
	}
	return out
}

// Turn says what would come first if one finding had been the other way.
type Turn struct {
	Label       string
	Otherwise   string // the other result of a test; empty for a finding
	First       ID
	Probability float64
}

// Turns returns the findings that decide which cause comes first: with each of
// them the other way another cause would.
func (m *Model) Turns(e Evidence) ([]Turn, error) {
	now, err := m.First(e)
	if err != nil || now.ID == "" {
		return nil, err
	}
	var out []Turn
	add := func(label, otherwise string, other Evidence) error {
		first, err := m.First(other)
		if err == nil && first.ID != "" && first.ID != now.ID {
			out = append(out, Turn{label, otherwise, first.ID, first.Probability})
		}
		return err
	}
	for i, f := range e.Findings {
		other := e
		other.Findings = slices.Clone(e.Findings)
		f.Absent = !f.Absent
		other.Findings[i] = f
		if len(e.Outcomes) == 0 && !slices.ContainsFunc(other.Findings, func(f Finding) bool { return !f.Absent }) {
			continue // nothing would be wrong
		}
		if err := add(f.Label, "", other); err != nil {
			return nil, err
		}
	}
	for i, o := range e.Outcomes {
		for r, result := range o.Test.Results {
			if r < len(o.Result) && o.Result[r] == slices.Max(o.Result) {
				continue
			}
			other := e
			other.Outcomes = slices.Clone(e.Outcomes)
			other.Outcomes[i] = o.Test.Seen(o.Label, r)
			if err := add(o.Label, result.Name, other); err != nil {
				return nil, err
			}
		}
	}
	return out, nil
}

// First is the likeliest cause that is not repaired yet, without its weights.
func (m *Model) First(e Evidence) (Belief, error) {
	c, err := m.compile()
	if err != nil {
		return Belief{}, err
	}
	all, err := c.infer(e)
	if err != nil {
		return Belief{}, err
	}
	return c.first(all, e.Cleared), nil
}

func (c *compiled) first(now solved, cleared []ID) Belief {
	best := Belief{}
	for i, cause := range c.causes {
		if now.probability[i] > best.Probability && !slices.Contains(cleared, cause.ID) {
			best = Belief{ID: cause.ID, Prior: cause.Rate, Probability: now.probability[i]}
		}
	}
	return best
}

// Fails is how likely what was found goes on when some causes are repaired: what is
// found has then to come from others.
func (m *Model) Fails(e Evidence, repaired []ID) (float64, error) {
	c, err := m.compile()
	if err != nil {
		return 0, err
	}
	now, err := c.infer(e)
	if err != nil {
		return 0, err
	}
	e.Cleared = append(slices.Clone(e.Cleared), repaired...)
	after, err := c.infer(e)
	if errors.Is(err, bayes.ErrImpossible) {
		return 0, nil
	}
	if err != nil {
		return 0, err
	}
	return math.Min(1, portable.Exp(after.evidence.Log()-now.evidence.Log())), nil
}

// Prospect is one result that a test may have: how likely it is now, and which
// cause would come first after it.
type Prospect struct {
	Probability float64
	First       Belief
}

// Prospects are the results that a test may have, in their order.
func (m *Model) Prospects(e Evidence, t Test) ([]Prospect, error) {
	c, err := m.compile()
	if err != nil {
		return nil, err
	}
	out := make([]Prospect, len(t.Results))
	logs := make([]float64, len(t.Results))
	if len(logs) == 0 {
		return nil, nil
	}
	now, err := c.each(e, t)
	if err != nil {
		return nil, err
	}
	for r := range out {
		logs[r] = now[r].evidence.Log()
		out[r].First = c.first(now[r], e.Cleared)
	}
	top, sum := slices.Max(logs), 0.0
	for r := range logs {
		out[r].Probability = portable.Exp(logs[r] - top)
		sum += out[r].Probability
	}
	for r := range out {
		out[r].Probability /= sum
	}
	return out, nil
}

// each infers with each result of a test in turn, on one tree where that is narrow
// enough.
func (c *compiled) each(e Evidence, t Test) ([]solved, error) {
	at := len(e.Findings) + len(e.Outcomes)
	with := e
	now := t.Seen("", 0)
	now.Cleared = e.Cleared
	with.Outcomes = append(slices.Clone(e.Outcomes), now)
	variants := c.variants(with)
	parts := make([][]solved, len(t.Results)) // of each result
	for _, v := range variants {
		tree, err := c.tree(v.chains, len(t.Results)*len(variants))
		var wide *bayes.TooWide
		apart := errors.As(err, &wide)
		if err != nil && !apart {
			return nil, err
		}
		for r := range t.Results {
			with.Outcomes[len(with.Outcomes)-1].Result = t.Seen("", r).Result
			chain := c.chain(with, at)
			var one solved
			if apart {
				v.chains[at] = chain
				one, err = c.solve(v.chains)
			} else if err = tree.Reweigh(len(c.problem.Chains)+at, chain.End); err == nil {
				one, err = read(tree)
			}
			if err != nil {
				return nil, err
			}
			parts[r] = append(parts[r], one)
		}
	}
	out := make([]solved, len(t.Results))
	for r := range out {
		var err error
		if out[r], err = mixed(variants, parts[r]); err != nil {
			return nil, err
		}
	}
	return out, nil
}
