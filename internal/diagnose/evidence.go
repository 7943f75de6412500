package diagnose

import (
	"cmp"
	"slices"

	"kg/internal/diagnose/bayes"
)

// Evidence is all that was found.
type Evidence struct {
	Findings []Finding
	Outcomes []Outcome
	// Cleared are causes that were repaired. What is still found has to come from
	// others: they explain nothing any more.
	Cleared []ID
}

// Finding is something that was seen. When the words for it fit several
// entries, each of them is a sense with its weight, and the doubt goes into
// the probabilities.
type Finding struct {
	Label  string
	Senses []Sense
	// Absent says that the thing was looked for and is not there.
	Absent bool
}

// Sense is one entry that a finding may stand for. Weights of one finding
// share out 1. A sense without an id stands for something that the model does
// not know: it speaks for no cause.
type Sense struct {
	ID      ID
	IsCause bool // the words named a cause, not a symptom
	Weight  float64
}

// Outcome is what a test said: how likely that is under each of the test's
// results, 1 for one and 0 for all others where the result itself was seen.
type Outcome struct {
	Label  string
	Test   Test
	Result []float64
	// Cleared are the causes that had been repaired by the time of the test.
	Cleared []ID
}

// Seen is the outcome of a result that was seen.
func (t Test) Seen(label string, result int) Outcome {
	o := Outcome{Label: label, Test: t, Result: make([]float64, len(t.Results))}
	if result >= 0 && result < len(o.Result) {
		o.Result[result] = 1
	}
	return o
}

const (
	// unknownFinding is how often something is seen that the model does not know.
	// No source: our own assumption, of the order of a usual symptom at a call-out.
	unknownFinding = 0.01
	// slip is how often what was seen or measured is wrong, whatever the figures
	// say. No source: our own assumption; without it one slip would be proof.
	slip = 0.001
)

// nothing is a finding that says nothing.
var nothing = bayes.Chain{Start: []float64{1}, End: []float64{1}}

// items is the number of things that were found.
func (e Evidence) items() int { return len(e.Findings) + len(e.Outcomes) }

// label is the name of the i-th thing that was found.
func (e Evidence) label(i int) string {
	if i < len(e.Findings) {
		return e.Findings[i].Label
	}
	return e.Outcomes[i-len(e.Findings)].Label
}

// variant is the evidence with one sense of each doubtful finding, and the
// weight of these senses.
type variant struct {
	weight float64
	chains []bayes.Chain
}

// mostVariants is how many combinations of senses are gone through one by one.
// With more, the doubt is part of the network, which makes it wider.
const mostVariants = 12

// variants goes through the senses of doubtful findings: given one sense of
// each, the network is narrow.
func (c *compiled) variants(e Evidence) []variant {
	open := make([][]Sense, len(e.Findings))
	combinations := 1
	for i, f := range e.Findings {
		for _, r := range f.Senses {
			if r.Weight > 0 && !(f.Absent && r.ID == "") {
				open[i] = append(open[i], r)
			}
		}
		combinations *= max(1, len(open[i]))
		if combinations > mostVariants {
			return []variant{{1, c.chains(e)}}
		}
	}
	out := []variant{{1, c.chains(e)}}
	for i, senses := range open {
		if len(senses) < 2 {
			continue
		}
		var next []variant
		for _, r := range senses {
			f := e.Findings[i]
			f.Senses = []Sense{{ID: r.ID, IsCause: r.IsCause, Weight: 1}}
			single := c.chain(Evidence{Findings: []Finding{f}, Cleared: e.Cleared}, 0)
			for _, v := range out {
				v.chains = slices.Clone(v.chains)
				v.chains[i] = single
				next = append(next, variant{v.weight * r.Weight, v.chains})
			}
		}
		out = next
	}
	return out
}

// chains are the things that were found, in their order.
func (c *compiled) chains(e Evidence) []bayes.Chain {
	out := make([]bayes.Chain, e.items())
	for i := range out {
		out[i] = c.chain(e, i)
	}
	return out
}

// chain is the i-th thing that was found, as what the causes do to it.
func (c *compiled) chain(e Evidence, i int) bayes.Chain {
	var out bayes.Chain
	if i < len(e.Findings) {
		if e.Findings[i].Absent {
			out = c.absent(e.Findings[i])
		} else {
			out = c.present(e.Findings[i])
		}
	} else {
		out = c.outcome(e.Outcomes[i-len(e.Findings)])
	}
	cleared := e.Cleared
	if i >= len(e.Findings) {
		cleared = e.Outcomes[i-len(e.Findings)].Cleared
	}
	if len(cleared) > 0 {
		out.Steps = slices.DeleteFunc(out.Steps, func(s bayes.Step) bool {
			return slices.Contains(cleared, c.causes[s.Var].ID)
		})
	}
	return out
}

