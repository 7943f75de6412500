package diagnose

import (
	"math"
	"math/rand/v2"

	"kg/internal/diagnose/bayes"
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

// sample estimates by importance sampling: worlds are drawn with each cause as
// often as the likeliest of the findings alone would have it, and weighted by
// how much likelier the model makes them.
func (c *compiled) sample(chains []bayes.Chain, wide *bayes.TooWide) solved {
	draw := c.proposal(chains)
	// The same question has the same answer every time.
	r := rand.New(rand.NewPCG(1, 2))
	world := make([]bool, len(c.causes))
	logs := make([]float64, samples)
	worlds := make([][]bool, samples)
	top := math.Inf(-1)
	for s := range samples {
		l := 0.0
		for i, q := range draw {
			world[i] = r.Float64() < q
			if world[i] {
				l -= math.Log(q)
			} else {
				l -= math.Log(1 - q)
			}
		}
		l += math.Log(c.prior(world))
		for _, chain := range chains {
			l += math.Log(chain.Under(world))
		}
		logs[s] = l
		worlds[s] = append([]bool(nil), world...)
		top = math.Max(top, l)
	}
	out := solved{probability: make([]float64, len(c.causes)), approximate: &Approximation{Width: wide.Width, Bytes: wide.Bytes, Samples: samples}}
	total := 0.0
	for s, l := range logs {
		w := math.Exp(l - top)
		logs[s] = w
		total += w
		for i, on := range worlds[s] {
			if on {
				out.probability[i] += w
			}
		}
	}
	for i := range out.probability {
		out.probability[i] /= total
		spread := 0.0
		for s, w := range logs {
			x := 0.0
			if worlds[s][i] {
				x = 1
			}
			spread += w * w * (x - out.probability[i]) * (x - out.probability[i])
		}
		out.approximate.Error = math.Max(out.approximate.Error, math.Sqrt(spread)/total)
	}
	mean := total / samples
	exponent := int(top / math.Ln2)
	out.evidence = bayes.Scaled{Mantissa: mean * math.Exp(top-float64(exponent)*math.Ln2), Exponent: exponent}
	return out
}

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
