package diagnose

import (
	"cmp"
	"math"
	"slices"

	"kg/internal/diagnose/bayes"
	"kg/internal/portable"
)

// world is a set of causes that may be there together, with its probability
// among the worlds that are looked at. Causes are places in the model.
type world struct {
	causes []int
	p      float64
}

const (
	likelyCauses = 14 // that worlds are made of
	mostWorlds   = 28 // before what is left of them is added
	pairsOnward  = 6  // worlds of two causes from which ones of three are made
)

// worlds are the likeliest sets of causes given the evidence: none at all, single
// ones, two or three at once. What is left of each after taking causes away is
// among them too. They are in order of size, so that taking away leads to a lower
// one.
func (c *compiled) worlds(chains []bayes.Chain, now Beliefs, cleared []ID) []world {
	var top []int
	for _, b := range now.Causes {
		if i, known := c.at[b.ID]; known && b.Probability > 0 && !slices.Contains(cleared, b.ID) && len(top) < likelyCauses {
			top = append(top, i)
		}
	}

	repaired := c.places(cleared)
	weigh := func(causes ...int) world {
		causes = slices.Clone(causes)
		slices.Sort(causes)
		return world{causes, c.weight(chains, causes, repaired)}
	}
	none := weigh()
	var one, two, three []world
	for n, i := range top {
		one = append(one, weigh(i))
		for _, k := range top[:n] {
			two = append(two, weigh(k, i))
		}
	}
	byWeight := func(a, b world) int { return cmp.Compare(b.p, a.p) }
	slices.SortStableFunc(two, byWeight)
	for _, w := range two[:min(len(two), pairsOnward)] {
		for _, i := range top {
			if !slices.Contains(w.causes, i) {
				three = append(three, weigh(w.causes[0], w.causes[1], i))
			}
		}
	}
	all := slices.Concat(one, two, three)
	heaviest := none.p
	for _, w := range all {
		heaviest = math.Max(heaviest, w.p)
	}
	none.p = portable.Exp(none.p - heaviest)
	for i := range all {
		all[i].p = portable.Exp(all[i].p - heaviest)
	}
	slices.SortStableFunc(all, byWeight)
	out := []world{none}
	total := none.p
	for _, w := range all {
		if len(out) == mostWorlds || w.p < 1e-6*total {
			break
		}
		if place(out, w.causes) < 0 {
			out = append(out, w)
			total += w.p
		}
	}
	for n := 0; n < len(out); n++ { // what is left of them
		for _, gone := range out[n].causes {
			if rest := without(out[n].causes, gone); place(out, rest) < 0 {
				out = append(out, world{causes: rest})
			}
		}
	}
	for i := range out {
		out[i].p /= total
	}
	slices.SortStableFunc(out, func(a, b world) int {
		return cmp.Or(cmp.Compare(len(a.causes), len(b.causes)), slices.Compare(a.causes, b.causes))
	})
	return out
}

// mostRepaired is how many repaired causes are taken as there or not there.
const mostRepaired = 6

// places are the places of some causes in the model, as many as are looked at.
func (c *compiled) places(ids []ID) []int {
	var out []int
	for _, id := range ids {
		if i, known := c.at[id]; known && len(out) < mostRepaired && !slices.Contains(out, i) {
			out = append(out, i)
		}
	}
	return out
}

// weight is the logarithm of how likely it is that of the causes which are not
// repaired just these are there, with all that was found. Repaired ones may have
// been there or not: what was found before, and what they led to, depends on it.
func (c *compiled) weight(chains []bayes.Chain, causes, repaired []int) float64 {
	there := make([]bool, len(c.causes))
	for _, i := range causes {
		there[i] = true
	}
	logs := make([]float64, 0, 1<<len(repaired))
	for set := range 1 << len(repaired) {
		for k, i := range repaired {
			there[i] = set>>k&1 == 1
		}
		l := portable.Log(c.prior(there))
		for _, chain := range chains {
			l += portable.Log(chain.Under(there))
		}
		logs = append(logs, l)
	}
	top := slices.Max(logs)
	if math.IsInf(top, -1) {
		return top
	}
	sum := 0.0
	for _, l := range logs {
		sum += portable.Exp(l - top)
	}
	return top + portable.Log(sum)
}

// place is where a set of causes is among worlds; -1 where it is not.
func place(worlds []world, causes []int) int {
	return slices.IndexFunc(worlds, func(w world) bool { return slices.Equal(w.causes, causes) })
}

func without(causes []int, gone int) []int {
	return slices.DeleteFunc(slices.Clone(causes), func(i int) bool { return i == gone })
}

// stillShown is how likely some causes are to show what the appliance did. Below
// it, the appliance works although they are there.
const stillShown = 0.05

// works reports whether an appliance with these causes, and no others, shows next
// to nothing of what was found. What they may lead to later does not count, nor does what
// more likely means something else.
func (c *compiled) works(e Evidence, causes []int) bool {
	for _, f := range e.Findings {
		if !f.Absent && f.known() >= 0.5 && c.shown(f, causes, c.strengths) >= stillShown {
			return false
		}
	}
	return true
}

// explains reports whether some causes bring about all of what was found, by
// themselves or by what they lead to.
func (c *compiled) explains(e Evidence, causes []int) bool {
	whole := func(r Sense) []float64 {
		out := c.strengths(r) // of a cause that was named
		for _, i := range causes {
			out[i] = max(out[i], c.strength(c.causes[i].ID, r.ID))
		}
		return out
	}
	for _, f := range e.Findings {
		if !f.Absent && f.known() >= 0.5 && c.shown(f, causes, whole) < stillShown {
			return false
		}
	}
	return true
}

// known is how likely a finding means something that the model knows.
func (f Finding) known() float64 {
	known, all := 0.0, 0.0
	for _, r := range f.Senses {
		all += r.Weight
		if r.ID != "" {
			known += r.Weight
		}
	}
	if all == 0 {
		return 0
	}
	return known / all
}

// shown is how likely some causes are to bring a finding about.
func (c *compiled) shown(f Finding, causes []int, strengths func(Sense) []float64) float64 {
	out, known := 0.0, 0.0
	for _, r := range f.Senses {
		if r.ID == "" || r.Weight == 0 {
			continue
		}
		by := strengths(r)
		p := 0.0
		for _, i := range causes {
			p = NoisyOR(p, by[i])
		}
		out += float64(r.Weight * p)
		known += r.Weight
	}
	if known == 0 {
		return 0
	}
	return out / known
}
