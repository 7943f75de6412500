package search

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/blevesearch/bleve/v2"
	"github.com/blevesearch/bleve/v2/analysis/analyzer/custom"
	"github.com/blevesearch/bleve/v2/analysis/analyzer/keyword"
	"github.com/blevesearch/bleve/v2/analysis/tokenizer/whitespace"
	"github.com/blevesearch/bleve/v2/mapping"
	index "github.com/blevesearch/bleve_index_api"

	"kg/internal/note"
	"kg/internal/term"
)

// Write makes a new index of some notes in a folder that must not exist, and
// returns the number of entries in it. Nothing may read it before Write has
// returned.
func Write(ctx context.Context, folder string, notes []*note.Note) (uint64, error) {
	n, err := write(ctx, folder, notes)
	if err != nil {
		return 0, fmt.Errorf("writing the index %s: %w", folder, err)
	}
	return n, nil
}

func write(ctx context.Context, folder string, notes []*note.Note) (n uint64, err error) {
	// Beside the index, so that it goes with the folder of a build that was killed.
	scratch, err := os.MkdirTemp(filepath.Dir(folder), "scratch-")
	if err != nil {
		return 0, err
	}
	defer os.RemoveAll(scratch)
	m, err := newMapping()
	if err != nil {
		return 0, err
	}
	b, err := bleve.NewBuilder(folder, m, map[string]any{"buildPathPrefix": scratch, "batchSize": 2000})
	if err != nil {
		return 0, err
	}
	defer func() {
		if cerr := b.Close(); err == nil {
			err = cerr
		}
	}()

	w := writer{builder: b, synonyms: term.SynonymsOf(notes)}
	componentOf := note.ComponentNames(notes)
	if err := w.add(markID, map[string]any{}); err != nil {
		return 0, err
	}
	for _, nt := range notes {
		if err := ctx.Err(); err != nil {
			return 0, err
		}
		if err := w.entry(nt.Entry, componentOf(nt.Entry)); err != nil {
			return 0, err
		}
	}
	return w.count, nil
}

type writer struct {
	builder  bleve.Builder
	synonyms term.Synonyms
	count    uint64
}

func (w *writer) add(id string, doc map[string]any) error {
	w.count++
	if err := w.builder.Index(id, doc); err != nil {
		return fmt.Errorf("adding %s: %w", id, err)
	}
	return nil
}

// line turns a text into its terms, joined by spaces: the index splits at
// spaces and nowhere else, so that it holds the terms that queries are made of.
func (w *writer) line(text string) string {
	return term.Terms(w.synonyms.Read(text))
}

func (w *writer) entry(e note.Entry, component string) error {
	h := e.Head()
	doc := map[string]any{
		fieldKind:  string(h.Kind),
		fieldWords: w.line(note.AllText(e, component)),
		fieldNames: w.line(component + "\n" + h.Name + "\n" + strings.Join(h.Also, "\n")),
	}
	return w.add(string(h.ID), doc)
}

// Fields of the index: the kind, all text of an entry, and the names it goes by.
const (
	fieldKind  = "kind"
	fieldWords = "words"
	fieldNames = "names"
)

// markID is an entry that nothing finds: the builder cannot close an index that
// holds nothing.
const markID = "!mark"

const termsAnalyzer = "terms"

func newMapping() (*mapping.IndexMappingImpl, error) {
	m := bleve.NewIndexMapping()
	err := m.AddCustomAnalyzer(termsAnalyzer, map[string]any{"type": custom.Name, "tokenizer": whitespace.Name})
	if err != nil {
		return nil, err
	}
	m.ScoringModel = index.BM25Scoring
	doc := bleve.NewDocumentStaticMapping()
	field := func(name, analyzer string, indexed, stored bool) {
		f := bleve.NewTextFieldMapping()
		f.Analyzer, f.Index, f.Store = analyzer, indexed, stored
		f.IncludeTermVectors, f.IncludeInAll = false, false
		f.DocValues = name == fieldKind // for counting by kind
		doc.AddFieldMappingsAt(name, f)
	}
	field(fieldWords, termsAnalyzer, true, false)
	field(fieldNames, termsAnalyzer, true, false)
	field(fieldKind, keyword.Name, true, true)
	m.DefaultMapping = doc
	return m, nil
}
