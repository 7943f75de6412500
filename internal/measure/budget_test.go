package measure

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// Two readings of the last digit of a gas meter, 0.001 m3: triangular, 0.41 l.
func TestStandardUncertaintyOfRanges(t *testing.T) {
	t.Parallel()
	assert.InDelta(t, 0.408, triangular(1), 0.001)
	assert.InDelta(t, 0.577, rectangular(1), 0.001)
}

// JCGM 106:2012: a breakdown voltage of at most -5.40 V measured as -5.47 V with
// 0.05 V conforms with 92 per cent (clause 7, example, from memory).
func TestConformityOfTheGuide(t *testing.T) {
	t.Parallel()
	assert.InDelta(t, 0.9192, conformity(math.Inf(-1), -5.40, -5.47, 0.05), 0.0005)
	assert.InDelta(t, 0.9545, conformity(-2, 2, 0, 1), 0.0001)
	assert.InDelta(t, 0.5, conformity(math.Inf(-1), 1, 1, 0.1), 1e-12)
	assert.InDelta(t, 1, conformity(0, 2, 1, 0), 0)
	assert.InDelta(t, 0, conformity(0, 2, 3, 0), 0)
	assert.True(t, math.IsNaN(conformity(0, 1, 0, -1)))
	assert.InEpsilon(t, 7.61985302416e-24, conformity(10, math.Inf(1), 0, 1), 1e-9) // the tail keeps its digits
}

// JCGM 106:2012, 7.3, table 1.
func TestOneSidedQuantiles(t *testing.T) {
	t.Parallel()
	for p, z := range map[float64]float64{0.8: 0.8416, 0.9: 1.2816, 0.95: 1.6449, 0.99: 2.3263} {
		assert.InDelta(t, z, normalQuantile(p), 0.001)
		assert.InDelta(t, z*0.3, guardBand(p, 0.3), 0.001)
	}
}

func TestConformityIsAProbability(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.Float64Range(-100, 100).Draw(t, "low")
		high := low + rapid.Float64Range(0, 100).Draw(t, "width")
		y := rapid.Float64Range(-300, 300).Draw(t, "y")
		u := rapid.Float64Range(0, 50).Draw(t, "u")
		p := conformity(low, high, y, u)
		assert.True(t, p >= 0 && p <= 1, "%v", p)
		below := conformity(math.Inf(-1), low, y, u)
		above := conformity(high, math.Inf(1), y, u)
		if u > 0 {
			assert.InDelta(t, 1, p+below+above, 1e-9)
		}
	})
}
