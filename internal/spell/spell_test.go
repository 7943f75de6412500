package spell_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"kg/internal/spell"
)

// defined counts changes as they are defined, without a table.
func defined(a, b string) int {
	if a == "" || b == "" {
		return len(a) + len(b)
	}
	replaced := defined(a[1:], b[1:])
	if a[0] != b[0] {
		replaced++
	}
	return min(replaced, defined(a[1:], b)+1, defined(a, b[1:])+1)
}

func TestChangesAreThoseOfTheDefinition(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.StringMatching(`[abc]{0,6}`)
		a, b := word.Draw(t, "a"), word.Draw(t, "b")
		assert.Equal(t, defined(a, b), spell.Changes(a, b))
	})
	assert.Equal(t, 3, spell.Changes("kitten", "sitting"))
	assert.Equal(t, 1, spell.Changes("Öl", "Ol"), "letters, not bytes")
}

func TestTheNearestWordIsOneThatIsLikeIt(t *testing.T) {
	t.Parallel()
	valid := []string{"pressure", "span", "zero", "supply", "settled-by", "shows", "source", "stop-gap"}
	for word, want := range map[string]string{
		"presure": "pressure", "PRESSURE": "pressure", "rpessure": "pressure", "pre": "pressure", "pr": "", "spam": "span",
		"sup": "supply", "xyz": "", "zzzz": "", "sapn": "span", "pressssure": "pressure", "pxxxxure": "", "": "",
		"setled-by": "settled-by", "show": "shows", "sorce": "source", "stopgap": "stop-gap", "shows": "shows",
		strings.Repeat("pressure", 100): "",
	} {
		got, ok := spell.Nearest(word, valid)
		assert.Equal(t, want, got, word)
		assert.Equal(t, want != "", ok, word)
	}
	got, _ := spell.Nearest("ab", []string{"cd", "xb", "ay"})
	assert.Equal(t, "xb", got, "ties go to the first; a word of which nothing is left is none")
	_, ok := spell.Nearest("shows", nil)
	assert.False(t, ok)
}
