// Command retrieval puts three ways of finding causes by words side by side, on
// the same notes and queries: kg, Bleve with its stock English analyser, and
// SQLite's FTS5 with the porter stemmer.
//
//	go run ./bench/retrieval FILE...
//
// FILE is in the format of bench/queries. The two text indexes hold the notes of
// all symptoms and modes; a mode that is found is a cause, a symptom that is
// found stands for its usual causes in their order. Printed are recall at 1 and 3
// and the mean reciprocal rank of the first cause that matches. It needs sqlite3
// (Debian: sqlite3).
package main

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"github.com/blevesearch/bleve/v2"
	"github.com/blevesearch/bleve/v2/analysis/lang/en"

	"kg/bench/queryset"
	"kg/data"
	"kg/internal/advise"
	"kg/internal/generation"
	"kg/internal/ingest"
	"kg/internal/library/disk"
	"kg/internal/note"
)

func main() {
	flag.Parse()
	if flag.NArg() == 0 {
		fmt.Fprintln(os.Stderr, "usage: go run ./bench/retrieval FILE...")
		os.Exit(2)
	}
	if err := run(context.Background(), flag.Args()); err != nil {
		fmt.Fprintln(os.Stderr, "retrieval:", err)
		os.Exit(1)
	}
}

// engine returns the causes it finds for some words, as "component: cause", the
// best first.
type engine struct {
	name string
	ask  func(ctx context.Context, words string) ([]string, error)
}

