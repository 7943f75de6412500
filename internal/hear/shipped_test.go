package hear

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/library/librarytest"
	"kg/internal/note"
)

// Whatever is said for a danger still stops the work, or warns of it, where somebody
// adds that it is for no reason, or that they don't know where it comes from.
func TestADangerForNoReasonIsADangerStill(t *testing.T) {
	t.Parallel()
	l := librarytest.Shipped(t)
	stops := func(words string) bool {
		heard, err := Listen(t.Context(), l, Words{Text: words}, nil)
		require.NoError(t, err)
		return heard.Danger != nil
	}
	symptoms, err := l.List(note.KindSymptom)
	require.NoError(t, err)
	var lost []string
	all := 0
	for _, title := range symptoms {
		rec, err := l.Entry(title.ID)
		require.NoError(t, err)
		s := rec.Entry.(*note.Symptom)
		if len(s.StopWork) == 0 {
			continue
		}
		for i, saying := range append([]string{s.Name}, s.Also...) {
			if i%6 != 0 {
				continue // some of each are enough
			}
			if !stops(saying) {
				continue // not heard without it either
			}
			for _, suffix := range []string{" for no reason", ", no idea why"} {
				all++
				if !stops(saying + suffix) {
					lost = append(lost, saying+suffix)
				}
			}
		}
	}
	t.Logf("%d of %d are lost", len(lost), all)
	assert.LessOrEqual(t, float64(len(lost)), 0.02*float64(all), "%q", lost)
}
