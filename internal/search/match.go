package search

import (
	"cmp"
	"context"
	"maps"
	"slices"
	"strings"

	"github.com/blevesearch/bleve/v2"
	"github.com/blevesearch/bleve/v2/search/query"

	"kg/internal/note"
)

// Match is a symptom or mode that a description is like.
type Match struct {
	ID    note.ID
	Kind  note.Kind
	Score float64 // how like the words are, 0 to 1, see compare
	// Rank is what matches of one description are ordered by: the score, with how
	// well the whole note fits the description beside the other notes.
	Rank float64
	// Saying is the phrase that matched best, as terms.
	Saying string
	// Covers is how much of that phrase, by weight, stands in the description.
	Covers float64
	Words  []string // the words of the description that matched
}

// candidates is how many entries are compared phrase by phrase. Entries beyond
// it share few or only common terms with the description.
const candidates = 40

// stories is how many more are taken for what stands in their whole notes.
const stories = 20

// plenty is how many entries the terms of a description have to stand in, added
// up, before its more common terms are no longer used to find candidates. They
// still count in the comparison.
const plenty = 50 * candidates

// telling returns the terms that candidates are found by, the rarest first.
func (ix *Index) telling(ctx context.Context, terms []string) ([]string, error) {
	count := map[string]uint64{}
	for _, t := range terms {
		n, err := ix.frequency(ctx, fieldSayings, t)
		if err != nil {
			return nil, err
		}
		count[t] = n
	}
	sorted := slices.SortedFunc(maps.Keys(count), func(a, b string) int {
		return cmp.Or(cmp.Compare(count[a], count[b]), cmp.Compare(a, b))
	})
	sum := uint64(0)
	for i, t := range sorted {
		if sum += count[t]; sum >= plenty {
			return sorted[:i+1], nil
		}
	}
	return sorted, nil
}

// Match returns the symptoms and modes that a description is most like, the best
// first, equal scores in the order of ids. It is empty when no word is known.
func (ix *Index) Match(ctx context.Context, text string, limit int) ([]Match, error) {
	tokens, err := ix.spelled(ctx, fieldSayings, ix.Tokens(text))
	if err != nil || len(tokens) == 0 {
		return nil, err
	}
	weights := map[string]float64{}
	weight := func(term string) float64 {
		w, known := weights[term]
		if !known {
			n, ferr := ix.frequency(ctx, fieldSayings, term)
			if ferr != nil && err == nil {
				err = ferr
			}
			w = rarity(n, ix.entries)
			if strings.HasPrefix(term, denied) {
				w *= deniedWeight // its word and the negation count already
			}
			weights[term] = w
		}
		return w
	}

	all := terms(tokens)
	telling, err := ix.telling(ctx, all)
	if err != nil {
		return nil, err
	}
	bySaying, err := ix.search(ctx, anyOf(fieldSayings, telling), candidates, fieldKind, fieldPhrases, fieldWords)
	if err != nil {
		return nil, err
	}
	byNote, err := ix.search(ctx, anyOf(fieldNote, telling), stories, fieldKind, fieldPhrases, fieldWords)
	if err != nil {
		return nil, err
	}
	fits, seen := map[string]float64{}, map[string]bool{}
	for _, h := range byNote {
		fits[h.ID] = h.Score / byNote[0].Score
	}
	share := storyShare(len(all))
	var out []Match
	for _, h := range append(bySaying, byNote...) {
		if seen[h.ID] {
			continue
		}
		seen[h.ID] = true
		m, common := compare(all, strings.Split(stored(h, fieldPhrases), "\n"), strings.Fields(stored(h, fieldWords)), weight)
		if m.Score > 0 {
			m.ID, m.Kind = note.ID(h.ID), note.Kind(stored(h, fieldKind))
			m.Rank = (1-share)*m.Score + share*fits[h.ID]
			m.Words = spoken(text, tokens, common)
			m.Covers = coverage(strings.Fields(m.Saying), asSet(all), weight)
			out = append(out, m)
		}
	}
	if err != nil { // from weight
		return nil, err
	}
	slices.SortFunc(out, func(a, b Match) int {
		return cmp.Or(cmp.Compare(b.Rank, a.Rank), cmp.Compare(a.ID, b.ID))
	})
	return out[:min(limit, len(out))], nil
}

