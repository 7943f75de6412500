package measure_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"kg/internal/measure"
)

// JCGM 100:2008, example H.1 (end gauge): contributions in nm with their degrees
// of freedom. The sum of squares gives 32 nm, 16 degrees of freedom, U99 = 93 nm.
func TestGUMH1(t *testing.T) {
	t.Parallel()
	comparator := measure.Combine([]float64{1, 1, 1}, []float64{5.8, 3.9, 6.7}, nil)
	assert.InDelta(t, 9.7, comparator, 0.05)
	assert.InDelta(t, 25.6, measure.EffectiveFreedom(comparator, []float64{5.8, 3.9, 6.7}, []float64{24, 5, 8}), 0.5)
	parts := []float64{25, comparator, 0.1 * 50 * 0.58, 11.5 * 50 * 0.029}
	u := measure.Combine([]float64{1, 1, 1, 1}, parts, nil)
	assert.InDelta(t, 32, u, 0.5)
	freedom := math.Floor(measure.EffectiveFreedom(u, parts, []float64{18, 25.6, 50, 2}))
	assert.InDelta(t, 16, freedom, 0)
	assert.InDelta(t, 2.92, measure.StudentT(0.99, freedom), 0.005) // table G.2
	assert.InDelta(t, 92.62, measure.StudentT(0.99, freedom)*u, 0.05)
}

// JCGM 100:2008, example H.2, table H.2: five sets of simultaneous observations.
var (
	volts  = []float64{5.007, 4.994, 5.005, 4.990, 4.999}
	amps   = []float64{19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3}
	phases = []float64{1.0456, 1.0438, 1.0468, 1.0428, 1.0433}
)

func TestGUMH2(t *testing.T) {
	t.Parallel()
	v, uv := measure.MeanOf(volts)
	i, ui := measure.MeanOf(amps)
	p, up := measure.MeanOf(phases)
	assert.InDelta(t, 0.0032, uv, 0.00005)
	assert.InDelta(t, 0.0095e-3, ui, 0.00005e-3)
	assert.InDelta(t, 0.00075, up, 0.000005)
	r := [3][3]float64{}
	r[0][1], r[0][2], r[1][2] = measure.Correlation(volts, amps), measure.Correlation(volts, phases), measure.Correlation(amps, phases)
	assert.InDelta(t, -0.36, r[0][1], 0.005)
	assert.InDelta(t, 0.86, r[0][2], 0.005)
	assert.InDelta(t, -0.65, r[1][2], 0.005)
	by := func(i, j int) float64 { return r[i][j] }
	u := []float64{uv, ui, up}
	resistance := v / i * math.Cos(p)
	assert.InDelta(t, 127.732, resistance, 0.002)
	assert.InDelta(t, 0.0711, measure.Combine([]float64{math.Cos(p) / i, -resistance / i, -v / i * math.Sin(p)}, u, by), 0.001)
	reactance := v / i * math.Sin(p)
	assert.InDelta(t, 219.847, reactance, 0.002)
	assert.InDelta(t, 0.295, measure.Combine([]float64{math.Sin(p) / i, -reactance / i, resistance}, u, by), 0.001)
	impedance := v / i
	assert.InDelta(t, 254.26, impedance, 0.002)
	assert.InDelta(t, 0.236, measure.Combine([]float64{1 / i, -impedance / i, 0}, u, by), 0.001)
}

// GUM table G.2: t for 95 and 99 per cent.
func TestStudentFactors(t *testing.T) {
	t.Parallel()
	for freedom, want := range map[float64][2]float64{1: {12.71, 63.66}, 2: {4.30, 9.92}, 5: {2.57, 4.03}, 10: {2.23, 3.17}, 50: {2.01, 2.68}, 1e6: {1.96, 2.576}} {
		assert.InDelta(t, want[0], measure.StudentT(0.95, freedom), 0.006, freedom)
		assert.InDelta(t, want[1], measure.StudentT(0.99, freedom), 0.006, freedom)
	}
	assert.True(t, math.IsNaN(measure.StudentT(1, 5)))
	assert.True(t, math.IsNaN(measure.StudentT(0.9, 0)))
}

// Two readings of the last digit of a gas meter, 0.001 m3: triangular, 0.41 l.
func TestStandardUncertaintyOfRanges(t *testing.T) {
	t.Parallel()
	assert.InDelta(t, 0.408, measure.Triangular(1), 0.001)
	assert.InDelta(t, 0.577, measure.Rectangular(1), 0.001)
	_, u := measure.MeanOf([]float64{1})
	assert.True(t, math.IsNaN(u))
}

// JCGM 106:2012: a breakdown voltage of at most -5.40 V measured as -5.47 V with
// 0.05 V conforms with 92 per cent (clause 7, example, from memory).
func TestConformityOfTheGuide(t *testing.T) {
	t.Parallel()
	assert.InDelta(t, 0.9192, measure.Conformity(math.Inf(-1), -5.40, -5.47, 0.05), 0.0005)
	assert.InDelta(t, 0.9545, measure.Conformity(-2, 2, 0, 1), 0.0001)
	assert.InDelta(t, 0.5, measure.Conformity(math.Inf(-1), 1, 1, 0.1), 1e-12)
	assert.InDelta(t, 1, measure.Conformity(0, 2, 1, 0), 0)
	assert.InDelta(t, 0, measure.Conformity(0, 2, 3, 0), 0)
	assert.True(t, math.IsNaN(measure.Conformity(0, 1, 0, -1)))
	assert.InEpsilon(t, 7.61985302416e-24, measure.Conformity(10, math.Inf(1), 0, 1), 1e-9) // the tail keeps its digits
}

// JCGM 106:2012, 7.3, table 1.
func TestOneSidedQuantiles(t *testing.T) {
	t.Parallel()
	for p, z := range map[float64]float64{0.8: 0.8416, 0.9: 1.2816, 0.95: 1.6449, 0.99: 2.3263} {
		assert.InDelta(t, z, measure.NormalQuantile(p), 0.001)
		assert.InDelta(t, z*0.3, measure.GuardBand(p, 0.3), 0.001)
	}
}

func TestConformityIsAProbability(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.Float64Range(-100, 100).Draw(t, "low")
		high := low + rapid.Float64Range(0, 100).Draw(t, "width")
		y := rapid.Float64Range(-300, 300).Draw(t, "y")
		u := rapid.Float64Range(0, 50).Draw(t, "u")
		p := measure.Conformity(low, high, y, u)
		assert.True(t, p >= 0 && p <= 1, "%v", p)
		below := measure.Conformity(math.Inf(-1), low, y, u)
		above := measure.Conformity(high, math.Inf(1), y, u)
		if u > 0 {
			assert.InDelta(t, 1, p+below+above, 1e-9)
		}
	})
}
