package portable

import "math"

// The pieces of Erfc (s_erf.c): quotients of polynomials.
var (
	// Below 0.84375, in x²: erf(x)/x - 1.
	erfSmallAbove = []float64{1.28379167095512558561e-01, -3.25042107247001499370e-01, -2.84817495755985104766e-02,
		-5.77027029648944159157e-03, -2.37630166566501626084e-05}
	erfSmallBelow = []float64{1, 3.97917223959155352819e-01, 6.50222499887672944485e-02, 5.08130628187576562776e-03,
		1.32494738004321644526e-04, -3.96022827877536812320e-06}
	// To 1.25, in x-1: erf(x) - erfOne.
	erfOneAbove = []float64{-2.36211856075265944077e-03, 4.14856118683748331666e-01, -3.72207876035701323847e-01,
		3.18346619901161753674e-01, -1.10894694282396677476e-01, 3.54783043256182359371e-02, -2.16637559486879084300e-03}
	erfOneBelow = []float64{1, 1.06420880400844228286e-01, 5.40397917702171048937e-01, 7.18286544141962662868e-02,
		1.26171219808761642112e-01, 1.36370839120290507362e-02, 1.19844998467991074170e-02}
	// To 1/0.35, in 1/x²: log(x erfc(x)) + x² + 0.5625.
	erfcMiddleAbove = []float64{-9.86494403484714822705e-03, -6.93858572707181764372e-01, -1.05586262253232909814e+01,
		-6.23753324503260060396e+01, -1.62396669462573470355e+02, -1.84605092906711035994e+02, -8.12874355063065934246e+01,
		-9.81432934416914548592e+00}
	erfcMiddleBelow = []float64{1, 1.96512716674392571292e+01, 1.37657754143519042600e+02, 4.34565877475229228821e+02,
		6.45387271733267880336e+02, 4.29008140027567833386e+02, 1.08635005541779435134e+02, 6.57024977031928170135e+00,
		-6.04244152148580987438e-02}
	// Beyond, the same.
	erfcLargeAbove = []float64{-9.86494292470009928597e-03, -7.99283237680523006574e-01, -1.77579549177547519889e+01,
		-1.60636384855821916062e+02, -6.37566443368389627722e+02, -1.02509513161107724954e+03, -4.83519191608651397019e+02}
	erfcLargeBelow = []float64{1, 3.03380607434824582924e+01, 3.25792512996573918826e+02, 1.53672958608443695994e+03,
		3.19985821950859553908e+03, 2.55305040643316442583e+03, 4.74528541206955367215e+02, -2.24409524465858183362e+01}
)

// erfOne is erf(1) in 24 bits.
const erfOne = 8.45062911510467529297e-01

// Erfc returns the complementary error function of any x, off by 2.3 ulp at the most
// from -6 to 6. It is subnormal above about 26.5 and 0 above about 27.2.
//
// Special cases: Erfc(+Inf) = 0, Erfc(-Inf) = 2, Erfc(NaN) = NaN.
func Erfc(x float64) float64 {
	size := math.Abs(x)
	switch {
	case math.IsNaN(x):
		return x
	case size < 0.84375:
		z := float64(x * x)
		part := x * polynomial(z, erfSmallAbove) / polynomial(z, erfSmallBelow)
		if x < 0.25 {
			return 1 - (x + part)
		}
		return 0.5 + ((0.5 - x) - part)
	case size < 1.25:
		s := size - 1
		part := polynomial(s, erfOneAbove) / polynomial(s, erfOneBelow)
		if x < 0 {
			return 1 + (erfOne + part)
		}
		return (1 - erfOne) - part
	case x < -6:
		return 2
	case size >= 28:
		return 0
	}
	s := 1 / float64(x*x)
	above, below := erfcMiddleAbove, erfcMiddleBelow
	if size >= 1/0.35 {
		above, below = erfcLargeAbove, erfcLargeBelow
	}
	// -x² in two parts, of which the larger is exact.
	z := math.Float64frombits(math.Float64bits(size) & 0xffffffff00000000)
	tail := Exp(-0.5625-float64(z*z)) *
		Exp(float64((z-size)*(z+size))+polynomial(s, above)/polynomial(s, below)) / size
	if x < 0 {
		return 2 - tail
	}
	return tail
}

