package hear

import (
	"math"
	"slices"

	"kg/internal/portable"
	"kg/internal/term"
)

// weigher says how much a term tells: the rarer, the more.
type weigher func(term string) float64

// rarity is the inverse document frequency of a term that is in df of n entries,
// in the smoothed form of Robertson and Zaragoza 2009, "The Probabilistic
// Relevance Framework: BM25 and Beyond", section 3.2; never below a small
// positive value, so that no word of a query is without weight.
func rarity(df, n int) float64 {
	if df == 0 {
		return unknownWeight
	}
	return math.Max(0.2, portable.Log(1+(float64(n)-float64(df)+0.5)/(float64(df)+0.5)))
}

const unknownWeight = 1.0

// The parts of a likeness. They were chosen on queries written without sight of
// the notes (testdata/queries), where they are not critical.
const (
	phraseShare  = 0.6 // exponent of the phrase's weight against that of the query
	orderShare   = 0.1 // part that neighbouring words in common have
	contradicted = 0.8 // factor when one says "not" and the other does not
	contraryPart = 0.3 // part of a word's weight that is left when one denies it and the other does not
)

// likeness compares a query with one phrase: 0 for nothing in common, 1 for the
// same terms in the same order. It is the weighted geometric mean of the share of
// the query and the share of the phrase that the common terms make up, with a
// part for neighbours that stand together in both. More common terms never lower
// it; a longer note does not, since phrases are compared one by one. That the
// phrase is met counts more than that the query is used up, since people say
// more than the notes do.
func likeness(query, phrase []string, weight weigher) (score float64, common []string) {
	if len(query) == 0 || len(phrase) == 0 {
		return 0, nil
	}
	inPhrase := map[string]bool{}
	for _, t := range phrase {
		inPhrase[t] = true
	}
	inQuery := map[string]bool{}
	queryWeight, shared := 0.0, 0.0
	for _, t := range query {
		if inQuery[t] {
			continue
		}
		inQuery[t] = true
		w := weight(t)
		queryWeight += w
		switch {
		case !inPhrase[t]:
		case slices.Contains(query, term.Denied+t) != inPhrase[term.Denied+t]:
			shared += float64(contraryPart * w) // one says it is, the other that it is not
		default:
			shared += w
			common = append(common, t)
		}
	}
	phraseWeight := 0.0
	for i, t := range phrase { // in their order, each once
		if slices.Index(phrase, t) == i {
			phraseWeight += weight(t)
		}
	}
	if len(common) == 0 { // nothing in common, or only what one of them denies
		return 0, nil
	}
	bag := portable.Pow(shared/queryWeight, 1-phraseShare) * portable.Pow(shared/phraseWeight, phraseShare)
	score = float64((1-orderShare)*bag) + float64(orderShare*order(query, phrase))
	if inQuery[term.Negation] != inPhrase[term.Negation] {
		score *= contradicted
	}
	return score, common
}

// order is the share of neighbouring pairs that query and phrase have in common.
// A phrase of one term has no pairs and counts as in order.
func order(query, phrase []string) float64 {
	most := max(len(query), len(phrase)) - 1
	if most == 0 {
		return 1
	}
	pairs := map[[2]string]bool{}
	for i := 1; i < len(phrase); i++ {
		pairs[[2]string{phrase[i-1], phrase[i]}] = true
	}
	n := 0
	for i := 1; i < len(query); i++ {
		if pairs[[2]string{query[i-1], query[i]}] {
			n++
		}
	}
	return float64(n) / float64(most)
}
