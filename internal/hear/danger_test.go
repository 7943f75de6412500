package hear

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/link"
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

// saying is a window that may say some things, in a tone that agrees with them where
// they are trusted so far.
func saying(trust float64, g guesses) window {
	w := window{screened: g}
	for _, x := range g {
		if x.Says == ThereSaid && x.ID != "cold" {
			w.grave += trust * x.p
		}
	}
	return w
}

// The screen has three outcomes, by the probability of what ends the work.
func TestADangerStopsOrIsAskedAboutOrIsNone(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		p, trust    float64
		heard, sure bool
	}{
		"surely said":                 {0.99, 1, true, true},
		"just sure":                   {sureStop + 1e-6, 1, true, true},
		"said by a part of it only":   {0.99, partTrust, true, false},
		"perhaps said":                {0.5, 1, true, false},
		"just asked about":            {maybeStop + 1e-6, 1, true, false},
		"hardly said":                 {maybeStop - 0.01, 1, false, false},
		"hardly said by a part of it": {0.1, partTrust, false, false},
	} {
		s := screening(t)
		require.NoError(t, s.hear(t.Context(), saying(c.trust, guesses{there("gas-smell", c.p), there("cold", 0.3)}), c.trust), name)
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

// A failure that may show dangers raises them, by how likely it is that any of them is
// there, and whatever the tone is.
func TestAFailureThatShowsDangersRaisesThem(t *testing.T) {
	t.Parallel()
	shows := func(to note.ID, p float64) link.Edge {
		return link.Edge{From: "pump-seized", Link: link.Shows, To: to, Figure: link.Figure{Stated: p, Used: p, Given: true}}
	}
	heard := func(p, trust float64, not ...note.ID) *screen {
		e := small(t, shows("gas-smell", 0.2), shows("sparks", 0.3), shows("no-rise", 0.9))
		e.not = not
		s := &screen{ear: e, stops: map[note.ID]*alarm{}}
		mode := guess{Meaning: Meaning{Says: ThereSaid, ID: "pump-seized"}, kind: note.KindMode, p: p}
		require.NoError(t, s.hear(t.Context(), window{guesses: guesses{mode}}, trust))
		return s
	}
	s := heard(0.5, 1)
	assert.InDelta(t, 0.5*(1-0.8*0.7), s.sum, 1e-9)
	require.NotNil(t, s.danger())
	assert.Equal(t, note.ID("sparks"), s.danger().Symptom, "the likelier of the two")
	assert.InDelta(t, partTrust*0.22, heard(0.5, partTrust).sum, 1e-9)
	assert.InDelta(t, 0.5*0.2, heard(0.5, 1, "sparks").sum, 1e-9, "it was said not to be there")
	assert.Zero(t, heard(mayShow/2, 1).sum)
}

// The tone of what was said counts beside its meaning, but not where a danger is said in
// the words of its note.
func TestTheToneOfADangerCounts(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		grave       float64
		verbatim    note.ID
		heard, sure bool
	}{
		"as grave as its words":     {0.5, "", true, false},
		"lightly said":              {0.00005, "", false, false},
		"gravely said":              {0.999, "", true, false},
		"in the words of the note":  {0.00005, "gas-smell", true, true},
		"in those of another thing": {0.00005, "cold", false, false},
	} {
		s := screening(t)
		w := window{screened: guesses{there("gas-smell", 0.5)}, grave: c.grave, verbatim: c.verbatim}
		require.NoError(t, s.hear(t.Context(), w, 1), name)
		d := s.danger()
		require.Equal(t, c.heard, d != nil, name)
		if c.heard {
			assert.Equal(t, c.sure, d.Sure, name)
		}
	}
	assert.InDelta(t, 0.3, asGrave(0.3, 0.3), 1e-9, "what agrees stays as it is")
	assert.InDelta(t, 1/(1+2.0), asGrave(0.5, 1.0/9), 1e-9, "log odds in parts of 2/3 and 1/3: 0 and -ln 8")
}

// Good news of a thing is heard where there are few examples of it, by its tone alone.
func TestTheToneTellsGoodNewsFromBad(t *testing.T) {
	t.Parallel()
	l := Learned{meanings: []Meaning{{}, {Says: ThereSaid, ID: "cold"}, {Says: AbsentSaid, ID: "cold"}, {Says: ThereSaid, ID: "climbs"}}}
	p := []float64{0.1, 0.6, 0.1, 0.2}
	good := l.toned(p, []float64{0.01, 0.01, 0.97, 0.005, 0.005})
	assert.Greater(t, good[2], good[1], "%v", good)
	bad := l.toned(p, []float64{0.01, 0.5, 0.01, 0.005, 0.475})
	assert.Greater(t, bad[1], 0.6, "%v", bad)
	for _, q := range [][]float64{good, bad} {
		assert.InDelta(t, 1, q[0]+q[1]+q[2]+q[3], 1e-9)
	}
}

// What several dangers share is as grave as one of them, and both are named.
func TestTwoDangersThatMayBeMeantAreBothNamed(t *testing.T) {
	t.Parallel()
	s := screening(t)
	require.NoError(t, s.hear(t.Context(), saying(1, guesses{there("sparks", maybeStop*0.6), there("gas-smell", maybeStop*0.5)}), 1))
	d := s.danger()
	require.NotNil(t, d, "together they are probable enough")
	require.Len(t, d.All(), 2)
	assert.Equal(t, note.ID("sparks"), d.All()[0].Symptom)
	assert.Equal(t, note.ID("gas-smell"), d.All()[1].Symptom)

	s = screening(t)
	require.NoError(t, s.hear(t.Context(), saying(1, guesses{there("sparks", 0.5), there("gas-smell", 0.5*grave*0.9)}), 1))
	assert.Len(t, s.danger().All(), 1, "one that is far less probable is not named")
}

// The clearest words for a danger count, wherever they stand.
func TestADangerIsNotLostBesideWordsAboutSomethingElse(t *testing.T) {
	t.Parallel()
	s := screening(t)
	require.NoError(t, s.hear(t.Context(), saying(1, guesses{there("gas-smell", 0.99)}), 1))
	require.NoError(t, s.hear(t.Context(), saying(1, guesses{there("cold", 0.99), there("gas-smell", 0.001)}), 1))
	require.NotNil(t, s.danger())
	assert.True(t, s.danger().Sure)
}

// What whoever asks has said not to be meant is not asked about again.
func TestADangerThatIsNotMeantIsNone(t *testing.T) {
	t.Parallel()
	s := screening(t, "gas-smell")
	require.NoError(t, s.hear(t.Context(), saying(1, guesses{there("gas-smell", 0.9), there("sparks", 0.2)}), 1))
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
	require.NoError(t, s.hear(t.Context(), saying(1, guesses{{Meaning: Meaning{Says: AbsentSaid, ID: "gas-smell"}, p: 0.99}}), 1))
	assert.Nil(t, s.danger())
}
