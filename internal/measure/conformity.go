package measure

import (
	"math"

	"kg/internal/portable"
)

// conformity is the probability that a quantity lies within its tolerance limits
// when it was measured as y with standard uncertainty u, nothing else being known
// of it and its distribution normal (JCGM 106:2012, clause 7.2 to 7.4):
//
//	p = Phi((upper - y)/u) - Phi((lower - y)/u)
//
// A limit that there is not is an infinity. With u = 0 it is 1 within the limits
// and 0 outside; with a negative or undefined u it is NaN.
func conformity(lower, upper, y, u float64) float64 {
	if u < 0 || math.IsNaN(u) || math.IsNaN(y) {
		return math.NaN()
	}
	if u == 0 {
		if y >= lower && y <= upper {
			return 1
		}
		return 0
	}
	// The tail that is smaller keeps its digits.
	if lower > y {
		return max(normalTail((lower-y)/u)-normalTail((upper-y)/u), 0)
	}
	return max(normalTail((y-upper)/u)-normalTail((y-lower)/u), 0)
}

// normalTail is the probability that a standard normal variable exceeds z.
func normalTail(z float64) float64 { return float64(portable.Erfc(z/math.Sqrt2) / 2) }

// normalQuantile is the z that a standard normal variable stays below with
// probability p, 0 < p < 1; the infinities at 0 and 1.
func normalQuantile(p float64) float64 { return -math.Sqrt2 * portable.Erfcinv(2*p) }

// guardBand is how far within a tolerance limit a reading has to be, for the
// quantity to conform with at least probability p (JCGM 106:2012, clause 8.3,
// one limit, normal distribution).
func guardBand(p, u float64) float64 { return normalQuantile(p) * u }
