package search

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

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
	text, err := s.encode()
	assert.NoError(t, err)
	back, err := decodeSynonyms(text)
	assert.NoError(t, err)
	assert.Equal(t, s, back)
	_, err = decodeSynonyms("{")
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

func TestLikenessProperties(t *testing.T) {
	t.Parallel()
	words := rapid.SliceOfN(rapid.SampledFrom([]string{"pressur", "not", "rise", "pump", "start", "hot", "water", "cold", "-hot", "-rise"}), 1, 8)
	rapid.Check(t, func(t *rapid.T) {
		query, phrase := words.Draw(t, "query"), words.Draw(t, "phrase")
		weights := map[string]float64{}
		weight := func(term string) float64 {
			if _, ok := weights[term]; !ok {
				weights[term] = rapid.Float64Range(0.2, 7).Draw(t, "weight")
			}
			return weights[term]
		}
		score, common := likeness(query, phrase, weight)
		assert.GreaterOrEqual(t, score, 0.0)
		assert.LessOrEqual(t, score, 1+1e-9)
		assert.Equal(t, score > 0, len(common) > 0, "a score comes from words in common")
		same, _ := likeness(phrase, phrase, weight)
		assert.GreaterOrEqual(t, same+1e-9, score, "nothing is more like a phrase than itself")
	})
}

func TestTheOppositeIsLessLike(t *testing.T) {
	t.Parallel()
	even := func(string) float64 { return 1 }
	terms := func(s string) []string { return strings.Fields(Terms(Tokens(s))) }
	said, _ := likeness(terms("no hot water but heating works"), terms("no hot water, heating works"), even)
	opposite, _ := likeness(terms("no hot water but heating works"), terms("no heating, hot water works"), even)
	assert.Greater(t, said, opposite)
	yes, _ := likeness(terms("pressure not rising"), terms("pressure does not rise"), even)
	no, _ := likeness(terms("pressure not rising"), terms("pressure rises"), even)
	assert.Greater(t, yes, no)
}

func TestRarity(t *testing.T) {
	t.Parallel()
	assert.Greater(t, rarity(1, 1000), rarity(100, 1000), "rare words tell more")
	assert.Greater(t, rarity(1000, 1000), 0.0)
	assert.Equal(t, unknownWeight, rarity(0, 1000))
}
