package portable_test

import (
	"encoding/binary"
	"hash/fnv"
	"math"
	"math/big"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"kg/internal/portable"
)

var inf, nan = math.Inf(1), math.NaN()

func TestValuesAreThosePublished(t *testing.T) {
	t.Parallel()
	root := math.Sqrt2
	for _, c := range []struct {
		what       string
		got, value float64
		within     float64 // units in the last place
	}{
		// Abramowitz and Stegun, tables 1.1, 4.2, 4.4, 6.1 and 7.1, and the OEIS entries
		// of the constants.
		{"e", portable.Exp(1), 2.71828182845904523536028747135, 0.5},
		{"1/e", portable.Exp(-1), 0.36787944117144232159552377016, 0.5},
		{"e^10", portable.Exp(10), 22026.46579480671651695790064528, 1},
		{"√e", portable.Exp(0.5), 1.64872127070012814684865078781, 1},
		{"ln 2", portable.Log(2), 0.69314718055994530941723212146, 0.5},
		{"ln 3", portable.Log(3), 1.09861228866810969139524523692, 1},
		{"ln 10", portable.Log(10), 2.30258509299404568401799145468, 1},
		{"lb 10", portable.Log2(10), 3.32192809488736234787031942949, 1},
		{"lg 2", portable.Log10(2), 0.30102999566398119521373889472, 1},
		{"ln(1+1e-10)", portable.Log1p(1e-10), 9.9999999995000000000333e-11, 1},
		{"∛2", portable.Cbrt(2), 1.25992104989487316476721060728, 1},
		{"∛100", portable.Cbrt(100), 4.64158883361277889241007635091, 1},
		{"√2", portable.Pow(2, 0.5), 1.41421356237309504880168872421, 0.5},
		{"half a tone", portable.Pow(2, 1.0/12), 1.05946309435929526456182529495, 1},
		{"hypotenuse", portable.Hypot(1, 1), root, 1},
		{"erfc(1/2)", portable.Erfc(0.5), 0.47950012218695346231725334611, 1},
		{"erfc(1)", portable.Erfc(1), 0.15729920705028513065877936492, 1},
		{"erfc(2)", portable.Erfc(2), 0.00467773498104726583793074363, 2},
		{"erfc(5)", portable.Erfc(5), 1.53745979442803485018834348538e-12, 3},
		// The quantile of the normal distribution at 0.975, by √2.
		{"erfcinv(0.05)", portable.Erfcinv(0.05), 1.95996398454005423552459443052 / root, 4},
	} {
		assert.LessOrEqual(t, between(c.got, c.value), math.Ceil(c.within), "%s: %v is not %v", c.what, c.got, c.value)
	}
}

func TestWhatIsExactComesOutExact(t *testing.T) {
	t.Parallel()
	for n := -1074; n < 1024; n++ {
		assert.Equal(t, float64(n), portable.Log2(math.Ldexp(1, n)))
		assert.Equal(t, math.Ldexp(1, n), portable.Pow(2, float64(n)))
	}
	for n := -1000; n <= 1000; n++ {
		assert.Equal(t, float64(n), portable.Cbrt(float64(n*n*n)))
	}
	for base := int64(2); base <= 100; base++ {
		for power, n := base, 1.0; power < 1<<53/base; n++ {
			assert.Equal(t, float64(power), portable.Pow(float64(base), n), "%d^%v", base, n)
			assert.Equal(t, float64(power)*(1-2*math.Mod(n, 2)), portable.Pow(float64(-base), n), "(-%d)^%v", base, n)
			power *= base
		}
	}
	for _, triple := range [][3]float64{{3, 4, 5}, {8, 15, 17}, {5, 12, 13}} {
		assert.LessOrEqual(t, between(portable.Hypot(triple[0], triple[1]), triple[2]), 1.0)
	}
}

