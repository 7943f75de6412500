package portable

import "math"

// Hypot returns √(p²+q²) without overflow or underflow on the way, off by 1.9 ulp at
// the most.
//
// Special cases: Hypot(±Inf, q) = Hypot(p, ±Inf) = +Inf, even beside NaN; else
// Hypot(NaN, q) = Hypot(p, NaN) = NaN.
func Hypot(p, q float64) float64 {
	p, q = math.Abs(p), math.Abs(q)
	switch {
	case math.IsInf(p, 1) || math.IsInf(q, 1):
		return math.Inf(1)
	case math.IsNaN(p) || math.IsNaN(q):
		return math.NaN()
	}
	p, q = max(p, q), min(p, q)
	if p == 0 {
		return 0
	}
	q /= p
	return p * math.Sqrt(1+float64(q*q))
}

// Cbrt returns the cube root of x (s_cbrt.c), off by 0.67 ulp at the most.
//
// Special cases: Cbrt(±0) = ±0, Cbrt(±Inf) = ±Inf, Cbrt(NaN) = NaN.
func Cbrt(x float64) float64 {
	if x == 0 || math.IsNaN(x) || math.IsInf(x, 0) {
		return x
	}
	const (
		normal    = 715094163 << 32 // a third of the bits, and this, is a root to 5 bits
		subnormal = 696219795 << 32 // the same after 2**54
	)
	size := math.Abs(x)
	t := math.Float64frombits(math.Float64bits(size)/3 + normal)
	if size < 0x1p-1022 {
		t = math.Float64frombits(math.Float64bits(0x1p54*size)/3 + subnormal)
	}
	// To 23 bits.
	const (
		c = 5.42857142857142815906e-01  // 19/35
		d = -7.05306122448979611050e-01 // -864/1225
		e = 1.41428571428571436819e+00  // 99/70
		f = 1.60714285714285720630e+00  // 45/28
		g = 3.57142857142857150787e-01  // 5/14
	)
	r := t * t / size
	s := c + float64(r*t)
	t *= g + f/(s+e+d/s)
	// To 22 bits and too large, so that its square is exact.
	t = math.Float64frombits(math.Float64bits(t)&(0xffffffffc<<28) + 1<<30)
	// One step of Newton's method.
	r = size / float64(t*t)
	r = (r - t) / (t + t + r)
	return math.Copysign(t+float64(t*r), x)
}
