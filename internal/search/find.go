package search

import (
	"context"

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

// Find returns the entries that share terms, in names or anywhere, of some kinds or
// of all. A begun word, if there is one, is the beginning of a term.
func (ix *Index) Find(ctx context.Context, terms []string, begun string, kinds []note.Kind, limit int) (Found, error) {
	words, err := ix.spelled(ctx, terms)
	if err != nil || len(words) == 0 {
		return Found{}, err
	}
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
		if begun != "" {
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
