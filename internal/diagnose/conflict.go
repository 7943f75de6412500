package diagnose

import (
	"cmp"
	"math"
	"slices"

	"kg/internal/diagnose/bayes"
)

// Conflict says that one finding does not go with the others: how many times
// rarer they are together than if they had nothing to do with each other, as a
// logarithm to base 2 (the conflict measure of Jensen, Chamberlain, Nordahl and
// Jensen 1991).
type Conflict struct {
	Label string
	Bits  float64
}

// leastConflict is where a conflict is worth a word: a hundred times rarer
// together than apart. A test that clears the first suspect is less than that.
var leastConflict = math.Log2(100)

// conflicts returns the findings that conflict with the rest, the worst first.
func (c *compiled) conflicts(e Evidence, chains []bayes.Chain, all solved, without []solved) ([]Conflict, error) {
	if len(chains) < 2 || all.approximate != nil {
		return nil, nil
	}
	var out []Conflict
	for i := range chains {
		alone, err := c.solve(chains[i:i+1], -1)
		if err != nil {
			return nil, err
		}
		bits := (alone.evidence.Log() + without[i].evidence.Log() - all.evidence.Log()) / math.Ln2
		if bits >= leastConflict {
			out = append(out, Conflict{e.label(i), bits})
		}
	}
	slices.SortStableFunc(out, func(a, b Conflict) int { return cmp.Compare(b.Bits, a.Bits) })
	return out, nil
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
	all, err := c.solve(c.chains(e), -1)
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
	for r := range t.Results {
		after := e
		after.Outcomes = append(slices.Clone(e.Outcomes), t.Seen("", r))
		now, err := c.solve(c.chains(after), -1)
		if err != nil {
			return nil, err
		}
		logs[r] = now.evidence.Log()
		out[r].First = c.first(now, e.Cleared)
	}
	if len(logs) == 0 {
		return nil, nil
	}
	top, sum := slices.Max(logs), 0.0
	for r := range logs {
		out[r].Probability = math.Exp(logs[r] - top)
		sum += out[r].Probability
	}
	for r := range out {
		out[r].Probability /= sum
	}
	return out, nil
}
