package diagnose

import (
	"cmp"
	"math"
	"slices"
)

// Finding is something that was seen. When the words for it fit several
// entries, each of them is a reading with its weight, and the doubt goes into
// the probabilities.
type Finding struct {
	Label    string
	Readings []Reading
	// Absent says that the thing was looked for and is not there.
	Absent bool
}

// Reading is one entry that a finding may stand for. Weights of one finding
// share out 1. A reading without an id stands for something that the model does
// not know: it speaks for no cause.
type Reading struct {
	ID      ID
	IsCause bool // the words named a cause, not a symptom
	Weight  float64
}

// Weight is the weight of evidence of one finding for a cause: the change of
// its log odds, in decibans (I. J. Good 1950, "Probability and the Weighing of
// Evidence"; 10 decibans make odds ten times as high).
type Weight struct {
	Label    string
	Decibans float64
}

// Belief is one cause after the evidence.
type Belief struct {
	ID          ID
	Prior       float64
	Probability float64
	Weights     []Weight // one for each finding, in their order
}

// Beliefs are the causes, the most probable first, equal ones by id. Other is
// the probability of something that the model does not know.
type Beliefs struct {
	Causes []Belief
	Other  float64
}

// unknownFinding is how often something is seen that the model does not know. No
// source: our own assumption, of the order of a usual symptom at a call-out.
const unknownFinding = 0.01

// MaxDecibans bounds a weight of evidence that would be infinite.
const MaxDecibans = 100

// Posterior returns the beliefs after some findings. The single causes of the
// model and "something else" share out 1; without findings the beliefs are the
// base rates. A finding that the model cannot explain at all leaves the
// probability to "something else".
func (m *Model) Posterior(findings []Finding) Beliefs {
	n := m.network()
	table := make([][]float64, len(findings)) // likelihood of a finding under each cause, last under none
	for i, f := range findings {
		table[i] = n.likelihoods(f)
	}
	prior := n.priors()
	all := normalise(product(prior, table, -1))

	out := Beliefs{Other: all[len(all)-1]}
	without := make([][]float64, len(findings))
	for i := range findings {
		without[i] = normalise(product(prior, table, i))
	}
	for c, cause := range m.Causes {
		b := Belief{ID: cause.ID, Prior: prior[c], Probability: all[c]}
		for i, f := range findings {
			b.Weights = append(b.Weights, Weight{f.Label, bounded(decibans(all[c]) - decibans(without[i][c]))})
		}
		out.Causes = append(out.Causes, b)
	}
	out.sort()
	return out
}

func (b Beliefs) sort() {
	slices.SortFunc(b.Causes, func(x, y Belief) int {
		return cmp.Or(cmp.Compare(y.Probability, x.Probability), cmp.Compare(x.ID, y.ID))
	})
}

// priors are the base rates, and last what they leave to something else. Rates
// that add up to more than nearly all are scaled down together.
func (n *network) priors() []float64 {
	const atMost = 0.98
	out := make([]float64, len(n.Causes)+1)
	sum := 0.0
	for i, c := range n.Causes {
		out[i] = c.Rate
		sum += c.Rate
	}
	if sum > atMost {
		for i := range out {
			out[i] *= atMost / sum
		}
		sum = atMost
	}
	out[len(n.Causes)] = 1 - sum
	return out
}

// likelihoods returns the probability of a finding under each cause alone, and
// last under none of them.
func (n *network) likelihoods(f Finding) []float64 {
	out := make([]float64, len(n.Causes)+1)
	least := DefaultLeak / 10
	for _, r := range f.Readings {
		if leak := n.leak(r.ID); !r.IsCause && leak > 0 {
			least = min(least, leak) // what is fitted to be rarer still stays so
		}
		if r.ID == "" {
			for c := range out {
				out[c] += r.Weight * unknownFinding
			}
			continue
		}
		leak := n.leak(r.ID)
		if r.IsCause {
			leak = 0
		}
		for c := range out {
			p := leak
			if c < len(n.Causes) {
				way := n.strength
				if r.IsCause {
					way = n.reaches
				}
				p = NoisyOR(leak, way(n.Causes[c].ID, r.ID))
			}
			if f.Absent {
				p = 1 - p
			}
			out[c] += r.Weight * p
		}
	}
	if !f.Absent {
		// Nothing is impossible: words and people can be wrong.
		for c := range out {
			out[c] = max(out[c], least)
		}
	}
	return out
}

// product multiplies priors with all likelihoods but one. Only the proportions
// mean something: products of many findings are scaled up before they vanish.
func product(prior []float64, table [][]float64, leaveOut int) []float64 {
	out := slices.Clone(prior)
	for i, row := range table {
		if i == leaveOut {
			continue
		}
		for c := range out {
			out[c] *= row[c]
		}
		const small = 1e-100
		if top := slices.Max(out); top > 0 && top < small {
			for c := range out {
				out[c] /= top
			}
		}
	}
	return out
}

func normalise(w []float64) []float64 {
	sum := 0.0
	for _, x := range w {
		sum += x
	}
	if sum == 0 {
		w[len(w)-1] = 1 // nothing fits: something else
		return w
	}
	for i := range w {
		w[i] /= sum
	}
	return w
}

// decibans is the log odds of a probability.
func decibans(p float64) float64 { return 10 * math.Log10(p/(1-p)) }

func bounded(db float64) float64 {
	if math.IsNaN(db) {
		return 0
	}
	return math.Max(-MaxDecibans, math.Min(MaxDecibans, db))
}
