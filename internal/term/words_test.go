package term

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"kg/internal/note"
)

func set1(words ...string) *note.Synonym { return &note.Synonym{Words: words} }

func TestPhrasesAreReadAsTheFirstOfTheirSet(t *testing.T) {
	t.Parallel()
	s := NewSynonyms([]*note.Synonym{
		set1("pump", "circulating pump", "circulation pump"),
		set1("start", "kicks in", "comes on"),
		set1("heating circulator", "pump"), // taken as a head already, it may still be replaced
	})
	read := func(text string) string { return Terms(s.Apply(Tokens(text))) }
	assert.Equal(t, read("circulation pump comes on"), read("circulating pump kicks in"))
	assert.NotContains(t, read("circulating pump"), "circul pump", "the longest phrase is taken")
	for _, token := range s.Apply(Tokens("the circulating pump kicks in")) {
		if token.Term == "start" {
			assert.Equal(t, "kicks", "the circulating pump kicks in"[token.Start:token.End], "a token stands for the words that were replaced")
		}
	}
	assert.Equal(t, Tokens("no sets"), Synonyms{}.Apply(Tokens("no sets")))
}

func TestSynonymsComeBackFromTheIndex(t *testing.T) {
	t.Parallel()
	s := NewSynonyms([]*note.Synonym{set1("pump", "circulating pump")})
	text, err := s.Encode()
	assert.NoError(t, err)
	back, err := DecodeSynonyms(text)
	assert.NoError(t, err)
	assert.Equal(t, s, back)
	_, err = DecodeSynonyms([]byte("{"))
	assert.Error(t, err)
}

func TestAClauseThatSaysSomethingWorksIsFine(t *testing.T) {
	t.Parallel()
	for text, subject := range map[string]string{
		"no hot water but heating is fine":      "heating is",
		"radiators cold, hot water works":       "hot water",
		"boiler locks out; pump is working":     "pump is",
		"the shower is cold, the taps are okay": "the taps are",
	} {
		clauses := Clauses(text)
		assert.False(t, clauses[0].Fine, text)
		last := clauses[len(clauses)-1]
		assert.True(t, last.Fine, text)
		assert.Equal(t, subject, last.Subject, text)
	}
	for _, text := range []string{
		"lukewarm at high flow, fine when the tap is turned down", "works until it gets hot", "heating not working", "everything else works",
		"works then stops",
	} {
		for _, c := range Clauses(text) {
			assert.False(t, c.Fine, "%s: %s", text, c.Text)
		}
	}
	assert.Len(t, Clauses(strings.Repeat("cold, ", 100)), maxClauses)
	assert.Empty(t, Clauses(""))
}
