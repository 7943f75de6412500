package portable

import "math"

// polynomial returns c[0] + c[1] x + c[2] x² + ...
func polynomial(x float64, c []float64) float64 {
	var sum float64
	for i := len(c) - 1; i >= 0; i-- {
		sum = float64(sum*x) + c[i]
	}
	return sum
}

// The pieces of Lgamma (e_lgamma_r.c).
var (
	// Between 1.73 and 2, in 2-x: even and odd powers.
	lgammaEven = []float64{7.72156649015328655494e-02, 6.73523010531292681824e-02, 7.38555086081402883957e-03,
		1.19270763183362067845e-03, 2.20862790713908385557e-04, 2.52144565451257326939e-05}
	lgammaOdd = []float64{3.22467033424113591611e-01, 2.05808084325167332806e-02, 2.89051383673415629091e-03,
		5.10069792153511336608e-04, 1.08011567247583939954e-04, 4.48640949618915160150e-05}
	// Around the minimum: the powers by their remainder modulo 3.
	lgammaLow = [3][]float64{
		{4.83836122723810047042e-01, -3.27885410759859649565e-02, 6.10053870246291332635e-03, -1.40346469989232843813e-03, 3.15632070903625950361e-04},
		{-1.47587722994593911752e-01, 1.79706750811820387126e-02, -3.68452016781138256760e-03, 8.81081882437654011382e-04, -3.12754168375120860518e-04},
		{6.46249402391333854778e-02, -1.03142241298341437450e-02, 2.25964780900612472250e-03, -5.38595305356740546715e-04, 3.35529192635519073543e-04},
	}
	// Around 1, in x-1.
	lgammaOneAbove = []float64{-7.72156649015328655494e-02, 6.32827064025093366517e-01, 1.45492250137234768737e+00,
		9.77717527963372745603e-01, 2.28963728064692451092e-01, 1.33810918536787660377e-02}
	lgammaOneBelow = []float64{1, 2.45597793713041134822e+00, 2.12848976379893395361e+00,
		7.69285150456672783825e-01, 1.04222645593369134254e-01, 3.21709242282423911810e-03}
	// From 2 to 3, in x-2.
	lgammaTwoAbove = []float64{-7.72156649015328655494e-02, 2.14982415960608852501e-01, 3.25778796408930981787e-01,
		1.46350472652464452805e-01, 2.66422703033638609560e-02, 1.84028451407337715652e-03, 3.19475326584100867617e-05}
	lgammaTwoBelow = []float64{1, 1.39200533467621045958e+00, 7.21935547567138069525e-01,
		1.71933865632803078993e-01, 1.86459191715652901344e-02, 7.77942496381893596434e-04, 7.32668430744625636189e-06}
	// From 8 on, in 1/x²: what Stirling's formula leaves, times x.
	lgammaStirling = []float64{8.33333333333329678849e-02, -2.77777777728775536470e-03, 7.93650558643019558500e-04,
		-5.95187557450339963135e-04, 8.36339918996282139126e-04, -1.63092934096575273989e-03}
)

// Lgamma returns the natural logarithm of the gamma function of x >= 0, off by 1.6
// ulp at the most at the halves and whole numbers to 200.
//
// Special cases: Lgamma(+Inf) = +Inf, Lgamma(±0) = +Inf, Lgamma(NaN) = NaN. For
// x < 0 it is NaN: nothing here needs the reflection.
func Lgamma(x float64) float64 {
	const halfLog2Pi = 4.18938533204672725052e-01 // (ln(2π) - 1) / 2
	switch {
	case math.IsNaN(x) || math.IsInf(x, 1):
		return x
	case x < 0:
		return math.NaN()
	case x == 0:
		return math.Inf(1)
	case x < 0x1p-70:
		return -Log(x)
	case x == 1 || x == 2:
		return 0
	case x <= 0.9:
		return lgammaBelow2(x+1, x) - Log(x)
	case x < 2:
		return lgammaBelow2(x, x-1)
	case x < 8:
		n := int(x)
		y := x - float64(n)
		product := 1.0 // gamma(x) = (x-1)(x-2)...(y+2) gamma(y+2)
		for i := n - 1; i >= 2; i-- {
			product *= y + float64(i)
		}
		return float64(0.5*y) + y*polynomial(y, lgammaTwoAbove)/polynomial(y, lgammaTwoBelow) + Log(product)
	case x < 0x1p58:
		z := 1 / x
		w := halfLog2Pi + float64(z*polynomial(float64(z*z), lgammaStirling))
		return float64((x-0.5)*(Log(x)-1)) + w
	}
	return x * (Log(x) - 1)
}

// lgammaBelow2 returns the logarithm of gamma(x) for x between 0.9 and 2. above is
// x - 1, which may have more digits than x.
func lgammaBelow2(x, above float64) float64 {
	const (
		lowest   = 1.46163214496836224576e+00  // where gamma has its minimum
		least    = -1.21486290535849611461e-01 // what its logarithm is there
		tailLow  = -3.63867699703950536541e-18 // what that is too low by
		fromHere = 0.27
	)
	switch {
	case x >= lowest+fromHere:
		y := 1 - above
		z := float64(y * y)
		odd := float64(z * polynomial(z, lgammaOdd))
		return float64(y*polynomial(z, lgammaEven)) + odd - float64(0.5*y)
	case x >= lowest-fromHere:
		y := above - (lowest - 1)
		z := float64(y * y)
		w := float64(z * y)
		third := polynomial(w, lgammaLow[1]) + float64(y*polynomial(w, lgammaLow[2]))
		return least + (float64(z*polynomial(w, lgammaLow[0])) - (tailLow - float64(w*third)))
	}
	y := above
	return y*polynomial(y, lgammaOneAbove)/polynomial(y, lgammaOneBelow) - float64(0.5*y)
}
