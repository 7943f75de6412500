// Package search owns the way from words to entries: how a text is split into
// terms, what counts as the same, which symptoms and modes a description is
// like, what a code stands for. It is the only package that knows Bleve, and
// none of its types leave here.
//
// Terms are made by this package alone (token.go, synonym.go), for notes and
// queries alike; Bleve finds the entries that share terms with a query, and the
// likeness of phrases (similar.go) ranks them.
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
	bleve    bleve.Index
	reader   index.IndexReader
	synonyms Synonyms
	entries  uint64
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
	if ix.entries, err = ix.reader.DocCount(); err != nil {
		return err
	}
	doc, err := ix.reader.Document(synonymsID)
	if err != nil {
		return err
	}
	encoded := "{}"
	if doc != nil {
		doc.VisitFields(func(f index.Field) {
			if f.Name() == fieldShown {
				encoded = string(f.Value())
			}
		})
	}
	ix.synonyms, err = decodeSynonyms(encoded)
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

// Tokens reads a text as the notes of this index were read.
func (ix *Index) Tokens(text string) []Token { return ix.synonyms.Apply(Tokens(text)) }

// search runs a query and returns its best hits with their stored fields, equal
// ones by id.
func (ix *Index) search(ctx context.Context, q query.Query, size int, fields ...string) (search.DocumentMatchCollection, error) {
	res, err := ix.run(ctx, request(q, size, fields...))
	if err != nil {
		return nil, err
	}
	return res.Hits, nil
}

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

// spelled replaces terms that stand nowhere in the notes by the terms of a field
// most like them, so that spelling mistakes are forgiven. A term that stands in
// some note is a word and no mistake, even where the field does not have it.
func (ix *Index) spelled(ctx context.Context, field string, tokens []Token) ([]Token, error) {
	out := slices.Clone(tokens)
	corrected := map[string]string{}
	for i, t := range out {
		n, err := ix.frequency(ctx, fieldWords, t.Term)
		if err != nil {
			return nil, err
		}
		if n > 0 || len(t.Term) < 4 || strings.ContainsAny(t.Term, "0123456789") {
			continue
		}
		near, done := corrected[t.Term]
		if !done && len(corrected) < maxCorrected {
			if near, err = ix.near(ctx, field, t.Term); err != nil {
				return nil, err
			}
			corrected[t.Term] = near
		}
		if near != "" {
			out[i].Term = near
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

// A rare word that is one mistake away from one that is this many times as
// frequent may be that one, misspelt.
const (
	rareWord     = 3
	muchCommoner = 20
)

// Respelled returns a text with rare words exchanged for much commoner ones that
// they may be meant for, and whether there was one: "gass" is a form of "gassed",
// and most likely gas. Such a reading is one to be warned by, not to rely on.
func (ix *Index) Respelled(ctx context.Context, text string) (string, bool, error) {
	tokens := Tokens(text)
	changed := false
	for i := len(tokens) - 1; i >= 0; i-- { // from the end, so that offsets hold
		t := tokens[i]
		if len(t.Term) < 4 || t.Start < 0 || t.End > len(text) || strings.ContainsAny(t.Term, "0123456789") {
			continue
		}
		n, err := ix.frequency(ctx, fieldWords, t.Term)
		if err != nil {
			return "", false, err
		}
		if n > rareWord {
			continue
		}
		near, err := ix.near(ctx, fieldSayings, t.Term)
		if err != nil {
			return "", false, err
		}
		if near == "" || near == t.Term {
			continue
		}
		common, err := ix.frequency(ctx, fieldWords, near)
		if err != nil {
			return "", false, err
		}
		if common >= muchCommoner*max(n, 1) {
			text = text[:t.Start] + near + text[t.End:]
			changed = true
		}
	}
	return text, changed, nil
}
