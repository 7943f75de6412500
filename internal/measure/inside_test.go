package measure

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"kg/internal/units"
)

// A root is found from any two ends that have it between them, whatever the function
// does elsewhere.
func TestARootIsFoundBetweenItsEnds(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		root := rapid.Float64Range(-50, 50).Draw(t, "root")
		low := root - rapid.Float64Range(1e-3, 1000).Draw(t, "below")
		high := root + rapid.Float64Range(1e-3, 1000).Draw(t, "above")
		bend := rapid.Float64Range(0, 3).Draw(t, "bend")
		sign := rapid.SampledFrom([]float64{1, -1}).Draw(t, "sign")
		calls := 0
		f := func(x float64) float64 { calls++; d := x - root; return sign * (d + bend*d*d*d) }
		assert.InDelta(t, root, solve(f, low, high), 1e-9*max(1, math.Abs(root)))
		assert.LessOrEqual(t, calls, 2*60+2)
	})
	assert.True(t, math.IsNaN(solve(func(x float64) float64 { return x*x + 1 }, -1, 1)), "both ends on one side")
	assert.True(t, math.IsNaN(solve(func(float64) float64 { return math.NaN() }, -1, 1)))
	assert.Equal(t, -1.0, solve(func(x float64) float64 { return x + 1 }, -1, 1), "the root may be an end")
	assert.Equal(t, 1.0, solve(func(x float64) float64 { return x - 1 }, -1, 1))
	assert.InDelta(t, 1, solve(math.Log, 0, 10), 1e-11, "an end without a figure counts by its sign")
	assert.InDelta(t, 2, solve(func(x float64) float64 { return 1/x - 0.5 }, 0, 10), 1e-11)
}

// The figure that a reading means is the one that would have predicted it, for each
// model and each key that it can tell, from where its range is to where it ends.
func TestWhatAReadingMeansIsWhatPredictsIt(t *testing.T) {
	t.Parallel()
	for _, m := range Models() {
		if m.derived || m.limits != nil {
			continue
		}
		for _, key := range m.reverse {
			t.Run(m.Name+" "+m.Keys[key].Name, func(t *testing.T) {
				t.Parallel()
				rapid.Check(t, func(t *rapid.T) {
					g := newGiven(m)
					for i, k := range m.Keys {
						if k.Kind == units.Word || k.Optional && i != key && rapid.Bool().Draw(t, "leave "+k.Name) {
							continue
						}
						middle := k.Default
						if math.IsNaN(middle) {
							middle = (k.Low + k.High) / 2
						}
						x := middle + rapid.Float64Range(-0.2, 0.2).Draw(t, k.Name)*min(middle-k.Low, k.High-middle)
						require.True(t, g.setFigure(k.Name, x, math.NaN()))
					}
					there, err := g.Judge()
					if err != nil || !finite(there.Expected) {
						return
					}
					want := g.values.x[key]
					back := *g
					back.values.given[key] = false
					back.reads, back.hasReads = Quantity{Value: there.Expected, Standard: math.NaN()}, true
					j, err := back.Judge()
					if err != nil || j.Solved != key || j.Verdict != Unjudged {
						return // another key tells it, or no working part reads that
					}
					g.values.x[key] = j.Expected
					assert.InEpsilon(t, there.Expected+1e-9, m.predict(&g.values)+1e-9, 1e-6, "%v for %v", j.Expected, want)
					low, high := j.within(&g.values)
					assert.True(t, j.Expected >= low-1e-9*math.Abs(low) && j.Expected <= high+1e-9*math.Abs(high))
				})
			})
		}
	}
}

// What each figure adds to the uncertainty is half of what the prediction changes by
// over plus and minus its own (GUM 5.1.4, note 2), and the whole is the root of the
// sum of the squares with the meter and the formula.
func TestTheUncertaintyIsMadeOfItsParts(t *testing.T) {
	t.Parallel()
	for _, m := range Models() {
		g := newGiven(m)
		for _, k := range m.Keys {
			if k.Kind != units.Word && math.IsNaN(k.Default) && !k.Optional {
				require.True(t, g.setFigure(k.Name, (k.Low+k.High)/2, math.NaN()), m.Name)
			}
		}
		j, err := g.Judge()
		if err != nil || !finite(j.Expected) {
			continue
		}
		sum := float64(j.meter*j.meter) + j.formula*j.formula
		for i := range m.Keys {
			u := g.uncertainty(i)
			up, down := g.values, g.values
			up.x[i] += u
			down.x[i] -= u
			a, b := m.predict(&up), m.predict(&down)
			if u == 0 {
				assert.Zero(t, j.parts[i], m.Name)
			} else if finite(a) && finite(b) {
				assert.InDelta(t, math.Abs(a-b)/2, j.parts[i], 1e-9*math.Abs(j.Expected)+1e-300, "%s %s", m.Name, m.Keys[i].Name)
			}
			sum += j.parts[i] * j.parts[i]
		}
		assert.InDelta(t, math.Sqrt(sum), j.Standard, 1e-9*j.Standard, m.Name)
		assert.InDelta(t, 2*math.Sqrt(sum+j.Tolerance*j.Tolerance/3), j.Expanded, 1e-9*j.Expanded, m.Name)
		shares := 0.0
		last := math.Inf(1)
		for _, p := range j.Parts() {
			assert.LessOrEqual(t, p.Share, last, "the largest first")
			last = p.Share
			shares += p.Share
		}
		if j.Expanded > 0 {
			assert.InDelta(t, 1, shares, 0.05, "%s: what is left out is little", m.Name)
		}
	}
}

// A fuel is looked up by its place; what is beyond the list is its end.
func TestAFuelBeyondTheListIsItsEnd(t *testing.T) {
	t.Parallel()
	for x, want := range map[float64]int{-5: 0, 0: 0, 1: 1, float64(len(fuelKinds) - 1): len(fuelKinds) - 1, 100: len(fuelKinds) - 1} {
		v := values{}
		v.x[2] = x
		assert.Same(t, &fuelKinds[want], fuelOf(&v, 2))
	}
}

func TestTheLogarithmOfASumOfSmallNumbers(t *testing.T) {
	t.Parallel()
	assert.InDelta(t, math.Log(5), logSum(math.Log(2), math.Log(3)), 1e-12)
	assert.InDelta(t, math.Log(5), logSum(math.Log(3), math.Log(2)), 1e-12)
	assert.InDelta(t, -1000+math.Ln2, logSum(-1000, -1000), 1e-12, "no underflow")
	assert.InDelta(t, 3, logSum(math.Inf(-1), 3), 1e-12)
	assert.Equal(t, math.Inf(-1), logSum(math.Inf(-1), math.Inf(-1)))
}