func TestSpecialCases(t *testing.T) {
	t.Parallel()
	const smallest, largest = math.SmallestNonzeroFloat64, math.MaxFloat64
	minusZero := math.Copysign(0, -1)
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"Exp(+Inf)", portable.Exp(inf), inf},
		{"Exp(-Inf)", portable.Exp(-inf), 0},
		{"Exp(NaN)", portable.Exp(nan), nan},
		{"Exp(0)", portable.Exp(0), 1},
		{"Exp(-0)", portable.Exp(minusZero), 1},
		{"Exp(smallest)", portable.Exp(smallest), 1},
		{"Exp(710)", portable.Exp(710), inf},
		{"Exp(-746)", portable.Exp(-746), 0},
		{"Exp(-745)", portable.Exp(-745), smallest},
		{"Log(+Inf)", portable.Log(inf), inf},
		{"Log(0)", portable.Log(0), -inf},
		{"Log(-0)", portable.Log(minusZero), -inf},
		{"Log(-1)", portable.Log(-1), nan},
		{"Log(-Inf)", portable.Log(-inf), nan},
		{"Log(NaN)", portable.Log(nan), nan},
		{"Log(1)", portable.Log(1), 0},
		{"Log(smallest)", portable.Log(smallest), -744.4400719213812},
		{"Log(largest)", portable.Log(largest), 709.782712893384},
		{"Log2(+Inf)", portable.Log2(inf), inf},
		{"Log2(0)", portable.Log2(0), -inf},
		{"Log2(-1)", portable.Log2(-1), nan},
		{"Log2(NaN)", portable.Log2(nan), nan},
		{"Log10(+Inf)", portable.Log10(inf), inf},
		{"Log10(0)", portable.Log10(0), -inf},
		{"Log10(-1)", portable.Log10(-1), nan},
		{"Log1p(+Inf)", portable.Log1p(inf), inf},
		{"Log1p(0)", portable.Log1p(0), 0},
		{"Log1p(-0)", portable.Log1p(minusZero), minusZero},
		{"Log1p(-1)", portable.Log1p(-1), -inf},
		{"Log1p(-2)", portable.Log1p(-2), nan},
		{"Log1p(-Inf)", portable.Log1p(-inf), nan},
		{"Log1p(NaN)", portable.Log1p(nan), nan},
		{"Log1p(smallest)", portable.Log1p(smallest), smallest},
		{"Log1p(largest)", portable.Log1p(largest), 709.782712893384},
		{"Hypot(Inf, NaN)", portable.Hypot(-inf, nan), inf},
		{"Hypot(NaN, Inf)", portable.Hypot(nan, inf), inf},
		{"Hypot(NaN, 1)", portable.Hypot(nan, 1), nan},
		{"Hypot(0, 0)", portable.Hypot(minusZero, 0), 0},
		{"Hypot(largest, 1)", portable.Hypot(largest, 1), largest},
		{"Hypot(smallest, 0)", portable.Hypot(0, -smallest), smallest},
		{"Cbrt(+Inf)", portable.Cbrt(inf), inf},
		{"Cbrt(-Inf)", portable.Cbrt(-inf), -inf},
		{"Cbrt(NaN)", portable.Cbrt(nan), nan},
		{"Cbrt(-0)", portable.Cbrt(minusZero), minusZero},
		{"Cbrt(2**-1074)", portable.Cbrt(smallest), 0x1p-358},
		{"Erfc(+Inf)", portable.Erfc(inf), 0},
		{"Erfc(-Inf)", portable.Erfc(-inf), 2},
		{"Erfc(NaN)", portable.Erfc(nan), nan},
		{"Erfc(0)", portable.Erfc(0), 1},
		{"Erfc(smallest)", portable.Erfc(smallest), 1},
		{"Erfcinv(0)", portable.Erfcinv(0), inf},
		{"Erfcinv(2)", portable.Erfcinv(2), -inf},
		{"Erfcinv(1)", portable.Erfcinv(1), 0},
		{"Erfcinv(-1)", portable.Erfcinv(-1), nan},
		{"Erfcinv(3)", portable.Erfcinv(3), nan},
		{"Erfcinv(NaN)", portable.Erfcinv(nan), nan},
	} {
		assertSame(t, c.got, c.want, c.what)
	}
	odd := []float64{nan, inf, -inf, 0, minusZero, 1, -1, 0.5, -0.5, 2, -2, 3, -3, 2.5, -2.5, smallest, -smallest, largest, -largest, 1 << 53, 1<<53 - 1, 1e300, 0x1p-1022}
	for _, x := range odd {
		for _, y := range odd {
			want := math.Pow(x, y)
			if exact := want == 0 || want == 1 || math.IsNaN(want) || math.IsInf(want, 0); exact {
				assertSame(t, portable.Pow(x, y), want, "Pow(%v, %v)", x, y)
				continue
			}
			// The library's own error grows with the exponent.
			assert.LessOrEqual(t, between(portable.Pow(x, y), want), 4.0, "Pow(%v, %v)", x, y)
		}
	}
}

