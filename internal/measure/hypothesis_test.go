package measure

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func suspects() []Hypothesis {
	return []Hypothesis{
		HealthyPart(),
		DriftedPart("drifted high", Deviation{Relative: 0.15}, Deviation{Relative: 0.05}),
		DriftedPart("water in the connector", Deviation{Relative: -0.4}, Deviation{Relative: 0.2}),
		OpenPart(),
		ShortPart(),
	}
}

const (
	isHealthy = iota
	isHigh
	isWet
	isOpen
	isShort
)

func readings(t testing.TB, all ...string) []*Given {
	t.Helper()
	var out []*Given
	for _, keys := range all {
		g, err := given("ntc-curve", "curve=10k-2 "+keys)
		require.NoError(t, err)
		out = append(out, g)
	}
	return out
}

func TestReadingSpeaksForWhatExplainsIt(t *testing.T) {
	t.Parallel()
	for _, row := range []struct {
		keys string
		best int
	}{
		{"at=20C±0.5 reads=12.5k", isHealthy},
		{"at=20C±0.5 reads=14.4k", isHigh},
		{"at=20C±0.5 reads=7.5k", isWet},
		{"at=20C reads=OL", isOpen},
		{"at=20C reads=short", isShort},
	} {
		l, err := Likelihoods(readings(t, row.keys), suspects())
		require.NoError(t, err)
		assert.InDelta(t, 1, l[row.best], 0, row.keys)
		for i, x := range l {
			assert.True(t, x > 0 && x <= 1, "%s: %d %v", row.keys, i, x)
		}
	}
}

func TestWhatIsWrongWithAPartIsTheSameInEachReading(t *testing.T) {
	t.Parallel()
	drift := []Hypothesis{HealthyPart(), DriftedPart("off", Deviation{}, Deviation{Relative: 0.2})}
	same, err := Likelihoods(readings(t, "at=20C±0.1 reads=14.4k", "at=50C±0.1 reads=4.15k"), drift) // 15 per cent high twice
	require.NoError(t, err)
	assert.Less(t, same[0], 0.01)
	// High once and low once is no drift of one part: a slip explains it as well.
	apart, err := Likelihoods(readings(t, "at=20C±0.1 reads=14.4k", "at=50C±0.1 reads=3.06k"), drift)
	require.NoError(t, err)
	assert.Greater(t, apart[0], same[0])
}

// One reading without tolerance is a plain normal density: at two standard
// uncertainties off the ratio of densities to its top is exp(-2).
func TestLikelihoodIsTheDensityOfTheBudget(t *testing.T) {
	t.Parallel()
	j := judge(t, "ntc-curve", "curve=10k-2 at=20C±0 tolerance=0K meter=1% reads=12k")
	u := j.Standard
	l, err := Likelihoods(readings(t, "at=20C±0 tolerance=0K meter=1% reads="+format(j.Expected+2*u)), []Hypothesis{
		HealthyPart(), DriftedPart("just there", Deviation{Absolute: 2 * u}, Deviation{}),
	})
	require.NoError(t, err)
	assert.InDelta(t, math.Exp(-2), l[0], 0.01)
	assert.InDelta(t, 1, l[1], 0)
}

func TestReadingsThatCannotBeWeighed(t *testing.T) {
	t.Parallel()
	_, err := Likelihoods(readings(t, "at=20C"), suspects())
	assert.ErrorContains(t, err, "reading 1 has no figure: set reads")
	g, err := given("supply-voltage", "reads=230V")
	require.NoError(t, err)
	_, err = Likelihoods([]*Given{g}, []Hypothesis{HealthyPart()})
	assert.ErrorContains(t, err, "has limits")
	empty, err := Likelihoods(nil, suspects())
	require.NoError(t, err)
	assert.Equal(t, []float64{1, 1, 1, 1, 1}, empty, "nothing read says nothing")
}
