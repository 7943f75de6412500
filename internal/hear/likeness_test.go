package hear

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"kg/internal/term"
)

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
	terms := func(s string) []string { return strings.Fields(term.Terms(term.Tokens(s))) }
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
