package measure

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"kg/internal/units"
)

// Whatever figures within their ranges are given, a model answers or says what is
// missing or does not go together; it never panics, and what it says is sound.
func TestAnyFiguresGiveASoundAnswer(t *testing.T) {
	t.Parallel()
	verdicts := []Verdict{Unjudged, Healthy, Low, High, IsOpen, IsShort, Impossible}
	for _, m := range Models() {
		t.Run(m.Name, func(t *testing.T) {
			t.Parallel()
			rapid.Check(t, func(t *rapid.T) {
				g := newGiven(m)
				for _, k := range m.Keys {
					if rapid.IntRange(0, 3).Draw(t, "leave "+k.Name) == 0 {
						continue
					}
					if k.Kind == units.Word {
						assert.NoError(t, g.Set(k.Name, rapid.SampledFrom(k.Words).Draw(t, k.Name)))
						continue
					}
					x := rapid.Float64Range(k.Low, k.High).Draw(t, k.Name)
					assert.True(t, g.setFigure(k.Name, x, math.NaN()))
				}
				if rapid.Bool().Draw(t, "read") {
					g.reads, g.hasReads = Quantity{
						Value:    rapid.Float64Range(-1e3, 1e6).Draw(t, "reads"),
						State:    State(rapid.IntRange(0, 2).Draw(t, "state")),
						Standard: math.NaN(),
					}, true
				}
				j, err := g.Judge()
				if err != nil {
					assert.NotEmpty(t, err.Error())
					return
				}
				assert.Contains(t, verdicts, j.Verdict)
				assert.True(t, math.IsNaN(j.Probability) || j.Probability >= 0 && j.Probability <= 1, "%v", j.Probability)
				assert.GreaterOrEqual(t, j.Standard, 0.0)
				if !math.IsNaN(j.Expected) && !math.IsInf(j.Expected, 0) {
					assert.False(t, math.IsNaN(j.Standard) || math.IsInf(j.Standard, 0), "standard uncertainty %v", j.Standard)
					assert.False(t, math.IsNaN(j.Low) || math.IsNaN(j.High), "band %v to %v", j.Low, j.High)
				}
				_, _, _, _ = j.Formula(), j.Remark(), j.Details(), j.Parts()
				_, _ = j.Missing(), j.Assumed()
				_, _, _, _ = j.Means()
				_, _ = g.Card("", "", "")
			})
		})
	}
}

// A reading that a model predicts is healthy, and what it means is the figure that
// it was predicted from.
func TestModelsAgreeWithThemselves(t *testing.T) {
	t.Parallel()
	for _, m := range Models() {
		if m.Derived() {
			continue
		}
		j := judge(t, m.Name, typical[m.Name])
		if math.IsNaN(j.Expected) || math.IsInf(j.Expected, 0) {
			continue
		}
		g := *j.Given()
		g.reads, g.hasReads = Quantity{Value: j.Expected, Standard: math.NaN()}, true
		again, err := g.Judge()
		assert.NoError(t, err)
		assert.Equal(t, Healthy, again.Verdict, m.Name)
		if name, x, unit, ok := again.Means(); ok {
			i := 0
			for m.Keys[i].Name != name {
				i++
			}
			assert.NotEmpty(t, unit)
			assert.False(t, math.IsNaN(x), "%s: %s", m.Name, name)
		}
	}
}
