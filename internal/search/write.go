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

	var sets []*note.Synonym
	names := map[note.ID]string{}
	for _, nt := range notes {
		names[nt.ID()] = nt.Name()
		if s, ok := nt.Entry.(*note.Synonym); ok {
			sets = append(sets, s)
		}
	}
	w := writer{builder: b, synonyms: NewSynonyms(sets)}
	encoded, err := w.synonyms.encode()
	if err != nil {
		return 0, err
	}
	if err := w.add(synonymsID, map[string]any{fieldShown: encoded}); err != nil {
		return 0, err
	}
	for _, nt := range notes {
		if err := ctx.Err(); err != nil {
			return 0, err
		}
		component := ""
		if mode, ok := nt.Entry.(*note.Mode); ok {
			component = names[mode.Component]
		}
		if err := w.entry(nt.Entry, component); err != nil {
			return 0, err
		}
	}
	return w.count, nil
}

type writer struct {
	builder  bleve.Builder
	synonyms Synonyms
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
	return Terms(w.synonyms.Apply(Tokens(text)))
}

func (w *writer) entry(e note.Entry, component string) error {
	h := e.Head()
	doc := map[string]any{
		fieldKind:  string(h.Kind),
		fieldWords: w.line(allText(e, component)),
		fieldNames: w.line(component + "\n" + h.Name + "\n" + strings.Join(h.Also, "\n")),
	}
	if sayings := Sayings(e, component); len(sayings) > 0 {
		lines := make([]string, len(sayings))
		for i, s := range sayings {
			lines[i] = w.line(s)
		}
		doc[fieldSayings] = strings.Join(lines, " ")
		doc[fieldPhrases] = strings.Join(lines, "\n")
		doc[fieldNote] = doc[fieldWords]
	}
	if err := w.add(string(h.ID), doc); err != nil {
		return err
	}
	a, ok := e.(*note.Appliance)
	if !ok {
		return nil
	}
	for _, c := range a.Codes {
		means := make([]string, len(c.Means))
		for i, id := range c.Means {
			means[i] = string(id)
		}
		err := w.add(string(h.ID)+" "+CodeKey(c.Shown), map[string]any{
			fieldKind: kindCode, fieldCode: CodeKey(c.Shown), fieldAppliance: string(h.ID),
			fieldShown: c.Shown, fieldMeans: strings.Join(means, " "),
		})
		if err != nil {
			return err
		}
	}
	return nil
}

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
	field(fieldSayings, termsAnalyzer, true, false)
	field(fieldWords, termsAnalyzer, true, true)
	field(fieldNames, termsAnalyzer, true, false)
	field(fieldNote, termsAnalyzer, true, false)
	field(fieldPhrases, keyword.Name, false, true)
	field(fieldKind, keyword.Name, true, true)
	field(fieldCode, keyword.Name, true, true)
	field(fieldAppliance, keyword.Name, true, true)
	field(fieldShown, keyword.Name, false, true)
	field(fieldMeans, keyword.Name, false, true)
	m.DefaultMapping = doc
	return m, nil
}
