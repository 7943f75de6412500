package present_test

import (
	"fmt"
	"regexp"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"kg/internal/present"
)

// wordsOff is how far the words may be from the figure: half of a twentieth, the
// width of a step in the middle, and a little for rounding. Source: the comment
// of InWords.
const wordsOff = 0.026

var shareInWords = regexp.MustCompile(`^(?:more than |less than )?(\d+) in (\d+)$`)

// valueOf reads the words back.
func valueOf(t require.TestingT, words string) float64 {
	m := shareInWords.FindStringSubmatch(words)
	require.NotNil(t, m, "words %q", words)
	part, err := strconv.Atoi(m[1])
	require.NoError(t, err)
	whole, err := strconv.Atoi(m[2])
	require.NoError(t, err)
	return float64(part) / float64(whole)
}

func TestWordsAreNearTheFigure(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.Float64Range(0, 1).Draw(t, "p")
		assert.InDelta(t, p, valueOf(t, present.InWords(p)), wordsOff)
	})
}

func TestWordsGrowWithTheFigure(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.Float64Range(0, 1).Draw(t, "p")
		q := rapid.Float64Range(p, 1).Draw(t, "q")
		assert.LessOrEqual(t, valueOf(t, present.InWords(p)), valueOf(t, present.InWords(q)))
	})
}

// The whole range in small steps: rapid draws seldom beside the borders.
func TestWordsHoldAtEveryThousandth(t *testing.T) {
	t.Parallel()
	last := 0.0
	for i := range 10001 {
		p := float64(i) / 10000
		v := valueOf(t, present.InWords(p))
		require.InDelta(t, p, v, wordsOff, "p = %g", p)
		require.GreaterOrEqual(t, v, last, "p = %g", p)
		last = v
	}
}

func TestWordsNeverPromiseCertainty(t *testing.T) {
	t.Parallel()
	for p, want := range map[float64]string{
		0: "less than 1 in 100", 0.0049: "less than 1 in 100", 0.01: "1 in 100", 0.02: "1 in 50",
		0.25: "1 in 4", 0.5: "1 in 2", 0.95: "19 in 20", 0.97: "97 in 100", 0.995: "more than 99 in 100", 1: "more than 99 in 100",
	} {
		t.Run(fmt.Sprint(p), func(t *testing.T) {
			assert.Equal(t, want, present.InWords(p))
		})
	}
}
