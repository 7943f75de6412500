package diagnose

import (
	"math"
	"math/rand/v2"

	"kg/internal/diagnose/bayes"
	"kg/internal/portable"
)

// Approximation says that probabilities were estimated by weighted samples, why,
// and how far off they may be.
type Approximation struct {
	Width   int   // variables that exactness would have to look at together
	Bytes   int64 // memory that it would take
	Samples int
	// Error is the largest standard error of a probability.
	Error float64
}

// samples is how many worlds are drawn; some tens of milliseconds.
const samples = 20_000

// draws are worlds that were drawn, with how much likelier the model makes each
// than the way of drawing, and how likely each thing that was found is in it, as
// logarithms.
type draws struct {
	worlds [][]bool
	base   []float64
	found  [][]float64 // of each world
	wide   *bayes.TooWide
}

// sample draws worlds for importance sampling: each cause as often as the
// likeliest of the findings alone would have it.
func (c *compiled) sample(chains []bayes.Chain, wide *bayes.TooWide) draws {
	draw := c.proposal(chains)
	out := draws{wide: wide}
	// The same question has the same answer every time.
	r := rand.New(rand.NewPCG(1, 2))
	for range samples {
		world := make([]bool, len(c.causes))
		l := 0.0
		for i, q := range draw {
			world[i] = r.Float64() < q
			if world[i] {
				l -= portable.Log(q)
			} else {
				l -= portable.Log(1 - q)
			}
		}
		found := make([]float64, len(chains))
		for k, chain := range chains {
			found[k] = portable.Log(chain.Under(world))
		}
		out.worlds = append(out.worlds, world)
		out.base = append(out.base, l+portable.Log(c.prior(world)))
		out.found = append(out.found, found)
	}
	return out
}

// estimate weighs the worlds by those things that are to count.
func (d draws) estimate(counts func(int) bool) solved {
	weights := make([]float64, len(d.worlds))
	top := math.Inf(-1)
	for s, l := range d.base {
		for k, f := range d.found[s] {
			if counts(k) {
				l += f
			}
		}
		weights[s] = l
		top = math.Max(top, l)
	}
	out := solved{probability: make([]float64, len(d.worlds[0])), approximate: &Approximation{Width: d.wide.Width, Bytes: d.wide.Bytes, Samples: len(d.worlds)}}
	total := 0.0
	for s, l := range weights {
		weights[s] = portable.Exp(l - top)
		total += weights[s]
		for i, on := range d.worlds[s] {
			if on {
				out.probability[i] += weights[s]
			}
		}
	}
	for i := range out.probability {
		out.probability[i] /= total
		spread := 0.0
		for s, w := range weights {
			x := 0.0
			if d.worlds[s][i] {
				x = 1
			}
			spread += float64(w * w * (x - out.probability[i]) * (x - out.probability[i]))
		}
		out.approximate.Error = math.Max(out.approximate.Error, math.Sqrt(spread)/total)
	}
	mean := total / float64(len(weights))
	exponent := int(top / math.Ln2)
	out.evidence = bayes.Scaled{Mantissa: mean * portable.Exp(top-float64(float64(exponent)*math.Ln2)), Exponent: exponent}
	return out
}

func everything(int) bool { return true }

// proposal is how often each cause is drawn: as the finding that speaks most for
// it would have it if it were the only one, and all other causes at their rates.
func (c *compiled) proposal(chains []bayes.Chain) []float64 {
	out := make([]float64, len(c.causes))
	world := make([]bool, len(c.causes))
	for i, cause := range c.causes {
		out[i] = cause.Rate
	}
	for _, chain := range chains {
		without := chain.Under(world)
		total := without
		with := make(map[int]float64, len(chain.Steps))
		for _, s := range chain.Steps {
			world[s.Var] = true
			with[s.Var] = c.causes[s.Var].Rate * chain.Under(world)
			world[s.Var] = false
			total += with[s.Var]
		}
		for v, w := range with {
			out[v] = math.Max(out[v], w/total)
		}
	}
	for i, q := range out {
		out[i] = math.Min(0.9, math.Max(q, 1e-3))
	}
	return out
}
