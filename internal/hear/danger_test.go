package hear

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/note"
)

// there is what words say of an entry with some probability.
func there(id note.ID, p float64) guess {
	return guess{Meaning: Meaning{Says: ThereSaid, ID: id}, kind: note.KindSymptom, p: p}
}

func screening(t *testing.T, not ...note.ID) *screen {
	t.Helper()
	e := small(t)
	e.not = not
	return &screen{ear: e, stops: map[note.ID]*alarm{}}
}

// The screen has three outcomes, by the probability of what ends the work.
func TestADangerStopsOrIsAskedAboutOrIsNone(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		p, trust    float64
		heard, sure bool
	}{
		"surely said":                 {0.99, 1, true, true},
		"just sure":                   {sureStop, 1, true, true},
		"said by a part of it only":   {0.99, partTrust, true, false},
		"perhaps said":                {0.5, 1, true, false},
		"just asked about":            {maybeStop, 1, true, false},
		"hardly said":                 {maybeStop - 0.01, 1, false, false},
		"hardly said by a part of it": {0.1, partTrust, false, false},
	} {
		s := screening(t)
		require.NoError(t, s.hear(t.Context(), guesses{there("gas-smell", c.p), there("cold", 0.3)}, c.trust), name)
		d := s.danger()
		if !c.heard {
			assert.Nil(t, d, name)
			continue
		}
		require.NotNil(t, d, name)
		assert.Equal(t, c.sure, d.Sure, name)
		assert.Equal(t, note.ID("gas-smell"), d.Symptom, name)
		assert.Equal(t, []string{"Get out"}, d.First, name)
		assert.Nil(t, d.Or, name)
	}
}

// What several dangers share is as grave as one of them, and both are named.
func TestTwoDangersThatMayBeMeantAreBothNamed(t *testing.T) {
	t.Parallel()
	s := screening(t)
	require.NoError(t, s.hear(t.Context(), guesses{there("sparks", maybeStop*0.6), there("gas-smell", maybeStop*0.5)}, 1))
	d := s.danger()
	require.NotNil(t, d, "together they are probable enough")
	require.Len(t, d.All(), 2)
	assert.Equal(t, note.ID("sparks"), d.All()[0].Symptom)
	assert.Equal(t, note.ID("gas-smell"), d.All()[1].Symptom)

	s = screening(t)
	require.NoError(t, s.hear(t.Context(), guesses{there("sparks", 0.5), there("gas-smell", 0.5*grave*0.9)}, 1))
	assert.Len(t, s.danger().All(), 1, "one that is far less probable is not named")
}

// The clearest words for a danger count, wherever they stand.
func TestADangerIsNotLostBesideWordsAboutSomethingElse(t *testing.T) {
	t.Parallel()
	s := screening(t)
	require.NoError(t, s.hear(t.Context(), guesses{there("gas-smell", 0.99)}, 1))
	require.NoError(t, s.hear(t.Context(), guesses{there("cold", 0.99), there("gas-smell", 0.001)}, 1))
	require.NotNil(t, s.danger())
	assert.True(t, s.danger().Sure)
}

// What whoever asks has said not to be meant is not asked about again.
func TestADangerThatIsNotMeantIsNone(t *testing.T) {
	t.Parallel()
	s := screening(t, "gas-smell")
	require.NoError(t, s.hear(t.Context(), guesses{there("gas-smell", 0.9), there("sparks", 0.2)}, 1))
	d := s.danger()
	require.NotNil(t, d)
	assert.Equal(t, note.ID("sparks"), d.Symptom)
	assert.Nil(t, d.Or)

	s = screening(t, "gas-smell")
	require.NoError(t, s.code([]Finding{{Code: "B1", Senses: []Sense{{ID: "gas-smell", Weight: 1}}}}))
	assert.Nil(t, s.danger())
}

func TestACodeForADangerIsSure(t *testing.T) {
	t.Parallel()
	s := screening(t)
	require.NoError(t, s.code([]Finding{{Code: "B1", Senses: []Sense{{ID: "gas-smell", Weight: 1}}}}))
	require.NotNil(t, s.danger())
	assert.True(t, s.danger().Sure)
}

// That something is not there is no danger.
func TestWhatIsSaidToBeAbsentIsNoDanger(t *testing.T) {
	t.Parallel()
	s := screening(t)
	require.NoError(t, s.hear(t.Context(), guesses{{Meaning: Meaning{Says: AbsentSaid, ID: "gas-smell"}, p: 0.99}}, 1))
	assert.Nil(t, s.danger())
}
