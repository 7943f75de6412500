package note_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"kg/internal/note"
)

// The first word of a competence will do.
func TestACompetenceIsReadWithAndWithoutHyphens(t *testing.T) {
	t.Parallel()
	for _, want := range note.Competences() {
		words := strings.Fields(strings.ReplaceAll(string(want), "-", " "))
		for _, s := range []string{string(want), strings.Join(words, "-"), strings.Join(words, " "), words[0], strings.ToUpper(words[0])} {
			got, ok := note.CompetenceOf(s)
			assert.True(t, ok, s)
			assert.Equal(t, want, got, s)
		}
	}
	for _, s := range []string{"plumber", "licensed", "gas-qualified", ""} {
		_, ok := note.CompetenceOf(s)
		assert.False(t, ok, s)
	}
}

// A chain of claims promises what its weakest claim does, whichever comes first.
func TestTheWeakerOfTwoGradesIsKept(t *testing.T) {
	t.Parallel()
	for i, strong := range note.Grades() {
		assert.Equal(t, i, strong.Rank())
		for _, weak := range note.Grades()[i:] {
			assert.Equal(t, weak, strong.Weaker(weak))
			assert.Equal(t, weak, weak.Weaker(strong))
		}
	}
}
