// Package search finds anything by words that it holds, in any kind of entry. It is
// the only package that knows Bleve, and none of its types leave here. What a
// question means is not decided here: that is what hear is for.
//
// Terms are made by package term, for notes and searches alike; Bleve splits at
// spaces only.
package search

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/blevesearch/bleve/v2"
	"github.com/blevesearch/bleve/v2/search"
	"github.com/blevesearch/bleve/v2/search/query"
	index "github.com/blevesearch/bleve_index_api"

	"kg/internal/note"
)

// Index is a finished index, opened for reading. Any number of processes may
// have it open.
type Index struct {
	bleve   bleve.Index
	reader  index.IndexReader
	entries uint64
}

// Open opens a finished index.
func Open(folder string) (*Index, error) {
	ix, err := open(folder)
	if err != nil {
		return nil, fmt.Errorf("opening the index %s: %w", folder, err)
	}
	return ix, nil
}

func open(folder string) (*Index, error) {
	b, err := bleve.OpenUsing(folder, map[string]any{"read_only": true, "bolt_timeout": "1s"})
	if err != nil {
		return nil, err // the returned interface is not nil: never look at it
	}
	ix := &Index{bleve: b}
	if err := ix.prepare(); err != nil {
		b.Close()
		return nil, err
	}
	return ix, nil
}

func (ix *Index) prepare() error {
	advanced, err := ix.bleve.Advanced()
	if err != nil {
		return err
	}
	if ix.reader, err = advanced.Reader(); err != nil {
		return err
	}
	ix.entries, err = ix.reader.DocCount()
	return err
}

// Close releases the index.
func (ix *Index) Close() error {
	if err := ix.reader.Close(); err != nil {
		ix.bleve.Close()
		return err
	}
	return ix.bleve.Close()
}

// Entries returns the number of entries in the index. A damaged index can open
// without error as an empty one, so the caller compares it with what was built.
func (ix *Index) Entries() uint64 { return ix.entries }

func request(q query.Query, size int, fields ...string) *bleve.SearchRequest {
	req := bleve.NewSearchRequestOptions(q, size, 0, false)
	req.Fields = fields
	return req
}

func (ix *Index) run(ctx context.Context, req *bleve.SearchRequest) (*bleve.SearchResult, error) {
	res, err := ix.bleve.SearchInContext(ctx, req)
	if err != nil {
		return nil, fmt.Errorf("searching: %w", err)
	}
	// Bleve leaves equal scores in the order of its documents, which is that of
	// the notes; sorting by id there would look up the id of every hit.
	slices.SortStableFunc(res.Hits, func(a, b *search.DocumentMatch) int {
		return cmp.Or(cmp.Compare(b.Score, a.Score), cmp.Compare(a.ID, b.ID))
	})
	return res, ctx.Err()
}

func anyOf(field string, list []string) query.Query {
	var parts []query.Query
	slices.Sort(list)
	for _, t := range slices.Compact(list) {
		q := bleve.NewTermQuery(t)
		q.SetField(field)
		parts = append(parts, q)
	}
	return bleve.NewDisjunctionQuery(parts...)
}

func ofKind(kinds []note.Kind) query.Query {
	list := make([]string, len(kinds))
	for i, k := range kinds {
		list[i] = string(k)
	}
	return anyOf(fieldKind, list)
}

func stored(hit *search.DocumentMatch, field string) string {
	s, _ := hit.Fields[field].(string)
	return s
}

// frequency returns in how many entries a term stands, in one field.
func (ix *Index) frequency(ctx context.Context, field, term string) (uint64, error) {
	r, err := ix.reader.TermFieldReader(ctx, []byte(term), field, false, false, false)
	if err != nil {
		return 0, err
	}
	defer r.Close()
	return r.Count(), nil
}

// spelled replaces terms that stand nowhere in the notes by the terms most like
// them, so that spelling mistakes are forgiven.
func (ix *Index) spelled(ctx context.Context, terms []string) ([]string, error) {
	out := slices.Clone(terms)
	corrected := map[string]string{}
	for i, t := range out {
		n, err := ix.frequency(ctx, fieldWords, t)
		if err != nil {
			return nil, err
		}
		if n > 0 || len(t) < 4 || strings.ContainsAny(t, "0123456789") {
			continue
		}
		near, done := corrected[t]
		if !done && len(corrected) < maxCorrected {
			if near, err = ix.near(ctx, fieldWords, t); err != nil {
				return nil, err
			}
			corrected[t] = near
		}
		if near != "" {
			out[i] = near
		}
	}
	return out, nil
}

// maxCorrected bounds how many unknown terms of a text are looked up among those
// like them, which takes far longer than to look up a known one.
const maxCorrected = 50

// near returns the most frequent term of a field within one mistake of a term,
// or two for long ones; empty if there is none.
func (ix *Index) near(ctx context.Context, field, term string) (string, error) {
	r, ok := ix.reader.(index.IndexReaderFuzzy)
	if !ok {
		return "", nil
	}
	mistakes := 1
	if len(term) >= 7 {
		mistakes = 2
	}
	for d := 1; d <= mistakes; d++ {
		dict, err := r.FieldDictFuzzy(field, term, d, term[:1])
		if err != nil {
			return "", err
		}
		best, bestCount := "", uint64(0)
		for {
			entry, err := dict.Next()
			if err != nil {
				return "", errors.Join(err, dict.Close())
			}
			if entry == nil {
				break
			}
			count, err := ix.frequency(ctx, field, entry.Term) // the entry's own count is not filled in
			if err != nil {
				return "", errors.Join(err, dict.Close())
			}
			if count > bestCount || count == bestCount && entry.Term < best {
				best, bestCount = entry.Term, count
			}
		}
		if err := dict.Close(); err != nil {
			return "", err
		}
		if best != "" {
			return best, nil
		}
	}
	return "", nil
}
