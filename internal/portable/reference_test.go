package portable_test

import (
	"math"
	"math/big"
)

// precision of the reference, in bits.
const precision = 300

func number(x float64) *big.Float { return new(big.Float).SetPrec(precision).SetFloat64(x) }

func fresh() *big.Float { return new(big.Float).SetPrec(precision) }

func half(x *big.Float, times int) *big.Float { return fresh().SetMantExp(x, -times) }

// lost says whether a term changes a sum no more.
func lost(term, sum *big.Float) bool {
	return term.Sign() == 0 || sum.Sign() != 0 && term.MantExp(nil) < sum.MantExp(nil)-int(sum.Prec())-2
}

// bigLog is the natural logarithm, by 2 atanh((m-1)/(m+1)) of the fraction.
func bigLog(x *big.Float) *big.Float {
	m := fresh()
	n := x.MantExp(m)
	if m.Cmp(number(math.Sqrt2/2)) < 0 {
		m.SetMantExp(m, 1)
		n--
	}
	ln2 := twiceAtanh(fresh().Quo(number(1), number(3)))
	z := fresh().Quo(fresh().Sub(m, number(1)), fresh().Add(m, number(1)))
	return fresh().Add(twiceAtanh(z), fresh().Mul(ln2, number(float64(n))))
}

func twiceAtanh(z *big.Float) *big.Float {
	square, power, sum := fresh().Mul(z, z), fresh().Set(z), fresh()
	for k := 1.0; ; k += 2 {
		term := fresh().Quo(power, number(k))
		if lost(term, sum) {
			return half(sum, -1)
		}
		sum.Add(sum, term)
		power.Mul(power, square)
	}
}

// bigExp is e**x, by the series of x/2**20 squared twenty times.
func bigExp(x *big.Float) *big.Float {
	x, term, sum := half(x, 20), number(1), fresh()
	for k := 1.0; !lost(term, sum); k++ {
		sum.Add(sum, term)
		term.Quo(fresh().Mul(term, x), number(k))
	}
	for range 20 {
		sum.Mul(sum, sum)
	}
	return sum
}

// bigPi is by Machin's formula, as the arctangent is an alternating atanh.
func bigPi() *big.Float {
	atan := func(n float64) *big.Float {
		power, sum := fresh().Quo(number(1), number(n)), fresh()
		for k := 1.0; ; k += 2 {
			term := fresh().Quo(power, number(k))
			if lost(term, sum) {
				return sum
			}
			sum.Add(sum, term)
			power.Quo(power, number(-n*n))
		}
	}
	return fresh().Sub(fresh().Mul(number(16), atan(5)), fresh().Mul(number(4), atan(239)))
}

// bigErfc is by the series of erf, which loses 1.44 x² bits to cancellation and
// those of the small result: good up to x of 6.
func bigErfc(x float64) *big.Float {
	power, sum := number(x), fresh()
	square := fresh().Neg(fresh().Mul(number(x), number(x)))
	for k := 0.0; power.Sign() != 0 && (k < 10 || power.MantExp(nil) > -precision); k++ {
		sum.Add(sum, fresh().Quo(power, number(2*k+1)))
		power.Quo(fresh().Mul(power, square), number(k+1))
	}
	return fresh().Sub(number(1), half(sum.Quo(sum, fresh().Sqrt(bigPi())), -1))
}

// apart is how far y is from the true value, in units of the last place of that.
func apart(y float64, truth *big.Float) float64 {
	nearest, _ := truth.Float64()
	switch {
	case math.IsNaN(y) || math.IsInf(y, 0) && y != nearest:
		return math.Inf(1)
	case math.IsInf(y, 0):
		return 0
	}
	_, n := math.Frexp(nearest)
	difference := fresh().Sub(number(y), truth)
	units, _ := difference.SetMantExp(difference, -max(n-53, -1074)).Float64()
	return math.Abs(units)
}

// between is how far two numbers are from each other, in units of the last place
// of the second; nothing if both are NaN or the same infinity.
func between(y, other float64) float64 {
	switch {
	case y == other || math.IsNaN(y) && math.IsNaN(other):
		return 0
	case math.IsInf(y, 0) || math.IsInf(other, 0) || math.IsNaN(y) || math.IsNaN(other):
		return math.Inf(1)
	}
	return apart(y, number(other))
}
