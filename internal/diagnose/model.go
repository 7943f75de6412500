// Package diagnose owns belief: how likely each cause is after what was found,
// why, and what each test would tell. Its functions are pure; it knows no store
// and no file, and compiles to js/wasm.
//
// The model is a Bayesian network of failure modes that are there or not, several
// of them at once if need be. A mode comes about by itself or through a mode that
// leads to it; a symptom is shown by modes, each by itself, or comes about with
// none of them (noisy-OR with a leak; Pearl 1988, "Probabilistic Reasoning in
// Intelligent Systems", section 4.3.2). What is known about tests is stated for
// single modes, and the strongest of several shows (noisy-MAX; Henrion 1989).
// Inference is exact; see package bayes.
package diagnose

import (
	"cmp"
	"slices"

	"kg/internal/id"
)

// ID names a cause, a symptom or a test.
type ID = id.ID

// Cause is a failure mode with its base rate: the probability, between 0 and 1,
// that it is there at a call-out, brought about by others or by itself.
type Cause struct {
	ID   ID
	Rate float64
}

// Link says that From brings To about with a probability: a cause shows a
// symptom, or leads to another cause.
type Link struct {
	From, To ID
	Strength float64
}

// Model is a two-level network with chains of causes above it. The zero value
// knows no cause. Links from causes to causes that would close a circle are left
// out, the weakest first.
type Model struct {
	Causes []Cause
	Shows  []Link // from causes to symptoms
	Leads  []Link // from causes to causes
	// Leak is how often a symptom is there with none of its causes; a symptom
	// that is not in the map has DefaultLeak.
	Leak map[ID]float64
	// Times is how many times the odds of a cause's coming about by itself are what
	// they are on average, by what is known beforehand; once for one that is not in
	// the map.
	Times map[ID]float64
}

// DefaultLeak is how often a symptom is there although none of the known modes
// is. No source: our own assumption, small beside any stated link.
const DefaultLeak = 0.001

// chainDepth bounds how many modes a chain may have between a cause and what it
// shows in the end.
const chainDepth = 4

// leak returns the leak of a symptom.
func (m *Model) leak(symptom ID) float64 {
	if l, ok := m.Leak[symptom]; ok {
		return l
	}
	return DefaultLeak
}

// network is a model arranged for looking things up.
type network struct {
	*Model
	shows map[ID]map[ID]float64 // cause -> symptom -> strength
	leads map[ID][]Link         // cause -> links
}

func (m *Model) network() *network {
	n := &network{Model: m, shows: map[ID]map[ID]float64{}}
	for _, l := range m.Shows {
		if n.shows[l.From] == nil {
			n.shows[l.From] = map[ID]float64{}
		}
		n.shows[l.From][l.To] = max(n.shows[l.From][l.To], l.Strength)
	}
	n.leads = leadsFrom(m.Leads)
	return n
}

// leadsFrom arranges links by where they start, in a stable order.
func leadsFrom(links []Link) map[ID][]Link {
	out := map[ID][]Link{}
	for _, l := range links {
		out[l.From] = append(out[l.From], l)
	}
	for _, links := range out {
		slices.SortFunc(links, func(a, b Link) int { return cmp.Compare(a.To, b.To) })
	}
	return out
}

// strength is the probability that a cause, once there, shows a symptom. A link
// that is stated is the whole of it; where none is, the symptom can come about by
// what the cause leads to, in independent ways (noisy-OR).
func (n *network) strength(cause, symptom ID) float64 {
	return n.ways(cause, func(id ID) (float64, bool) {
		s, stated := n.shows[id][symptom]
		return s, stated
	}, nil)
}

// ways combines what is stated at the ends of the chains that start at a cause.
// Chains do not go in circles.
func (n *network) ways(cause ID, stated func(ID) (float64, bool), above []ID) float64 {
	if p, ok := stated(cause); ok {
		return p
	}
	if len(above) >= chainDepth {
		return 0
	}
	above = append(above, cause)
	p := 0.0
	for _, l := range n.leads[cause] {
		if !slices.Contains(above, l.To) {
			p = NoisyOR(p, l.Strength*n.ways(l.To, stated, above))
		}
	}
	return p
}

// NoisyOR is the probability of an effect when several causes of it are present,
// each of which brings it about independently with its strength, and a leak
// stands for all others: 1 - (1-leak) * prod(1-strength). It is summed up from
// below, so that small probabilities keep their digits.
func NoisyOR(leak float64, strengths ...float64) float64 {
	p := leak
	for _, s := range strengths {
		p += float64((1 - p) * s)
	}
	return p
}

// acyclic returns the links between known causes, without those that would close
// a circle: the strong ones are kept.
func (n *network) acyclic(known map[ID]int) []Link {
	links := slices.Clone(n.Leads)
	slices.SortStableFunc(links, func(a, b Link) int {
		return cmp.Or(cmp.Compare(b.Strength, a.Strength), cmp.Compare(a.From, b.From), cmp.Compare(a.To, b.To))
	})
	after := map[ID][]ID{}
	var kept []Link
	for _, l := range links {
		_, from := known[l.From]
		_, to := known[l.To]
		if !from || !to || l.Strength <= 0 || slices.Contains(after[l.From], l.To) || leadsTo(after, l.To, l.From) {
			continue
		}
		after[l.From] = append(after[l.From], l.To)
		kept = append(kept, l)
	}
	return kept
}

// leadsTo reports whether links go on from one cause to another.
func leadsTo(after map[ID][]ID, from, to ID) bool {
	seen := map[ID]bool{from: true}
	queue := []ID{from}
	for len(queue) > 0 {
		id := queue[0]
		queue = queue[1:]
		if id == to {
			return true
		}
		for _, next := range after[id] {
			if !seen[next] {
				seen[next] = true
				queue = append(queue, next)
			}
		}
	}
	return false
}

func sortedKeys(m map[ID]float64) []ID {
	out := make([]ID, 0, len(m))
	for id := range m {
		out = append(out, id)
	}
	slices.Sort(out)
	return out
}
