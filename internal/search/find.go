package search

import (
	"context"
	"slices"
	"strings"

	"github.com/blevesearch/bleve/v2"
	"github.com/blevesearch/bleve/v2/search/query"

	"kg/internal/note"
)

// Hit is an entry of any kind that shares words with a search.
type Hit struct {
	ID    note.ID
	Kind  note.Kind
	Score float64 // of the index; only comparable within one search
}

// nameBoost is how much more a word in a name counts than one in the prose.
const nameBoost = 4

// Found is what a search found: the best hits, and how many there are of each
// kind in all.
type Found struct {
	Hits  []Hit
	Kinds map[note.Kind]int
}

// Find returns the entries that share words with a text, in names or anywhere,
// of some kinds or of all. The last word may be the beginning of one.
func (ix *Index) Find(ctx context.Context, text string, kinds []note.Kind, limit int) (Found, error) {
	tokens, err := ix.spelled(ctx, fieldWords, ix.Tokens(text))
	if err != nil || len(tokens) == 0 {
		return Found{}, err
	}
	words := terms(tokens)
	var parts []query.Query
	for _, field := range []string{fieldWords, fieldNames} {
		boost := 1.0
		if field == fieldNames {
			boost = nameBoost
		}
		for _, w := range words {
			q := bleve.NewTermQuery(w)
			q.SetField(field)
			q.SetBoost(boost)
			parts = append(parts, q)
		}
		if begun := begunWord(text); begun != "" {
			q := bleve.NewPrefixQuery(begun)
			q.SetField(field)
			q.SetBoost(boost / 2)
			parts = append(parts, q)
		}
	}
	var q query.Query = bleve.NewDisjunctionQuery(parts...)
	if len(kinds) == 0 {
		kinds = note.Kinds()
	}
	q = bleve.NewConjunctionQuery(q, ofKind(kinds))
	req := request(q, limit, fieldKind)
	req.AddFacet(fieldKind, bleve.NewFacetRequest(fieldKind, len(note.Kinds())))
	res, err := ix.run(ctx, req)
	if err != nil {
		return Found{}, err
	}
	out := Found{Kinds: map[note.Kind]int{}}
	for _, h := range res.Hits {
		out.Hits = append(out.Hits, Hit{ID: note.ID(h.ID), Kind: note.Kind(stored(h, fieldKind)), Score: h.Score})
	}
	for _, t := range res.Facets[fieldKind].Terms.Terms() {
		out.Kinds[note.Kind(t.Term)] = t.Count
	}
	return out, nil
}

// begunWord is the last word of a text, if it may still be growing.
func begunWord(text string) string {
	words := strings.Fields(text)
	if len(words) == 0 || text != strings.TrimRight(text, " ") {
		return ""
	}
	const enough = 3
	if w := fold(words[len(words)-1]); len(w) >= enough {
		return w
	}
	return ""
}

// Span is a stretch of bytes of a text.
type Span struct {
	Start int `json:"start"`
	End   int `json:"end"`
}

// Highlight returns where the words of a search stand in a text, in order,
// without overlaps.
func (ix *Index) Highlight(text, search string) []Span {
	wanted := terms(ix.Tokens(search))
	begun := begunWord(search)
	var out []Span
	for _, t := range ix.Tokens(text) {
		last := len(out) - 1
		if last >= 0 && out[last].End > t.Start {
			continue
		}
		if slices.Contains(wanted, t.Term) || begun != "" && strings.HasPrefix(fold(text[t.Start:t.End]), begun) {
			out = append(out, Span{t.Start, t.End})
		}
	}
	return out
}
