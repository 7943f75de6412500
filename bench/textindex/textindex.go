// Package textindex has the full-text indexes that others would take as they come, to
// put beside ours: Bleve with its stock English analyser, and SQLite's FTS5 with the
// porter stemmer.
package textindex

import (
	"bytes"
	"context"
	"fmt"
	"os/exec"
	"regexp"
	"strings"

	"github.com/blevesearch/bleve/v2"
	"github.com/blevesearch/bleve/v2/analysis/lang/en"
)

// Document is a text that can be found. Its ID has no spaces in it.
type Document struct{ ID, Text string }

// Index finds documents.
type Index struct {
	Name string
	// Find returns the ids of so many documents at most that share a word with some
	// words, the best first.
	Find func(ctx context.Context, words string, most int) ([]string, error)
}

// Both are the two indexes over the same documents; FTS5 keeps its own in a file.
func Both(ctx context.Context, file string, documents []Document) ([]Index, error) {
	stock, err := Bleve(documents)
	if err != nil {
		return nil, err
	}
	fts, err := FTS5(ctx, file, documents)
	if err != nil {
		return nil, err
	}
	return []Index{stock, fts}, nil
}

// Bleve is an index in memory.
func Bleve(documents []Document) (Index, error) {
	m := bleve.NewIndexMapping()
	m.DefaultAnalyzer = en.AnalyzerName
	ix, err := bleve.NewMemOnly(m)
	if err != nil {
		return Index{}, fmt.Errorf("making a Bleve index: %w", err)
	}
	all := ix.NewBatch()
	for _, d := range documents {
		if err := all.Index(d.ID, map[string]string{"text": d.Text}); err != nil {
			return Index{}, fmt.Errorf("indexing %s with Bleve: %w", d.ID, err)
		}
	}
	if err := ix.Batch(all); err != nil {
		return Index{}, fmt.Errorf("indexing with Bleve: %w", err)
	}
	return Index{"Bleve, stock English", func(ctx context.Context, words string, most int) ([]string, error) {
		req := bleve.NewSearchRequestOptions(bleve.NewMatchQuery(words), most, 0, false)
		req.SortBy([]string{"-_score", "_id"})
		res, err := ix.SearchInContext(ctx, req)
		if err != nil {
			return nil, fmt.Errorf("searching with Bleve: %w", err)
		}
		var found []string
		for _, h := range res.Hits {
			found = append(found, h.ID)
		}
		return found, nil
	}}, nil
}

var word = regexp.MustCompile(`[\pL\pN]+`)

// FTS5 is an index in a new database. It needs sqlite3 (Debian: sqlite3).
func FTS5(ctx context.Context, file string, documents []Document) (Index, error) {
	var sql bytes.Buffer
	sql.WriteString("CREATE VIRTUAL TABLE notes USING fts5(id UNINDEXED, text, tokenize='porter unicode61');\nBEGIN;\n")
	for _, d := range documents {
		fmt.Fprintf(&sql, "INSERT INTO notes VALUES('%s', '%s');\n", quoted(d.ID), quoted(d.Text))
	}
	sql.WriteString("COMMIT;\n")
	load := exec.CommandContext(ctx, "sqlite3", file)
	load.Stdin = &sql
	if out, err := load.CombinedOutput(); err != nil {
		return Index{}, fmt.Errorf("indexing with sqlite3: %w: %s", err, out)
	}
	return Index{"SQLite FTS5, porter", func(ctx context.Context, words string, most int) ([]string, error) {
		var any []string
		for _, w := range word.FindAllString(words, -1) {
			any = append(any, `"`+w+`"`)
		}
		if len(any) == 0 {
			return nil, nil
		}
		q := fmt.Sprintf("SELECT id FROM notes WHERE notes MATCH '%s' ORDER BY rank, id LIMIT %d", strings.Join(any, " OR "), most)
		out, err := exec.CommandContext(ctx, "sqlite3", "-readonly", file, q).Output()
		if err != nil {
			return nil, fmt.Errorf("searching with sqlite3: %w", err)
		}
		return strings.Fields(string(out)), nil
	}}, nil
}

// quoted is a text as it stands between the quotes of SQL.
func quoted(text string) string { return strings.ReplaceAll(text, "'", "''") }