// assertSame takes any NaN for any other, and tells 0 from -0.
func assertSame(t *testing.T, got, want float64, what string, args ...any) {
	t.Helper()
	if math.IsNaN(want) {
		assert.True(t, math.IsNaN(got), append([]any{what}, args...)...)
		return
	}
	assert.Equal(t, math.Float64bits(want), math.Float64bits(got), append([]any{what}, args...)...)
}

// positive draws from all positive numbers alike, and as often from those that
// figures are made of.
func positive(t *rapid.T, name string) float64 {
	if rapid.Bool().Draw(t, name+" of any size") {
		return math.Float64frombits(rapid.Uint64Range(1, 0x7fefffffffffffff).Draw(t, name))
	}
	return rapid.Float64Range(1e-3, 1e3).Draw(t, name)
}

func logOf(x float64) *big.Float { return bigLog(number(x)) }

// Errors here are the largest that were seen among some ten thousand numbers, and a
// little more.
func TestFunctionsAreAsNearToTheTruthAsTheySay(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name   string
		within float64
		// draw returns what is said of some argument, and the truth.
		draw func(t *rapid.T) (float64, *big.Float)
	}{
		{"Exp", 1, func(t *rapid.T) (float64, *big.Float) {
			x := rapid.Float64Range(-745, 709.7).Draw(t, "x")
			return portable.Exp(x), bigExp(number(x))
		}},
		{"Log", 1, func(t *rapid.T) (float64, *big.Float) {
			x := positive(t, "x")
			return portable.Log(x), logOf(x)
		}},
		{"Log2", 2, func(t *rapid.T) (float64, *big.Float) {
			x := positive(t, "x")
			return portable.Log2(x), fresh().Quo(logOf(x), logOf(2))
		}},
		{"Log10", 2, func(t *rapid.T) (float64, *big.Float) {
			x := positive(t, "x")
			return portable.Log10(x), fresh().Quo(logOf(x), logOf(10))
		}},
		{"Log1p", 1, func(t *rapid.T) (float64, *big.Float) {
			x := rapid.OneOf(rapid.Float64Range(-1+0x1p-53, 1), rapid.Float64Range(1, 1e300)).Draw(t, "x")
			if math.Abs(x) < 0x1p-100 {
				return portable.Log1p(x), number(x) // the reference has not enough bits for 1+x
			}
			return portable.Log1p(x), bigLog(fresh().Add(number(1), number(x)))
		}},
		{"Cbrt", 0.7, func(t *rapid.T) (float64, *big.Float) {
			x := positive(t, "x")
			return portable.Cbrt(x), bigExp(fresh().Quo(logOf(x), number(3)))
		}},
		{"Hypot", 2, func(t *rapid.T) (float64, *big.Float) {
			x, y := rapid.Float64Range(-1e3, 1e3).Draw(t, "x"), rapid.Float64Range(-1e3, 1e3).Draw(t, "y")
			return portable.Hypot(x, y), fresh().Sqrt(fresh().Add(fresh().Mul(number(x), number(x)), fresh().Mul(number(y), number(y))))
		}},
		{"Pow", 1.5, func(t *rapid.T) (float64, *big.Float) {
			x := positive(t, "x")
			exponent := rapid.Float64Range(-745, 709.7).Draw(t, "log of the result")
			y := rapid.Float64Range(-10, 10).Draw(t, "y")
			if x != 1 && rapid.Bool().Draw(t, "far") {
				y = exponent / portable.Log(x)
			}
			truth := bigExp(fresh().Mul(number(y), logOf(x)))
			if truth.MantExp(nil) > 1024 || truth.MantExp(nil) < -1074 {
				return 0, fresh()
			}
			return portable.Pow(x, y), truth
		}},
		{"Erfc", 3, func(t *rapid.T) (float64, *big.Float) {
			x := rapid.Float64Range(-6, 6).Draw(t, "x")
			return portable.Erfc(x), bigErfc(x)
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			rapid.Check(t, func(t *rapid.T) {
				got, truth := c.draw(t)
				if off := apart(got, truth); off > c.within {
					t.Fatalf("%v is %.2f units in the last place from %.20g", got, off, truth)
				}
			})
		})
	}
}

