package diagnose

import (
	"math"
	"slices"
)

// neighbourhood is all that bears on one symptom: the causes that show it and
// those that lead to these, in the order of the model, and the links among them.
type neighbourhood struct {
	causes []ID
	chains []int
}

func (f *fitter) neighbourhood(symptom ID) neighbourhood {
	if n, known := f.around[symptom]; known {
		return n
	}
	in := map[ID]bool{}
	n := neighbourhood{}
	queue := slices.Clone(f.reach[symptom])
	for len(queue) > 0 {
		id := queue[0]
		queue = queue[1:]
		if in[id] {
			continue
		}
		in[id] = true
		for _, i := range f.into[id] {
			n.chains = append(n.chains, i)
			queue = append(queue, f.chains[i].From)
		}
	}
	for _, c := range f.Causes {
		if in[c.ID] {
			n.causes = append(n.causes, c.ID)
		}
	}
	slices.Sort(n.chains)
	f.around[symptom] = n
	return n
}

// changed is when something that bears on a symptom was last moved.
func (f *fitter) changed(symptom ID) int {
	last := 0
	for _, id := range f.neighbourhood(symptom).causes {
		last = max(last, f.touched[id])
	}
	return last
}

// posterior is the probability of each cause given that a symptom alone is
// there, and the probability of the symptom.
func (f *fitter) posterior(symptom ID) (each map[ID]float64, whole float64) {
	n := f.neighbourhood(symptom)
	if len(n.chains) == 0 {
		return f.alone(symptom)
	}
	m := Model{Leak: map[ID]float64{symptom: f.leaks[symptom]}}
	for _, id := range n.causes {
		m.Causes = append(m.Causes, Cause{id, f.rates[id]})
		if s, shown := f.shows[id][symptom]; shown {
			m.Shows = append(m.Shows, Link{id, symptom, s})
		}
	}
	for _, i := range n.chains {
		m.Leads = append(m.Leads, f.chains[i])
	}
	out := map[ID]float64{}
	c, err := m.compile()
	if err != nil {
		return out, 0
	}
	now, err := c.solve(c.chains(Evidence{Findings: []Finding{{Senses: []Sense{{ID: symptom, Weight: 1}}}}}))
	if err != nil {
		return out, 0
	}
	for i, id := range n.causes {
		out[id] = now.probability[i]
	}
	return out, now.evidence.Float()
}

// alone is the posterior where no cause leads to another: what is left of each
// without the worlds in which nothing brings the symptom about.
func (f *fitter) alone(symptom ID) (each map[ID]float64, whole float64) {
	leak := f.leaks[symptom]
	if leak == 0 {
		leak = slip * slip // as any finding has it
	}
	causes := f.reach[symptom]
	p := leak
	for _, id := range causes {
		p = NoisyOR(p, f.rates[id]*f.shows[id][symptom])
	}
	out := map[ID]float64{}
	for i, id := range causes {
		seen := NoisyOR(leak, f.shows[id][symptom])
		for k, other := range causes {
			if k != i {
				seen = NoisyOR(seen, f.rates[other]*f.shows[other][symptom])
			}
		}
		out[id] = f.rates[id] * seen / p
	}
	return out, p
}

// approach takes one step towards a statement and returns how far off it was.
func (f *fitter) approach(s Statement) float64 {
	now, whole := f.posterior(s.Symptom)
	off := s.difference(now)
	if off < closeEnough {
		return off
	}
	f.clock++
	stated, named := 0.0, 0.0
	for _, share := range s.Shares {
		stated += share.Part
		named += now[share.Cause]
	}
	f.yield(s, (named-stated)*whole)
	for _, share := range s.Shares {
		p, want := now[share.Cause], math.Min(share.Part, 1-leastRest)
		if p <= 0 || want <= 0 || math.Abs(p-share.Part) < closeEnough/2 {
			continue
		}
		factor := math.Min(steepest, math.Max(1.0/steepest, want/(1-want)*(1-p)/p))
		if factor > 1 && f.shows[share.Cause][s.Symptom] >= strongestLink {
			// Its link cannot grow: half of what is wanted is taken off its rivals.
			f.setRate(share.Cause, f.rates[share.Cause]*math.Sqrt(factor))
			f.cutRivals(share.Cause, s.Symptom, math.Sqrt(1/factor))
		} else {
			f.move(share.Cause, s.Symptom, factor)
		}
		f.touched[share.Cause] = f.clock
		if factor < 1 {
			f.weaken(share.Cause, now, factor)
		}
	}
	return off
}

// yield lets the leak of a symptom take more of it, or where more is less, lets
// the leak and the causes that the statement does not name give way.
func (f *fitter) yield(s Statement, more float64) {
	leak := f.leaks[s.Symptom]
	least := math.Max(leak/steepest, math.Min(rarest, leak))
	f.leaks[s.Symptom] = math.Max(least, math.Min(leak+more, math.Max(highestLeak, leak)))
	if more >= 0 || leak+more >= least {
		return
	}
	for _, id := range f.reach[s.Symptom] {
		if !slices.ContainsFunc(s.Shares, func(share Share) bool { return share.Cause == id }) {
			f.shows[id][s.Symptom] = math.Max(weakestLink, f.shows[id][s.Symptom]/2)
			f.touched[id] = f.clock
		}
	}
}

// cutRivals weakens all links to a symptom but that of one cause.
func (f *fitter) cutRivals(cause, symptom ID, factor float64) {
	f.leaks[symptom] = math.Max(f.leaks[symptom]*factor, math.Min(rarest, f.leaks[symptom]))
	for _, id := range f.reach[symptom] {
		if id != cause {
			f.shows[id][symptom] = math.Max(weakestLink, f.shows[id][symptom]*factor)
			f.touched[id] = f.clock
		}
	}
}

// weaken lets the causes that are there lead less to one that has too high a
// share.
func (f *fitter) weaken(cause ID, now map[ID]float64, factor float64) {
	for _, i := range f.into[cause] {
		l := &f.chains[i]
		if now[l.From]*l.Strength > closeEnough {
			l.Strength *= math.Sqrt(factor)
			f.touched[l.From] = f.clock
		}
	}
}

// temper weakens what leads to a cause until it explains no more of the cause's
// base rate than it may.
func (f *fitter) temper() {
	for _, c := range f.Causes {
		explained := 0.0
		for _, i := range f.into[c.ID] {
			explained += float64(f.chains[i].Strength * f.rates[f.chains[i].From])
		}
		most := (1 - leastAlone) * f.rates[c.ID]
		if explained <= most*(1+1e-9) {
			continue
		}
		f.clock++
		f.touched[c.ID] = f.clock
		for _, i := range f.into[c.ID] {
			f.chains[i].Strength *= most / explained
		}
	}
}

// leastPart is the part of a cause's base rate that another one has to explain
// for the link between them to count in the network.
const leastPart = 0.1

// thin leaves out the links that explain next to nothing. What a link stands for
// is then part of how often the cause comes about by itself.
func (f *fitter) thin() {
	f.chains = slices.DeleteFunc(f.chains, func(l Link) bool {
		return l.Strength*f.rates[l.From] < leastPart*f.rates[l.To]
	})
	f.index()
}

// index notes which links end at each cause.
func (f *fitter) index() {
	f.into = map[ID][]int{}
	for i, l := range f.chains {
		f.into[l.To] = append(f.into[l.To], i)
	}
}
