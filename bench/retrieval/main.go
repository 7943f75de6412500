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
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"kg/bench/queryset"
	"kg/bench/textindex"
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
	engines := []engine{ours}
	indexes, err := textindex.Both(ctx, filepath.Join(work, "notes.db"), searched(verdict.Kept))
	if err != nil {
		return err
	}
	for _, index := range indexes {
		engines = append(engines, c.by(index))
	}
	for _, file := range files {
		queries, err := queryset.Read(file)
		if err != nil {
			return err
		}
		fmt.Printf("%s, %d queries\n  %-28s %8s %8s %8s\n", filepath.Base(file), len(queries), "", "at 1", "at 3", "MRR")
		for _, e := range engines {
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

// searched are the notes that are found by their words.
func searched(kept []*note.Note) (out []textindex.Document) {
	for _, n := range kept {
		if n.Kind() == note.KindMode || n.Kind() == note.KindSymptom {
			out = append(out, textindex.Document{ID: string(n.ID()), Text: string(n.Text)})
		}
	}
	return out
}

// mostFound is how many notes an index is asked for.
const mostFound = 20

// by is an engine that finds causes by an index of notes.
func (c causes) by(index textindex.Index) engine {
	return engine{index.Name, func(ctx context.Context, words string) ([]string, error) {
		found, err := index.Find(ctx, words, mostFound)
		return c.of(found), err
	}}
}
