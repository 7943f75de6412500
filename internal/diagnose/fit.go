package diagnose

import (
	"maps"
	"math"
	"slices"
)

// Statement is what engineers say in the direction from effect to cause: when
// this symptom is what the call is about, each cause has this share.
type Statement struct {
	Symptom ID
	Shares  []Share
}

// Share is one cause with its part of the cases, between 0 and 1.
type Share struct {
	Cause ID
	Part  float64
}

// Fitted is a model that was moved to agree with statements.
type Fitted struct {
	Model Model
	// Off holds for each statement the largest difference between a stated share
	// and the share that the model gives, in the order of the statements.
	Off []float64
	// Got holds the shares that the model gives, for each statement in the order of
	// its shares.
	Got [][]float64
}

const (
	roughSweeps   = 100
	exactSweeps   = 200
	closeEnough   = 0.002 // of a share; a statement that is this close is left alone
	unstatedLink  = 0.5   // strength a link starts from when only a statement names it
	strongestLink = 0.995
	weakestLink   = 1e-5
	highestRate   = 0.5
	highestLeak   = 0.05
	leakPart      = 0.1   // of what a statement leaves over, the part that is the leak's in any case
	leastRest     = 0.005 // what a statement that shares out 1 still leaves to other causes
	steepest      = 4     // the most that one step multiplies a weight by
)

// Fit moves base rates and link strengths until the posterior given each
// statement's symptom alone has the stated shares, by iterative proportional
// fitting (Deming and Stephan 1940): each sweep multiplies the weight of every
// cause of a statement by stated over present share. Half of a factor, as a
// logarithm, goes to the strength of the link, within its bounds, the rest to
// the base rate. Causes that a statement does not name share what it leaves
// over, and the leak takes what they do not need. A link that only a statement
// knows starts at even chances. The first sweeps take the causes of a symptom for
// rivals that exclude each other; the last ones go by the posterior itself, with
// several faults at once and with what leads to what.
//
// What leads to a mode is stated for the case that it is left. How often it has
// come to that by the time of a call-out is bounded by how often the mode is
// found at all: such links are weakened until they explain no more than nine
// tenths of its base rate. Links that then explain next to nothing of it, and
// those that would close a circle, come out with strength 0.
func Fit(m Model, statements []Statement) Fitted {
	f := newFitter(m, statements)
	f.temper()
	f.thin()
	for range roughSweeps {
		worst := 0.0
		for _, s := range statements {
			worst = math.Max(worst, f.adjust(s))
		}
		if worst < closeEnough {
			break
		}
	}
	off := make([]float64, len(statements))
	checked := make([]int, len(statements)) // the last change that a statement has seen
	for range exactSweeps {
		moved := false
		for i, s := range statements {
			if checked[i] > f.changed(s.Symptom) {
				continue
			}
			off[i] = f.approach(s)
			checked[i] = f.clock
			moved = moved || off[i] >= closeEnough
		}
		if !moved {
			break
		}
		f.temper()
	}
	got := make([][]float64, len(statements))
	for i, s := range statements {
		now, _ := f.posterior(s.Symptom)
		off[i] = s.difference(now)
		for _, share := range s.Shares {
			got[i] = append(got[i], now[share.Cause])
		}
	}
	return Fitted{Model: f.model(), Off: off, Got: got}
}

// fitter keeps rates and strengths where they can be changed.
type fitter struct {
	*network
	rates map[ID]float64
	leaks map[ID]float64 // of the symptoms with a statement
	// reach lists for each symptom the causes that show it by themselves, in the
	// order of the model. Only these are rivals for it.
	reach map[ID][]ID
	// chains are the links from causes to causes, without circles; into lists
	// those that end at a cause.
	chains []Link
	into   map[ID][]int
	around map[ID]neighbourhood
	// clock counts changes; touched holds the last one of each cause.
	clock   int
	touched map[ID]int
}

func newFitter(m Model, statements []Statement) *fitter {
	f := &fitter{
		network: m.network(), rates: map[ID]float64{}, leaks: map[ID]float64{}, reach: map[ID][]ID{},
		around: map[ID]neighbourhood{}, touched: map[ID]int{},
	}
	at := map[ID]int{}
	for i, c := range m.Causes {
		f.rates[c.ID] = c.Rate
		at[c.ID] = i
	}
	for _, s := range statements {
		f.leaks[s.Symptom] = m.leak(s.Symptom)
		for _, share := range s.Shares {
			if f.shows[share.Cause] == nil {
				f.shows[share.Cause] = map[ID]float64{}
			}
			if f.shows[share.Cause][s.Symptom] == 0 {
				f.shows[share.Cause][s.Symptom] = unstatedLink
			}
		}
	}
	for _, c := range m.Causes {
		for symptom := range f.shows[c.ID] {
			f.reach[symptom] = append(f.reach[symptom], c.ID)
		}
	}
	f.chains = f.acyclic(at)
	f.index()
	return f
}

// targets are the stated shares, scaled so that something is left for the rest.
func (s Statement) targets() (map[ID]float64, float64) {
	sum := 0.0
	for _, share := range s.Shares {
		sum += share.Part
	}
	rest := math.Max(1-sum, leastRest)
	out := map[ID]float64{}
	for _, share := range s.Shares {
		out[share.Cause] = share.Part * (1 - rest) / sum
	}
	return out, rest
}

// difference is the largest difference between a stated share and the one that
// causes have.
func (s Statement) difference(shares map[ID]float64) float64 {
	off := 0.0
	for _, share := range s.Shares {
		off = math.Max(off, math.Abs(shares[share.Cause]-share.Part))
	}
	return off
}

// model returns the network as a model of its own, in the order of the original
// with new links last.
func (f *fitter) model() Model {
	out := Model{Leads: slices.Clone(f.Leads), Leak: maps.Clone(f.leaks)}
	for i, l := range out.Leads {
		k := slices.IndexFunc(f.chains, func(c Link) bool { return c.From == l.From && c.To == l.To })
		if k < 0 {
			out.Leads[i].Strength = 0
		} else {
			out.Leads[i].Strength = min(l.Strength, f.chains[k].Strength)
		}
	}
	for symptom, leak := range f.Leak {
		if _, fitted := out.Leak[symptom]; !fitted {
			out.Leak[symptom] = leak
		}
	}
	for _, c := range f.Causes {
		out.Causes = append(out.Causes, Cause{c.ID, f.rates[c.ID]})
		for _, symptom := range sortedKeys(f.shows[c.ID]) {
			out.Shows = append(out.Shows, Link{c.ID, symptom, f.shows[c.ID][symptom]})
		}
	}
	return out
}
