package portable

import "math"

// Pow returns x**y, by the logarithm with some ten digits more than it has in the
// end, so that results that are whole numbers come out whole. Off by 0.84 ulp at the
// most while y is below 10 or so, by 1.2 over the whole range.
//
// Special cases are those of math.Pow: 1 if y is 0 or x is 1, else NaN if either is
// NaN; NaN for x < 0 and y not whole; else the limit, negative if x is and y is
// odd. Pow(-1, ±Inf) = 1.
func Pow(x, y float64) float64 {
	whole, odd := parity(y)
	size := math.Abs(x)
	sign := 1.0
	if odd && math.Signbit(x) {
		sign = -1
	}
	switch {
	case y == 0 || x == 1:
		return 1
	case math.IsNaN(x) || math.IsNaN(y):
		return math.NaN()
	case y == 1:
		return x
	case x == 0 || math.IsInf(x, 0):
		return sign * infinityIf((x == 0) == (y < 0))
	case math.IsInf(y, 0) && size == 1:
		return 1
	case math.IsInf(y, 0):
		return infinityIf((size > 1) == (y > 0))
	case x < 0 && !whole:
		return math.NaN()
	}
	hi, lo := logPair(size)
	p := float64(y * hi)
	switch {
	case p > expOverflow+1:
		return sign * math.Inf(1)
	case p < expUnderflow-1:
		return sign * 0
	}
	return sign * expPair(p, rounding(y, hi, p)+float64(y*lo))
}

func infinityIf(large bool) float64 {
	if large {
		return math.Inf(1)
	}
	return 0
}

// parity says whether y is a whole number, and whether it is an odd one.
func parity(y float64) (whole, odd bool) {
	if math.Abs(y) >= 0x1p53 || math.IsNaN(y) {
		return math.Abs(y) >= 0x1p53 && !math.IsInf(y, 0), false
	}
	n := int64(y)
	return float64(n) == y, float64(n) == y && n&1 != 0
}

// logPair returns the natural logarithm of x > 0 as a sum of two numbers, to about
// 2**-64 of it.
func logPair(x float64) (hi, lo float64) {
	m, n := split(x)
	// s = (m-1)/(m+1), and what it lost.
	f, d := m-1, 1+m
	dLost := m - (d - 1)
	s := f / d
	p := float64(s * d)
	sLost := ((f - p) - rounding(s, d, p) - float64(s*dLost)) / d
	// log m = 2s (1 + s²/3 + s⁴/5 + ...). The first two need both parts.
	z := float64(s * s)
	zLost := rounding(s, s, z) + float64(2*s*sLost)
	third := z / 3
	p = float64(3 * third)
	thirdLost := (((z - p) - rounding(3, third, p)) + zLost) / 3
	var tail float64
	for _, c := range atanh {
		tail = float64(tail*z) + c
	}
	tail = float64(tail * z * z)
	u := 1 + third
	uLost := (third - (u - 1)) + (thirdLost + tail)
	q := float64(s * u)
	qLost := rounding(s, u, q) + (float64(s*uLost) + float64(sLost*u))

	whole := float64(float64(n) * ln2Hi) // exact, and larger than 2q if it is not 0
	sum := whole + 2*q
	lost := float64(float64(n)*ln2Lo) + 2*qLost
	if n != 0 {
		lost += 2*q - (sum - whole)
	}
	hi = sum + lost
	return hi, lost - (hi - sum)
}

// atanh are the coefficients of the series of atanh(s)/s in s² from the third on,
// the last one first. With s² below 0.03 the next would be below 2**-70.
var atanh = [...]float64{1. / 27, 1. / 25, 1. / 23, 1. / 21, 1. / 19, 1. / 17, 1. / 15, 1. / 13, 1. / 11, 1. / 9, 1. / 7, 1. / 5}

// rounding returns a*b - p for p, the rounded product, by halves whose products
// are exact (Dekker 1971).
func rounding(a, b, p float64) float64 {
	aHi, bHi := upperHalf(a), upperHalf(b)
	aLo, bLo := a-aHi, b-bHi
	return ((float64(aHi*bHi) - p) + float64(aHi*bLo) + float64(aLo*bHi)) + float64(aLo*bLo)
}

func upperHalf(x float64) float64 { return math.Float64frombits(math.Float64bits(x) &^ (1<<27 - 1)) }
