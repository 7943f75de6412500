package portable

import "math"

// The polynomial of (log(1+f) - 2s)/s in s*s, s = f/(2+f), |f| < √2-1.
const (
	lg1 = 6.666666666666735130e-01
	lg2 = 3.999999999940941908e-01
	lg3 = 2.857142874366239149e-01
	lg4 = 2.222219843214978396e-01
	lg5 = 1.818357216161805012e-01
	lg6 = 1.531383769920937332e-01
	lg7 = 1.479819860511658591e-01
)

// Log returns the natural logarithm of x > 0, subnormal numbers too (e_log.c). Off
// by 0.78 ulp at the most.
//
// Special cases: Log(+Inf) = +Inf, Log(±0) = -Inf, Log(x < 0) = NaN,
// Log(NaN) = NaN.
func Log(x float64) float64 {
	if outside, y := logOutside(x); outside {
		return y
	}
	m, n := split(x)
	return logReduced(m-1, 0, n)
}

// logOutside says whether x is not a positive number, and what its logarithm is then.
func logOutside(x float64) (bool, float64) {
	switch {
	case math.IsNaN(x) || math.IsInf(x, 1):
		return true, x
	case x < 0:
		return true, math.NaN()
	case x == 0:
		return true, math.Inf(-1)
	}
	return false, 0
}

// split returns x > 0 as m * 2**n with m from √½ to √2.
func split(x float64) (m float64, n int) {
	if x < 0x1p-1022 {
		x *= 0x1p54
		n = -54
	}
	const fraction, one, root = 1<<52 - 1, 1023 << 52, 0x3ff6a09e667f3bcd // root is √2
	bits := math.Float64bits(x)
	n += int(bits>>52) - 1023
	bits = bits&fraction | one
	if bits >= root {
		bits -= 1 << 52
		n++
	}
	return math.Float64frombits(bits), n
}

// logReduced returns log(1+f) + c + n ln 2 for f from √½-1 to √2-1 and a tiny c.
func logReduced(f, c float64, n int) float64 {
	k := float64(n)
	s := f / (2 + f)
	z := float64(s * s)
	w := float64(z * z)
	// Two short chains keep the processor busier than one long.
	odd := float64(z * (lg1 + float64(w*(lg3+float64(w*(lg5+float64(w*lg7)))))))
	even := float64(w * (lg2 + float64(w*(lg4+float64(w*lg6)))))
	square := float64(0.5 * f * f)
	rest := float64(s*(square+(even+odd))) + (float64(k*ln2Lo) + c)
	return float64(k*ln2Hi) - ((square - rest) - f)
}

// Log1p returns log(1+x) for x > -1, with all digits when x is near to 0
// (s_log1p.c). Off by 0.75 ulp at the most.
//
// Special cases: Log1p(+Inf) = +Inf, Log1p(±0) = ±0, Log1p(-1) = -Inf,
// Log1p(x < -1) = NaN, Log1p(NaN) = NaN.
func Log1p(x float64) float64 {
	switch {
	case math.Abs(x) < 0x1p-54:
		return x
	case x > math.Sqrt2/2-1 && x < math.Sqrt2-1:
		return logReduced(x, 0, 0)
	}
	u := 1 + x
	if outside, y := logOutside(u); outside {
		return y
	}
	// What u lost by rounding, as a part of it.
	var lost float64
	if u >= 2 {
		lost = 1 - (u - x)
	} else {
		lost = x - (u - 1)
	}
	m, n := split(u)
	return logReduced(m-1, lost/u, n)
}

// Log2 returns the binary logarithm of x > 0; powers of 2 exactly, others off by
// 1.5 ulp at the most.
//
// Special cases are those of Log.
func Log2(x float64) float64 {
	if outside, y := logOutside(x); outside {
		return y
	}
	// Cut at √2 and not at 2, so that near to 1 nothing cancels.
	m, n := split(x)
	return float64(logReduced(m-1, 0, 0)*(1/math.Ln2)) + float64(n)
}

// Log10 returns the decimal logarithm of x > 0, off by 1.8 ulp at the most.
//
// Special cases are those of Log.
func Log10(x float64) float64 { return Log(x) * (1 / math.Ln10) }
