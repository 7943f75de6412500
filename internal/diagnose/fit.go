package diagnose

import (
	"maps"
	"math"
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
}

const (
	sweeps        = 400
	closeEnough   = 0.001 // of a share; the sweeps end when all are this close
	unstatedLink  = 0.5   // strength a link starts from when only a statement names it
	strongestLink = 0.995
	weakestLink   = 1e-5
	highestRate   = 0.5
	highestLeak   = 0.05
	leakPart      = 0.1   // of what a statement leaves over, the part that is the leak's in any case
	leastRest     = 0.005 // what a statement that shares out 1 still leaves to other causes
)

// Fit moves base rates and link strengths until the posterior given each
// statement's symptom alone has the stated shares, by iterative proportional
// fitting (Deming and Stephan 1940): each sweep multiplies the weight of every
// cause of a statement by stated over present share. Half of a factor, as a
// logarithm, goes to the strength of the link, within its bounds, the rest to
// the base rate. Causes that a statement does not name share what it leaves
// over, and the leak takes what they do not need. A link that only a statement
// knows starts at even chances.
func Fit(m Model, statements []Statement) Fitted {
	f := newFitter(m, statements)
	off := make([]float64, len(statements))
	for range sweeps {
		worst := 0.0
		for i, s := range statements {
			off[i] = f.adjust(s)
			worst = math.Max(worst, off[i])
		}
		if worst < closeEnough {
			break
		}
	}
	for i, s := range statements {
		off[i] = s.difference(f.weights(s.Symptom))
	}
	return Fitted{Model: f.model(), Off: off}
}

// fitter keeps rates and strengths where they can be changed.
type fitter struct {
	*network
	rates map[ID]float64
	leaks map[ID]float64 // of the symptoms with a statement
	// reach lists for each symptom the causes that show it by themselves, in the
	// order of the model. Only these are rivals for it.
	reach map[ID][]ID
}

func newFitter(m Model, statements []Statement) *fitter {
	f := &fitter{network: m.network(), rates: map[ID]float64{}, leaks: map[ID]float64{}, reach: map[ID][]ID{}}
	for _, c := range m.Causes {
		f.rates[c.ID] = c.Rate
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
	return f
}

// weights returns how much each cause that shows a symptom weighs given the
// symptom alone, and the whole: these causes and, by the leak, all else.
func (f *fitter) weights(symptom ID) (each map[ID]float64, whole float64) {
	each = map[ID]float64{}
	leak, sum := f.leaks[symptom], 0.0
	for _, id := range f.reach[symptom] {
		w := f.rates[id] * NoisyOR(leak, f.shows[id][symptom])
		each[id] = w
		sum += f.rates[id]
		whole += w
	}
	return each, whole + elsewhere(sum)*leak
}

// elsewhere is the probability of none of some causes whose rates add up to sum.
func elsewhere(sum float64) float64 { return math.Max(1-sum, 0.02) }

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

// adjust makes one statement true and returns how far off it was.
func (f *fitter) adjust(s Statement) float64 {
	each, whole := f.weights(s.Symptom)
	targets, rest := s.targets()
	named, all, sum := 0.0, 0.0, 0.0
	for _, share := range s.Shares {
		named += each[share.Cause]
	}
	for _, id := range f.reach[s.Symptom] {
		all += each[id]
		sum += f.rates[id]
	}
	if named == 0 {
		return 0
	}
	// What the statement leaves over is for the unnamed causes, cut down if they
	// weigh more, and for the leak.
	over := rest / (1 - rest) * named
	unnamed := all - named
	cut := math.Min(1, (1-leakPart)*over/math.Max(unnamed, 1e-300))
	leak := math.Min(highestLeak, (over-cut*unnamed)/elsewhere(sum))
	f.leaks[s.Symptom] = leak
	// Where the leak cannot take all that is left over, the named causes give way.
	less := 1.0
	if over > 0 {
		less = math.Min(1, (leak*elsewhere(sum)+cut*unnamed)/over)
	}
	for _, id := range f.reach[s.Symptom] {
		target, isNamed := targets[id]
		switch {
		case isNamed && target > 0 && each[id] > 0:
			f.move(id, s.Symptom, less*target/(1-rest)/(each[id]/named))
		case !isNamed && cut < 1:
			f.shows[id][s.Symptom] = math.Max(weakestLink, f.shows[id][s.Symptom]*cut)
		}
	}
	return s.difference(each, whole)
}

// move multiplies the weight of a cause for a symptom by a factor.
func (f *fitter) move(cause, symptom ID, factor float64) {
	before := f.shows[cause][symptom]
	after := math.Min(strongestLink, math.Max(weakestLink, before*math.Sqrt(factor)))
	f.shows[cause][symptom] = after
	f.rates[cause] = math.Min(highestRate, f.rates[cause]*factor*before/after)
}

// difference is the largest difference between a stated share and that of the
// weights.
func (s Statement) difference(each map[ID]float64, whole float64) float64 {
	off := 0.0
	for _, share := range s.Shares {
		part := 0.0
		if whole > 0 {
			part = each[share.Cause] / whole
		}
		off = math.Max(off, math.Abs(part-share.Part))
	}
	return off
}

// model returns the network as a model of its own, in the order of the original
// with new links last.
func (f *fitter) model() Model {
	out := Model{Leads: f.Leads, Leak: maps.Clone(f.leaks)}
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
