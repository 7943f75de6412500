package advise

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/library"
	"kg/internal/library/librarytest"
	"kg/internal/note"
)

// mostTelling is the result of a test that speaks most for a cause, or against it.
func mostTelling(t *testing.T, l *library.Library, test, cause note.ID, against bool) string {
	t.Helper()
	rec, err := l.Entry(test)
	require.NoError(t, err)
	best, most := "", 0.0
	for _, r := range TestFigures(rec.Entry.(*note.Test)).Results {
		with, otherwise := max(r.Given[cause], 1e-6), max(r.Otherwise, 1e-6)
		ratio := with / otherwise
		if against {
			ratio = otherwise / with
		}
		if ratio > most {
			best, most = r.Name, ratio
		}
	}
	return best
}

// Of tests that settle the same cause and say the opposite a good part is reported. It is
// not all of them: where another cause explains both, they do go together.
func TestOppositeResultsAreReported(t *testing.T) {
	t.Parallel()
	l := librarytest.Shipped(t)
	symptoms, err := l.List(note.KindSymptom)
	require.NoError(t, err)
	pairs, reported := 0, 0
	for n, s := range symptoms {
		rec, err := l.Entry(s.ID)
		require.NoError(t, err)
		symptom := rec.Entry.(*note.Symptom)
		if n%5 != 0 || len(symptom.StopWork) > 0 {
			continue
		}
		for _, usual := range symptom.UsualCauses {
			rec, err := l.Entry(usual.To)
			require.NoError(t, err)
			m := rec.Entry.(*note.Mode)
			if len(m.SettledBy) < 2 {
				continue
			}
			a := askFor(t, l, Question{Symptoms: []note.ID{s.ID}, Work: 1, Results: []Tested{
				{Test: m.SettledBy[0], Result: mostTelling(t, l, m.SettledBy[0], m.ID, false)},
				{Test: m.SettledBy[1], Result: mostTelling(t, l, m.SettledBy[1], m.ID, true)},
			}})
			pairs++
			if len(a.Conflicts) > 0 {
				reported++
				assert.NotEmpty(t, a.Conflicts[0].With)
			}
		}
	}
	require.Greater(t, pairs, 80)
	assert.Greater(t, float64(reported)/float64(pairs), 0.2)
}

// A part that was not the right one costs the way for another beside itself.
func TestAWrongPartCostsTheWayForAnother(t *testing.T) {
	t.Parallel()
	_, _, bench := atWork(t, librarytest.Shipped(t), Question{Text: "pressure climbs when hot", Work: 1})
	parts := 0
	for _, r := range bench.Repairs {
		if r.Part > 0 {
			parts++
			assert.InDelta(t, 60, r.Wrong, 1e-9, r.ID)
			continue
		}
		assert.Zero(t, r.Wrong, "%s is seen at once not to help", r.ID)
	}
	assert.NotZero(t, parts)
}
