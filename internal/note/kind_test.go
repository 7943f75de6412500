package note_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/note"
)

func TestEveryKindIsReadInSingularAndPluralAndHasAnEntry(t *testing.T) {
	t.Parallel()
	for _, k := range note.Kinds() {
		for _, s := range []string{string(k), k.Plural(), strings.ToUpper(string(k)), " " + string(k) + " "} {
			got, ok := note.ParseKind(s)
			assert.True(t, ok, s)
			assert.Equal(t, k, got)
		}
		require.NotNil(t, note.New(k), k)
		assert.Equal(t, k, note.New(k).Head().Kind)
	}
	_, ok := note.ParseKind("gadget")
	assert.False(t, ok)
	assert.Nil(t, note.New("gadget"))
}

func TestKindsReadAsEnglish(t *testing.T) {
	t.Parallel()
	assert.Equal(t, "remedies", note.KindRemedy.Plural())
	assert.Equal(t, "modes", note.KindMode.Plural())
	assert.Equal(t, "an appliance", note.KindAppliance.WithArticle())
	assert.Equal(t, "a mode", note.KindMode.WithArticle())
}
