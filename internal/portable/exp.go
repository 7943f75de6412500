package portable

import "math"

// The natural logarithm of 2 in two parts. The first has 21 zero bits at its end,
// so that its product with any exponent is exact.
const (
	ln2Hi = 6.93147180369123816490e-01 // 0x3fe62e42fee00000
	ln2Lo = 1.90821492927058770002e-10 // 0x3dea39ef35793c76
	log2E = 1.44269504088896338700e+00
)

// Beyond these the exponential is more than the largest number, or less than half
// of the smallest.
const (
	expOverflow  = 7.09782712893383973096e+02
	expUnderflow = -7.45133219101941108420e+02
)

// Exp returns e**x for any x (e_exp.c). The result is subnormal below about -708.4
// and 0 below about -745.1; above about 709.8 it is +Inf. Off by 0.83 ulp at the
// most.
//
// Special cases: Exp(+Inf) = +Inf, Exp(-Inf) = 0, Exp(NaN) = NaN, Exp(±0) = 1.
func Exp(x float64) float64 {
	const nearZero = 0x1p-28 // x² is lost beside 1 + x
	switch {
	case math.IsNaN(x):
		return x
	case x > expOverflow:
		return math.Inf(1)
	case x < expUnderflow:
		return 0
	case -nearZero < x && x < nearZero:
		return 1 + x
	}
	return expPair(x, 0)
}

// expPair returns e**(x+tail) for x between expUnderflow and expOverflow, and a
// tail that is tiny beside x or beside 1.
func expPair(x, tail float64) float64 {
	// x = n ln 2 + hi - lo, at the most half of ln 2 away from n ln 2.
	half := 0.5
	if x < 0 {
		half = -0.5
	}
	n := int(float64(log2E*x) + half)
	hi := x - float64(float64(n)*ln2Hi) // exact
	lo := float64(float64(n)*ln2Lo) - tail
	r := hi - lo
	t := float64(r * r)
	// e**r = 1 + 2r / (R - r), R = r coth(r/2), of which this is the polynomial.
	const (
		p1 = 1.66666666666666019037e-01
		p2 = -2.77777777770155933842e-03
		p3 = 6.61375632143793436117e-05
		p4 = -1.65339022054652515390e-06
		p5 = 4.13813679705723846039e-08
	)
	c := r - float64(t*(p1+float64(t*(p2+float64(t*(p3+float64(t*(p4+float64(t*p5)))))))))
	return scale(1-((lo-r*c/(2-c))-hi), n)
}

// scale returns y * 2**n, for y between 0.5 and 2 and n from -1100 to 1030, rounded
// once if it is subnormal.
func scale(y float64, n int) float64 {
	switch {
	case n < -1021:
		return y * power(n+200) * 0x1p-200
	case n > 1023:
		return y * 0x1p1023 * power(n-1023)
	}
	return y * power(n)
}

// power is 2**n for the n of normal numbers.
func power(n int) float64 { return math.Float64frombits(uint64(n+1023) << 52) }
