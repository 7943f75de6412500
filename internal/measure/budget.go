package measure

import (
	"math"

	"kg/internal/portable"
)

// Coverage is the factor k of expanded uncertainties: about 95 per cent where the
// result is near to normal (GUM 6.2.2, 6.3.3).
const Coverage = 2

// Rectangular is the standard uncertainty of a quantity that lies anywhere within
// plus and minus half (GUM 4.3.7).
func Rectangular(half float64) float64 { return half / math.Sqrt(3) }

// Triangular is the standard uncertainty of the sum or difference of two
// quantities that each lie anywhere within plus and minus half of half: two
// readings of one scale (GUM 4.3.9).
func Triangular(half float64) float64 { return half / math.Sqrt(6) }

// Combine returns the combined standard uncertainty of a result from the
// sensitivity to each input, each input's standard uncertainty, and the
// correlations between inputs (GUM 5.2.2, equation 16). correlation may be nil;
// else it gives r(i,j) for i < j. Slices of unequal length are used up to the
// shorter.
func Combine(sensitivity, standard []float64, correlation func(i, j int) float64) float64 {
	n := min(len(sensitivity), len(standard))
	var sum float64
	for i := range n {
		a := float64(sensitivity[i] * standard[i])
		sum += float64(a * a)
		if correlation == nil {
			continue
		}
		for j := i + 1; j < n; j++ {
			sum += float64(2 * a * sensitivity[j] * standard[j] * correlation(i, j))
		}
	}
	return math.Sqrt(max(sum, 0))
}

// MeanOf returns the mean of repeated observations and its standard uncertainty,
// type A (GUM 4.2.3). With fewer than two the uncertainty is NaN.
func MeanOf(x []float64) (mean, standard float64) {
	for _, v := range x {
		mean += v
	}
	n := float64(len(x))
	mean /= n
	if n < 2 {
		return mean, math.NaN()
	}
	var sum float64
	for _, v := range x {
		sum += float64((v - mean) * (v - mean))
	}
	return mean, math.Sqrt(sum / (n * (n - 1)))
}

// Correlation returns the estimated correlation of the means of two quantities
// observed together (GUM 5.2.3, equations 17 and 14). It is NaN for fewer than
// two pairs or a quantity that never changed.
func Correlation(x, y []float64) float64 {
	n := min(len(x), len(y))
	mx, ux := MeanOf(x[:n])
	my, uy := MeanOf(y[:n])
	var sum float64
	for i := range n {
		sum += float64((x[i] - mx) * (y[i] - my))
	}
	return sum / float64(n*(n-1)) / (ux * uy)
}

// EffectiveFreedom is the Welch-Satterthwaite formula (GUM G.4.1): the degrees of
// freedom of a combined uncertainty from those of its parts. A part with infinite
// freedom adds nothing to the sum.
func EffectiveFreedom(combined float64, parts, freedom []float64) float64 {
	var sum float64
	for i := range min(len(parts), len(freedom)) {
		sum += portable.Pow(parts[i], 4) / freedom[i]
	}
	return portable.Pow(combined, 4) / sum
}

// StudentT returns the factor t for which a variable of Student's distribution
// with the given degrees of freedom lies within -t and t with probability p
// (GUM table G.2). p is above 0 and below 1 and freedom at least 1, else NaN.
func StudentT(p, freedom float64) float64 {
	if !(p > 0 && p < 1) || !(freedom >= 1) {
		return math.NaN()
	}
	low, high := 0.0, 1.0
	for studentWithin(high, freedom) < p && high < 1e9 {
		high *= 2
	}
	for range 100 {
		if mid := (low + high) / 2; studentWithin(mid, freedom) < p {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2
}

// studentWithin is P(-t <= T <= t): the regularised incomplete beta function.
func studentWithin(t, freedom float64) float64 {
	return 1 - incompleteBeta(freedom/2, 0.5, freedom/(freedom+float64(t*t)))
}

// incompleteBeta is the regularised incomplete beta function by the continued
// fraction of Abramowitz and Stegun 26.5.8, evaluated by Lentz's method.
func incompleteBeta(a, b, x float64) float64 {
	if x <= 0 {
		return 0
	}
	if x >= 1 {
		return 1
	}
	if x > (a+1)/(a+b+2) {
		return 1 - incompleteBeta(b, a, 1-x)
	}
	front := portable.Exp(portable.Lgamma(a+b)-portable.Lgamma(a)-portable.Lgamma(b)+float64(a*portable.Log(x))+float64(b*portable.Log1p(-x))) / a
	const tiny, enough = 1e-300, 1e-15
	c, d, f := 1.0, 1/(1-(a+b)*x/(a+1)), 0.0
	f = d
	for m := 1.0; m <= 1000; m++ {
		for _, num := range [2]float64{
			m * (b - m) * x / ((a + float64(2*m) - 1) * (a + float64(2*m))),
			-(a + m) * (a + b + m) * x / ((a + float64(2*m)) * (a + float64(2*m) + 1)),
		} {
			d = 1 + float64(num*d)
			if math.Abs(d) < tiny {
				d = tiny
			}
			c = 1 + num/c
			if math.Abs(c) < tiny {
				c = tiny
			}
			d = 1 / d
			f *= d * c
		}
		if math.Abs(float64(d*c)-1) < enough {
			break
		}
	}
	return front * f
}
