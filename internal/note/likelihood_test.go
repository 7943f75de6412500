package note_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"kg/internal/note"
)

// published are the likelihood words with their ranges. Source: Mastrandrea et
// al. 2010, "Guidance Note for Lead Authors of the IPCC Fifth Assessment Report
// on Consistent Treatment of Uncertainties", table 1, and the additional terms
// of the fourth report's working group I. Tolerance: exact, the ranges are
// definitions.
var published = map[string]struct{ low, high float64 }{
	"virtually certain":      {0.99, 1},
	"extremely likely":       {0.95, 1},
	"very likely":            {0.90, 1},
	"likely":                 {0.66, 1},
	"more likely than not":   {0.50, 1}, // published as "> 50 %"
	"about as likely as not": {0.33, 0.66},
	"unlikely":               {0, 0.33},
	"very unlikely":          {0, 0.10},
	"extremely unlikely":     {0, 0.05},
	"exceptionally unlikely": {0, 0.01},
}

func TestLikelihoodWordsHaveThePublishedRanges(t *testing.T) {
	t.Parallel()
	words := note.Words()
	assert.Len(t, words, len(published))
	for _, w := range words {
		want, ok := published[w.Text]
		require.True(t, ok, "%q is not a word of the guidance", w.Text)
		assert.Equal(t, want.low, w.Low, w.Text)
		assert.Equal(t, want.high, w.High, w.Text)
	}
}

// exactly is the tolerance for figures that come out of one division of round
// numbers: far more than the rounding of float64, far less than any figure.
const exactly = 1e-12

func TestEveryWordReadsAsTheMiddleOfItsRange(t *testing.T) {
	t.Parallel()
	for text, r := range published {
		l, err := note.ParseLikelihood(text)
		require.NoError(t, err)
		assert.InDelta(t, (r.low+r.high)/2, l.P, exactly, text)
		assert.Equal(t, text, l.Text)
		assert.True(t, l.Given())
	}
}

func TestFiguresAreReadInAllTheirForms(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]float64{
		"9 in 10": 0.9, "95 in 100": 0.95, "0 in 10": 0, "10 in 10": 1, "0.5 in 10": 0.05,
		"95 %": 0.95, "95%": 0.95, "0.1 %": 0.001, "100 per cent": 1,
		"0.95": 0.95, "0": 0, "1": 1, ".5": 0.5, "1e-3": 0.001,
		"  Very   LIKELY ": 0.95, "9\tIN\n10": 0.9,
	} {
		l, err := note.ParseLikelihood(text)
		require.NoError(t, err, text)
		assert.InDelta(t, want, l.P, exactly, text)
	}
	for text, want := range map[string]float64{
		"40 per 1000 call-outs": 0.04, "1 per 1000 call-out": 0.001, "40 per 1000": 0.04, "4 in 10": 0.4, "likely": 0.83,
	} {
		l, err := note.ParseRate(text)
		require.NoError(t, err, text)
		assert.InDelta(t, want, l.P, exactly, text)
	}
}

func TestWhatIsNoFigureIsRefused(t *testing.T) {
	t.Parallel()
	for _, text := range []string{
		"", "often", "quite likely", "9 of 10", "9/10", "9 in ten", "in 10", "1 in 0", "0 in 0", "- 1 in 10",
		"1.01", "-0.01", "101 %", "11 in 10", "nan", "inf", "-inf", "1e400", "9 in 10 times", "50 % or so",
	} {
		_, err := note.ParseLikelihood(text)
		assert.Error(t, err, text)
		_, err = note.ParseRate(text)
		assert.Error(t, err, text)
	}
	for _, text := range []string{"1001 per 1000 call-outs", "40 per 0", "40 per 1000 boilers", "per 1000"} {
		_, err := note.ParseRate(text)
		assert.Error(t, err, text)
	}
}

func TestNoFigureIsNotGiven(t *testing.T) {
	t.Parallel()
	assert.False(t, note.Likelihood{}.Given())
	never, err := note.ParseLikelihood("0")
	require.NoError(t, err)
	assert.True(t, never.Given(), "never is a figure")
}

func TestWordForGivesTheNarrowestRangeThatHoldsTheFigure(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.Float64Range(0, 1).Draw(t, "p")
		got, ok := published[note.WordFor(p)]
		require.True(t, ok)
		assert.GreaterOrEqual(t, p, got.low)
		assert.LessOrEqual(t, p, got.high)
		for text, r := range published {
			if p >= r.low && p <= r.high {
				assert.LessOrEqual(t, got.high-got.low, r.high-r.low, "%q is narrower", text)
			}
		}
	})
}

func TestWordForNeverFallsAsTheFigureGrows(t *testing.T) {
	t.Parallel()
	rank := map[string]int{}
	for i, w := range note.Words() { // from the most to the least likely
		rank[w.Text] = -i
	}
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.Float64Range(0, 1).Draw(t, "p")
		q := rapid.Float64Range(p, 1).Draw(t, "q")
		assert.LessOrEqual(t, rank[note.WordFor(p)], rank[note.WordFor(q)])
	})
}

// At the borders, where rapid draws seldom. Where two ranges meet, both hold the
// figure and the narrower one is its word.
func TestWordForAtTheBordersOfTheRanges(t *testing.T) {
	t.Parallel()
	for p, want := range map[float64]string{
		0: "exceptionally unlikely", 0.01: "exceptionally unlikely", 0.0101: "extremely unlikely",
		0.05: "extremely unlikely", 0.1: "very unlikely", 0.11: "unlikely", 0.329: "unlikely",
		0.34: "about as likely as not", 0.66: "about as likely as not", 0.67: "likely",
		0.9: "very likely", 0.95: "extremely likely", 0.989: "extremely likely", 0.99: "virtually certain", 1: "virtually certain",
	} {
		assert.Equal(t, want, note.WordFor(p), "%v", p)
	}
}