// The pieces of erfinv: algorithm AS 241 of Wichura, Applied Statistics 37 (1988),
// its normal quantile turned into an inverse of erf.
var (
	// To 0.85, in 0.180625 - x²/4.
	erfinvSmallAbove = []float64{1.1975323115670912564578e0, 4.7072688112383978012285e1, 6.9706266534389598238465e2,
		4.8548868893843886794648e3, 1.6235862515167575384252e4, 2.3782041382114385731252e4, 1.1819493347062294404278e4,
		8.8709406962545514830200e2}
	erfinvSmallBelow = []float64{1, 4.2313330701600911252e1, 6.8718700749205790830e2, 5.3941960214247511077e3,
		2.1213794301586595867e4, 3.9307895800092710610e4, 2.8729085735721942674e4, 5.2264952788528545610e3}
	// While √(ln 2 - ln(1-x)) is at the most 5, in that less 1.6.
	erfinvMiddleAbove = []float64{1.42343711074968357734e0, 4.63033784615654529590e0, 5.76949722146069140550e0,
		3.64784832476320460504e0, 1.27045825245236838258e0, 2.41780725177450611770e-1, 2.27238449892691845833e-2,
		7.74545014278341407640e-4}
	erfinvMiddleBelow = []float64{1.4142135623730950488016887e0, 2.9036514445419946173133295e0, 2.3707661626024532365971225e0,
		9.7547832001787427186894837e-1, 2.0945065210512749128288442e-1, 2.1494160384252876777097297e-2,
		7.7441459065157709165577218e-4, 1.4859850019840355905497876e-9}
	// Beyond, in that less 5.
	erfinvLargeAbove = []float64{6.65790464350110377720e0, 5.46378491116411436990e0, 1.78482653991729133580e0,
		2.96560571828504891230e-1, 2.65321895265761230930e-2, 1.24266094738807843860e-3, 2.71155556874348757815e-5,
		2.01033439929228813265e-7}
	erfinvLargeBelow = []float64{1.414213562373095048801689e0, 8.482908416595164588112026e-1, 1.936480946950659106176712e-1,
		2.103693768272068968719679e-2, 1.112800997078859844711555e-3, 2.611088405080593625138020e-5,
		2.010321207683943062279931e-7, 2.891024605872965461538222e-15}
)

// Erfcinv returns the inverse of Erfc for x from 0 to 2. It goes by 1 - x, so that
// it has fewer digits the nearer x is to 0: ten of them at 1e-6. Among a million
// arguments none had other bits than math.Erfcinv on amd64.
//
// Special cases: Erfcinv(0) = +Inf, Erfcinv(2) = -Inf, Erfcinv(x < 0) =
// Erfcinv(x > 2) = NaN, Erfcinv(NaN) = NaN.
func Erfcinv(x float64) float64 {
	x = 1 - x
	size := math.Abs(x)
	switch {
	case math.IsNaN(x) || size > 1:
		return math.NaN()
	case size == 1:
		return math.Inf(int(x))
	case size <= 0.85:
		r := 0.180625 - float64(0.25*x*x)
		return x * polynomial(r, erfinvSmallAbove) / polynomial(r, erfinvSmallBelow)
	}
	r := math.Sqrt(math.Ln2 - Log(1-size))
	if r <= 5 {
		r -= 1.6
		return math.Copysign(polynomial(r, erfinvMiddleAbove)/polynomial(r, erfinvMiddleBelow), x)
	}
	r -= 5
	return math.Copysign(polynomial(r, erfinvLargeAbove)/polynomial(r, erfinvLargeBelow), x)
}

// polynomial returns c[0] + c[1] x + c[2] x² + ...
func polynomial(x float64, c []float64) float64 {
	var sum float64
	for i := len(c) - 1; i >= 0; i-- {
		sum = float64(sum*x) + c[i]
	}
	return sum
}