// deniedWeight is the weight of a thing that is said not to be, as a part of what
// its rarity would give it.
const deniedWeight = 0.3

// storyShare is the part that the whole note has in the rank. A short description
// is a saying and is compared with sayings; a long one is a story, whose words
// stand all over the note that it is about.
func storyShare(terms int) float64 {
	const perTerm, least, most = 0.05, 0.2, 0.5
	return min(most, max(least, perTerm*float64(terms-2)))
}

// The parts of a match: how like the best phrase is, raised by what all phrases
// of the entry cover of the description together; and how much of the
// description stands anywhere in the note, which tells apart what is alike in
// name.
const (
	sayingsShare = 0.2
	noteShare    = 0.2
)

// compare matches a description with the phrases of one entry and with all terms
// of its note.
func compare(query, phrases, all []string, weight weigher) (Match, []string) {
	var m Match
	var common []string
	best := 0.0
	covered := map[string]bool{}
	for _, phrase := range phrases {
		score, shared := likeness(query, strings.Fields(phrase), weight)
		for _, t := range shared {
			covered[t] = true
		}
		if score > best {
			best, m.Saying, common = score, phrase, shared
		}
	}
	if best == 0 {
		return m, nil
	}
	said := best * (1 - sayingsShare + sayingsShare*coverage(query, covered, weight))
	c := coverage(query, asSet(all), weight)
	m.Score = (1-noteShare)*said + noteShare*c*c
	return m, common
}

// coverage is the share of some terms, by weight, that is covered.
func coverage(query []string, covered map[string]bool, weight weigher) float64 {
	sum, part := 0.0, 0.0
	for _, t := range query {
		w := weight(t)
		sum += w
		if covered[t] {
			part += w
		}
	}
	if sum == 0 {
		return 0
	}
	return part / sum
}

func asSet(terms []string) map[string]bool {
	out := make(map[string]bool, len(terms))
	for _, t := range terms {
		out[t] = true
	}
	return out
}

// spoken returns the words of the text that gave rise to some terms.
func spoken(text string, tokens []Token, terms []string) []string {
	var out []string
	for _, t := range tokens {
		if word := text[t.Start:t.End]; slices.Contains(terms, t.Term) && !slices.Contains(out, word) {
			out = append(out, word)
		}
	}
	return out
}

// Code is what one appliance means by a code.
type Code struct {
	Appliance note.ID
	Shown     string
	Means     []note.ID
}

// Codes returns the appliances that use a code, in any spelling.
func (ix *Index) Codes(ctx context.Context, code string) ([]Code, error) {
	return ix.codes(ctx, anyOf(fieldCode, []string{CodeKey(code)}))
}

// NearCodes returns codes that are written much like one.
func (ix *Index) NearCodes(ctx context.Context, code string) ([]Code, error) {
	q := bleve.NewFuzzyQuery(CodeKey(code))
	q.SetField(fieldCode)
	q.SetFuzziness(1)
	return ix.codes(ctx, q)
}

// maxCodes bounds how many appliances are named for one code.
const maxCodes = 200

func (ix *Index) codes(ctx context.Context, q query.Query) ([]Code, error) {
	hits, err := ix.search(ctx, q, maxCodes, fieldAppliance, fieldShown, fieldMeans)
	if err != nil {
		return nil, err
	}
	out := make([]Code, len(hits))
	for i, h := range hits {
		out[i] = Code{Appliance: note.ID(stored(h, fieldAppliance)), Shown: stored(h, fieldShown)}
		for _, id := range strings.Fields(stored(h, fieldMeans)) {
			out[i].Means = append(out[i].Means, note.ID(id))
		}
	}
	return out, nil
}