// A cause that was named in words is a guess: how often somebody names it where it is
// the cause, and where it is not. No source: our own assumption, which makes the odds
// forty times what they were, so that a usual cause becomes a likely one, and a rare
// one does not.
const (
	namedRightly = 0.5
	namedWrongly = 0.0125
)

// leakOf is how often a sense is there with no cause of it. Nothing is
// impossible: words and people can be wrong.
func (c *compiled) leakOf(r Sense) float64 {
	if r.IsCause {
		return namedWrongly
	}
	if leak := c.leak(r.ID); leak > 0 {
		return leak
	}
	return slip * slip
}

// present is a finding that was seen. The chain remembers which sense it waits
// for, and in its last state that a cause, or the leak, has brought it about.
func (c *compiled) present(f Finding) bayes.Chain {
	senses := slices.DeleteFunc(slices.Clone(f.Senses), func(r Sense) bool { return r.Weight == 0 })
	k := len(senses)
	if k == 0 {
		return nothing
	}
	out := bayes.Chain{Start: make([]float64, k+1), End: make([]float64, k+1)}
	out.End[k] = 1
	strengths := make([][]float64, k)
	for i, r := range senses {
		if r.ID == "" {
			out.Start[k] += float64(r.Weight * unknownFinding)
			continue
		}
		leak := c.leakOf(r)
		out.Start[i] = r.Weight * (1 - leak)
		out.Start[k] += float64(r.Weight * leak)
		strengths[i] = c.strengths(r)
	}
	for v := range c.causes {
		m := make([]float64, (k+1)*(k+1))
		acts := false
		for i := range k {
			s := 0.0
			if strengths[i] != nil {
				s = strengths[i][v]
			}
			acts = acts || s > 0
			m[i*(k+1)+i] = 1 - s
			m[i*(k+1)+k] = s
		}
		m[k*(k+1)+k] = 1
		if acts {
			out.Steps = append(out.Steps, bayes.Step{Var: v, Move: [][]float64{nil, m}})
		}
	}
	return out
}

// absent is a finding that was looked for in vain. The chain remembers which
// sense was meant.
func (c *compiled) absent(f Finding) bayes.Chain {
	out := bayes.Chain{}
	var strengths [][]float64
	for _, r := range f.Senses {
		if r.ID == "" {
			continue
		}
		out.Start = append(out.Start, r.Weight*(1-c.leakOf(r)))
		out.End = append(out.End, 1)
		strengths = append(strengths, c.strengths(r))
	}
	k := len(out.Start)
	if k == 0 {
		return nothing
	}
	// With several senses, a last state takes what is not absent after all, so
	// that states share out 1.
	n := k
	if k > 1 {
		n = k + 1
		out.Start, out.End = append(out.Start, 0), append(out.End, 0)
	}
	for v := range c.causes {
		m := make([]float64, n*n)
		acts := false
		for i := range k {
			s := min(strengths[i][v], 1-slip)
			acts = acts || s > 0
			m[i*n+i] = 1 - s
			if n > k {
				m[i*n+k] = s
			}
		}
		if n > k {
			m[k*n+k] = 1
		}
		if acts {
			out.Steps = append(out.Steps, bayes.Step{Var: v, Move: [][]float64{nil, m}})
		}
	}
	return out
}

// outcome is what a test said. The chain remembers the highest result that a
// cause has brought about, and in its last state that none has: then the test
// says what it says otherwise. Results rank by how rare they are otherwise.
func (c *compiled) outcome(o Outcome) bayes.Chain {
	t := o.Test
	k := len(t.Results)
	rank := make([]int, k) // results from the commonest to the rarest
	for i := range rank {
		rank[i] = i
	}
	slices.SortStableFunc(rank, func(a, b int) int { return cmp.Compare(t.Results[b].Otherwise, t.Results[a].Otherwise) })

	out := bayes.Chain{Start: make([]float64, k+1), End: make([]float64, k+1)}
	out.Start[k] = 1
	for i, r := range rank {
		seen := 0.0
		if r < len(o.Result) {
			seen = o.Result[r]
		}
		out.End[i] = seen
		out.End[k] += float64(seen * likely(t.Results[r].Otherwise, k))
	}
	for v, cause := range c.causes {
		if !t.knows(cause.ID) {
			continue
		}
		m := make([]float64, (k+1)*(k+1))
		for from := range k + 1 {
			for to, r := range rank {
				high := to
				if from < k {
					high = max(from, to)
				}
				m[from*(k+1)+high] += likely(t.Results[r].Given[cause.ID], k)
			}
		}
		out.Steps = append(out.Steps, bayes.Step{Var: v, Move: [][]float64{nil, m}})
	}
	return out
}

// likely is the probability of one of k results, with room for a slip.
func likely(p float64, k int) float64 { return float64((1-slip)*p) + slip/float64(k) }

// knows reports whether a test says anything about a cause.
func (t Test) knows(cause ID) bool {
	return slices.ContainsFunc(t.Results, func(r Result) bool {
		_, said := r.Given[cause]
		return said
	})
}