func run(ctx context.Context, files []string) (err error) {
	work, err := os.MkdirTemp("", "kg-retrieval-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(work)
	verdict, _, err := ingest.Review(ctx, []ingest.Source{shipped()})
	if err != nil {
		return err
	}
	c := newCauses(verdict.Kept)
	ours, err := kg(ctx, filepath.Join(work, "library"))
	if err != nil {
		return err
	}
	stock, err := stockBleve(c, verdict.Kept)
	if err != nil {
		return err
	}
	fts, err := sqlite(ctx, filepath.Join(work, "notes.db"), c, verdict.Kept)
	if err != nil {
		return err
	}
	for _, file := range files {
		queries, err := queryset.Read(file)
		if err != nil {
			return err
		}
		fmt.Printf("%s, %d queries\n  %-28s %8s %8s %8s\n", filepath.Base(file), len(queries), "", "at 1", "at 3", "MRR")
		for _, e := range []engine{ours, stock, fts} {
			if err := score(ctx, e, queries); err != nil {
				return fmt.Errorf("%s: %w", e.name, err)
			}
		}
	}
	return nil
}

func score(ctx context.Context, e engine, queries []queryset.Query) error {
	at1, at3, reciprocal := 0, 0, 0.0
	for _, q := range queries {
		causes, err := e.ask(ctx, q.Text)
		if err != nil {
			return err
		}
		rank := q.Rank(causes)
		if rank == 1 {
			at1++
		}
		if rank >= 1 && rank <= 3 {
			at3++
		}
		if rank > 0 {
			reciprocal += 1 / float64(rank)
		}
	}
	n := float64(len(queries))
	fmt.Printf("  %-28s %8.3f %8.3f %8.3f\n", e.name, float64(at1)/n, float64(at3)/n, reciprocal/n)
	return nil
}

func shipped() ingest.Source {
	return ingest.Source{Name: "shipped", Root: "shipped", FS: data.Notes}
}

func kg(ctx context.Context, folder string) (engine, error) {
	store := generation.Store{Root: folder}
	if _, err := ingest.Build(ctx, store, ingest.Options{Sources: []ingest.Source{shipped()}}); err != nil {
		return engine{}, err
	}
	lib, err := disk.Open(store)
	if err != nil {
		return engine{}, err
	}
	return engine{"kg", func(ctx context.Context, words string) ([]string, error) {
		a, err := advise.Ask(ctx, lib.Library, advise.Question{Text: words})
		return queryset.Labels(a), err
	}}, nil
}

// causes turns found notes into causes.
type causes struct {
	label map[note.ID]string    // of modes
	usual map[note.ID][]note.ID // of symptoms
}

func newCauses(kept []*note.Note) causes {
	c := causes{map[note.ID]string{}, map[note.ID][]note.ID{}}
	component := map[note.ID]string{}
	for _, n := range kept {
		component[n.ID()] = n.Name()
	}
	for _, n := range kept {
		switch e := n.Entry.(type) {
		case *note.Mode:
			c.label[e.ID] = component[e.Component] + ": " + e.Name
		case *note.Symptom:
			links := slices.Clone(e.UsualCauses)
			slices.SortStableFunc(links, func(a, b note.Link) int {
				switch {
				case a.Figure.P > b.Figure.P:
					return -1
				case a.Figure.P < b.Figure.P:
					return 1
				}
				return 0
			})
			for _, l := range links {
				c.usual[e.ID] = append(c.usual[e.ID], l.To)
			}
		}
	}
	return c
}

func (c causes) of(found []string) []string {
	var out []string
	add := func(id note.ID) {
		if l, ok := c.label[id]; ok && !slices.Contains(out, l) {
			out = append(out, l)
		}
	}
	for _, id := range found {
		add(note.ID(id))
		for _, m := range c.usual[note.ID(id)] {
			add(m)
		}
	}
	return out
}

func searched(kept []*note.Note, add func(id, text string) error) error {
	for _, n := range kept {
		if n.Kind() == note.KindMode || n.Kind() == note.KindSymptom {
			if err := add(string(n.ID()), string(n.Text)); err != nil {
				return err
			}
		}
	}
	return nil
}

func stockBleve(c causes, kept []*note.Note) (engine, error) {
	m := bleve.NewIndexMapping()
	m.DefaultAnalyzer = en.AnalyzerName
	ix, err := bleve.NewMemOnly(m)
	if err != nil {
		return engine{}, err
	}
	err = searched(kept, func(id, text string) error { return ix.Index(id, map[string]string{"text": text}) })
	return engine{"Bleve, stock English", func(ctx context.Context, words string) ([]string, error) {
		req := bleve.NewSearchRequestOptions(bleve.NewMatchQuery(words), 20, 0, false)
		req.SortBy([]string{"-_score", "_id"})
		res, err := ix.SearchInContext(ctx, req)
		if err != nil {
			return nil, err
		}
		var found []string
		for _, h := range res.Hits {
			found = append(found, h.ID)
		}
		return c.of(found), nil
	}}, err
}

var word = regexp.MustCompile(`[\pL\pN]+`)

func sqlite(ctx context.Context, file string, c causes, kept []*note.Note) (engine, error) {
	var sql bytes.Buffer
	sql.WriteString("CREATE VIRTUAL TABLE notes USING fts5(id UNINDEXED, text, tokenize='porter unicode61');\nBEGIN;\n")
	err := searched(kept, func(id, text string) error {
		_, err := fmt.Fprintf(&sql, "INSERT INTO notes VALUES('%s', '%s');\n", id, strings.ReplaceAll(text, "'", "''"))
		return err
	})
	sql.WriteString("COMMIT;\n")
	load := exec.CommandContext(ctx, "sqlite3", file)
	load.Stdin = &sql
	if out, lerr := load.CombinedOutput(); lerr != nil {
		err = errors.Join(err, fmt.Errorf("sqlite3: %w: %s", lerr, out))
	}
	return engine{"SQLite FTS5, porter", func(ctx context.Context, words string) ([]string, error) {
		var quoted []string
		for _, w := range word.FindAllString(words, -1) {
			quoted = append(quoted, `"`+w+`"`)
		}
		if len(quoted) == 0 {
			return nil, nil
		}
		q := "SELECT id FROM notes WHERE notes MATCH '" + strings.Join(quoted, " OR ") + "' ORDER BY rank, id LIMIT 20"
		out, err := exec.CommandContext(ctx, "sqlite3", "-readonly", file, q).Output()
		return c.of(strings.Fields(string(out))), err
	}}, err
}
