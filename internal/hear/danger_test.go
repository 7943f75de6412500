package hear

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/note"
)

// said is a finding of one sense, heard with a likeness and a part of its saying.
func said(text string, id note.ID, saying string, score, covers float64) Finding {
	return Finding{Text: text, Present: true, Senses: []Sense{{ID: id, Kind: note.KindSymptom, Saying: saying, Score: score, Covers: covers}}}
}

// A danger is sure where the words are like it and most of what people say for it
// was said: both, since a long tale may hold all of a short saying, and few words may
// be like a part of a long one.
func TestADangerIsSureOnlyWhereLikenessAndCoverageAreHigh(t *testing.T) {
	t.Parallel()
	e := small(t)
	for name, c := range map[string]struct {
		score, covers float64
		heard, sure   bool
	}{
		"both high":            {0.9, 0.9, true, true},
		"just enough":          {sureStop, mostSaid, true, true},
		"little of the saying": {0.9, 0.5, true, false},
		"not like it":          {0.5, 1, true, false},
		"neither":              {0.5, 0.5, true, false},
		"hardly like it":       {0.4, 1, false, false},
	} {
		d, err := e.danger([]Finding{said("smell of gas", "gas-smell", "smell gas", c.score, c.covers)})
		require.NoError(t, err, name)
		if !c.heard {
			assert.Nil(t, d, name)
			continue
		}
		require.NotNil(t, d, name)
		assert.Equal(t, c.sure, d.Sure, name)
		assert.Equal(t, []string{"Get out"}, d.First, name)
	}
}

func TestASureDangerComesBeforeOneThatMayBeMeant(t *testing.T) {
	t.Parallel()
	e := small(t)
	d, err := e.danger([]Finding{
		said("sparks perhaps", "sparks", "spark board", 0.5, 0.5),
		said("smell of gas", "gas-smell", "smell gas", 0.9, 1),
	})
	require.NoError(t, err)
	require.NotNil(t, d)
	assert.Equal(t, note.ID("gas-smell"), d.Symptom)
	assert.True(t, d.Sure)
}

// What is denied is no danger, whatever it is like; a saying that denies something
// itself is.
func TestWhatIsDeniedIsNoDanger(t *testing.T) {
	t.Parallel()
	e := small(t)
	d, err := e.danger([]Finding{said("no smell of gas", "gas-smell", "smell gas", 0.9, 1)})
	require.NoError(t, err)
	assert.Nil(t, d)
	d, err = e.danger([]Finding{said("will not stop hissing gas", "gas-smell", "not stop hiss gas", 0.9, 1)})
	require.NoError(t, err)
	assert.NotNil(t, d)
	code := said("no", "gas-smell", "", 1, 1)
	code.Code = "B1"
	d, err = e.danger([]Finding{code})
	require.NoError(t, err)
	assert.NotNil(t, d, "a code denies nothing")
}

// A negation denies what it governs, and nothing that merely stands beside it.
func TestANegationBesideADangerDoesNotDenyIt(t *testing.T) {
	t.Parallel()
	e := small(t)
	for text, denied := range map[string]bool{
		"no smell of gas":                    true,
		"I cannot smell any gas":             true,
		"there isn't a smell of gas":         true,
		"smell of gas for no reason":         false,
		"smell of gas, no idea where from":   false,
		"smell of gas when it is not on":     false,
		"gas smell and it won't stop":        false,
		"cannot find where the gas smell is": false,
	} {
		d, err := e.danger([]Finding{said(text, "gas-smell", "smell gas", 0.9, 1)})
		require.NoError(t, err)
		assert.Equal(t, denied, d == nil, text)
	}
}
