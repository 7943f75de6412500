// Package diagnose owns probability: how likely each cause is after what was
// found, why, and which test tells most. Its functions are pure; it knows no
// store and no file, uses only the standard library, and compiles to js/wasm.
//
// The model is the one of single causes: at a call-out one mode, or something
// that the notes do not know, explains what was found. A mode shows a symptom by
// itself or through the modes it leads to; the ways combine by noisy-OR (Pearl
// 1988, "Probabilistic Reasoning in Intelligent Systems", section 4.3.2), with a
// leak for what no mode explains.
package diagnose

import (
	"cmp"
	"slices"
)

// ID names a cause, a symptom or a test.
type ID string

// Cause is a failure mode with its base rate: the probability, between 0 and 1,
// that it is what is wrong at a call-out.
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
// knows no cause.
type Model struct {
	Causes []Cause
	Shows  []Link // from causes to symptoms
	Leads  []Link // from causes to causes
	// Leak is how often a symptom is there with none of its causes; a symptom
	// that is not in the map has DefaultLeak.
	Leak map[ID]float64
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
	n := &network{Model: m, shows: map[ID]map[ID]float64{}, leads: map[ID][]Link{}}
	for _, l := range m.Shows {
		if n.shows[l.From] == nil {
			n.shows[l.From] = map[ID]float64{}
		}
		n.shows[l.From][l.To] = max(n.shows[l.From][l.To], l.Strength)
	}
	for _, l := range m.Leads {
		n.leads[l.From] = append(n.leads[l.From], l)
	}
	for _, links := range n.leads {
		slices.SortFunc(links, func(a, b Link) int { return cmp.Compare(a.To, b.To) })
	}
	return n
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

// reaches is the probability that a cause, once there, brings another one
// about; 1 for itself.
func (n *network) reaches(cause, target ID) float64 {
	return n.ways(cause, func(id ID) (float64, bool) { return 1, id == target }, nil)
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
		p += (1 - p) * s
	}
	return p
}

func sortedKeys(m map[ID]float64) []ID {
	out := make([]ID, 0, len(m))
	for id := range m {
		out = append(out, id)
	}
	slices.Sort(out)
	return out
}