// Next to the standard library: what differs is its error and ours. Log has no
// subnormal numbers here, for which the assembly of amd64 is wrong from the third
// digit on, nor has Log2 any near to 1, where that of the library cancels, nor Pow
// large exponents, of which the library makes thousands of units.
func TestFunctionsAgreeWithTheStandardLibrary(t *testing.T) {
	t.Parallel()
	normal := rapid.Custom(func(t *rapid.T) float64 { return max(positive(t, "x"), 0x1p-1022) })
	for _, c := range []struct {
		name       string
		ours, std  func(float64) float64
		from       *rapid.Generator[float64]
		withinUnit float64
	}{
		{"Exp", portable.Exp, math.Exp, rapid.Float64Range(-746, 710), 2},
		{"Log", portable.Log, math.Log, normal, 2},
		{"Log10", portable.Log10, math.Log10, normal, 2},
		{"Log1p", portable.Log1p, math.Log1p, rapid.OneOf(rapid.Float64Range(-1, 1), normal), 2},
		{"Cbrt", portable.Cbrt, math.Cbrt, rapid.Float64(), 1},
		{"Erfc", portable.Erfc, math.Erfc, rapid.Float64Range(-7, 26), 5},
		{"Erfcinv", portable.Erfcinv, math.Erfcinv, rapid.Float64Range(0, 2), 2},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			rapid.Check(t, func(t *rapid.T) {
				x := c.from.Draw(t, "x")
				if off := between(c.ours(x), c.std(x)); off > c.withinUnit {
					t.Fatalf("%v is %.1f units in the last place from %v", c.ours(x), off, c.std(x))
				}
			})
		})
	}
}

// The numbers of every processor are those of the machine this was written on.
func TestBitsAreTheSameEverywhere(t *testing.T) {
	t.Parallel()
	sum := fnv.New64a()
	for i := range uint64(20_000) {
		// Numbers between 2**-8 and 2**8, spread by the golden ratio.
		bits := i * 0x9e3779b97f4a7c15
		x := math.Float64frombits(bits>>12 | (1023-8+bits&15)<<52)
		for _, y := range []float64{
			portable.Exp(x), portable.Exp(-x), portable.Log(x), portable.Log1p(x), portable.Log1p(-x / 256), portable.Log2(x), portable.Log10(x),
			portable.Pow(x, 3.7), portable.Pow(1.7, -x), portable.Hypot(x, 3), portable.Cbrt(x),
			portable.Erfc(x / 16), portable.Erfc(-x / 64), portable.Erfcinv(x / 256),
		} {
			_ = binary.Write(sum, binary.LittleEndian, y) // a hash takes everything
		}
	}
	assert.Equal(t, uint64(0xbc494fcae7e839a8), sum.Sum64(), "a last digit is different here: look for a product that is not rounded before it is added")
}

func BenchmarkFunctions(b *testing.B) {
	var sink float64
	xs := make([]float64, 1024)
	for i := range xs {
		xs[i] = 0.01 + 5*math.Mod(float64(i)*math.Phi, 1)
	}
	for _, c := range []struct {
		name      string
		ours, std func(float64) float64
	}{
		{"Exp", portable.Exp, math.Exp},
		{"Log", portable.Log, math.Log},
		{"Log1p", portable.Log1p, math.Log1p},
		{"Log2", portable.Log2, math.Log2},
		{"Log10", portable.Log10, math.Log10},
		{"Pow", func(x float64) float64 { return portable.Pow(x, 0.25) }, func(x float64) float64 { return math.Pow(x, 0.25) }},
		{"Cbrt", portable.Cbrt, math.Cbrt},
		{"Hypot", func(x float64) float64 { return portable.Hypot(x, 3) }, func(x float64) float64 { return math.Hypot(x, 3) }},
		{"Erfc", portable.Erfc, math.Erfc},
	} {
		for name, f := range map[string]func(float64) float64{"portable": c.ours, "math": c.std} {
			b.Run(c.name+"/"+name, func(b *testing.B) {
				for i := range b.N {
					sink += f(xs[i&1023])
				}
			})
		}
	}
	_ = sink
}
