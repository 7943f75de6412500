// Package ingest owns the way from notes to a library: it reads the sources,
// lets the rules decide what is kept, fits the figures, writes graph, index and
// archive aside, verifies them and swaps the new generation in.
package ingest

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"runtime/debug"
	"slices"
	"time"

	"golang.org/x/sync/errgroup"

	"kg/internal/archive"
	"kg/internal/bucket"
	"kg/internal/bucket/bolt"
	"kg/internal/generation"
	"kg/internal/graph"
	"kg/internal/link"
	"kg/internal/lint"
	"kg/internal/note"
	"kg/internal/search"
)

// Options say what is built.
type Options struct {
	Sources []Source
	// Program identifies the executable, see generation.Manifest.
	Program string
	// Again builds even if the current library was made of the same notes.
	Again bool
	// Progress is called as the stages begin; it may be nil.
	Progress func(stage string)
}

// Outcome is what a build did.
type Outcome struct {
	Manifest generation.Manifest
	Verdict  lint.Verdict
	// Unchanged says that the current library was already made of these notes by
	// this program.
	Unchanged bool
	// Swept is the number of old or abandoned generations removed.
	Swept int
	// Fit says how well the stated usual causes could be met.
	Fit Fit
}

// Where there are more rows of catalogues than manyRows, the heap grows by less, in
// per cent, before it is collected: with a large list of parts, memory is what a
// small machine lacks.
const (
	manyRows   = 20_000
	collecting = 50
)

// Build makes a library of the sources and publishes it in the store. Broken
// notes are left out and reported in the outcome; only a source that is not
// there, or a disk that fails, is an error. A build that ends early, for
// whatever reason, leaves the current library as it is.
func Build(ctx context.Context, store generation.Store, o Options) (Outcome, error) {
	progress := o.Progress
	if progress == nil {
		progress = func(string) {}
	}
	progress("reading the notes")
	verdict, reading, err := Review(ctx, o.Sources)
	if err != nil {
		return Outcome{}, err
	}
	if len(reading.Rows) > manyRows {
		defer debug.SetGCPercent(debug.SetGCPercent(collecting))
	}
	out := Outcome{Verdict: verdict}
	m := describe(o, reading, verdict)
	if current, err := store.Open(); err == nil {
		same := current.Manifest.Notes == m.Notes && current.Manifest.Program == m.Program
		out.Manifest = current.Manifest
		if err := current.Close(); err != nil {
			return out, fmt.Errorf("looking at the current library: %w", err)
		}
		if same && !o.Again {
			out.Unchanged = true
			// What a killed build left goes now, if it can; it is in nobody's way.
			out.Swept, _ = store.Sweep()
			return out, nil
		}
	}

	progress("fitting the figures")
	var edges []link.Edge
	var rates []link.Rate
	edges, rates, out.Fit = Figures(verdict.Kept)

	draft, err := store.Begin()
	if err != nil {
		return out, err
	}
	defer draft.Discard()
	progress(fmt.Sprintf("writing %d entries", len(verdict.Kept)))
	if err := write(ctx, draft.Folder, verdict, edges, rates, &m.Counts); err != nil {
		return out, err
	}
	progress("verifying")
	if err := verify(ctx, draft.Folder, m.Counts); err != nil {
		return out, err
	}
	if err := ctx.Err(); err != nil {
		return out, fmt.Errorf("before publishing: %w", err)
	}
	if err := draft.Publish(m); err != nil {
		return out, err
	}
	out.Manifest = m
	out.Swept, err = store.Sweep()
	return out, err
}

func describe(o Options, r Reading, v lint.Verdict) generation.Manifest {
	m := generation.Manifest{Built: time.Now().UTC(), Program: o.Program, Notes: fingerprint(o.Sources, r)}
	perSource := map[string]int{}
	for _, n := range r.Notes {
		perSource[n.Source]++
	}
	for _, s := range o.Sources {
		m.Sources = append(m.Sources, generation.Source{Name: s.Name, Folder: s.Folder, Files: perSource[s.Name]})
	}
	m.Counts = generation.Counts{
		Entries: len(v.Kept), ByKind: map[note.Kind]int{}, Replaced: len(v.Replaced),
		LeftOut: r.Files - len(v.Kept) - len(v.Replaced), Problems: len(v.Problems), Parts: len(v.Parts),
	}
	for _, n := range v.Kept {
		m.Counts.ByKind[n.Kind()]++
	}
	return m
}

// fingerprint is the hash of all that the content of a library depends on.
func fingerprint(sources []Source, r Reading) string {
	h := sha256.New()
	fmt.Fprintf(h, "format %d\n", generation.Format)
	for _, s := range sources {
		fmt.Fprintf(h, "source %q %q\n", s.Name, s.Folder)
	}
	for _, n := range r.Notes {
		fmt.Fprintf(h, "note %q %q %d\n", n.Source, n.Path, len(n.Text))
		h.Write(n.Text)
	}
	for _, c := range r.hashes {
		io.WriteString(h, c)
	}
	for _, l := range r.LeftOut {
		io.WriteString(h, "left out "+string(l.ID)+"\n")
	}
	return hex.EncodeToString(h.Sum(nil))
}

// write makes the three parts at once; they do not depend on each other.
func write(ctx context.Context, folder string, v lint.Verdict, edges []link.Edge, rates []link.Rate, c *generation.Counts) error {
	work, ctx := errgroup.WithContext(ctx)
	work.Go(func() (err error) {
		c.Quads, err = graph.Write(ctx, filepath.Join(folder, generation.GraphFile), edges, rates)
		return err
	})
	work.Go(func() (err error) {
		c.Indexed, err = search.Write(ctx, filepath.Join(folder, generation.IndexFolder), v.Kept)
		return err
	})
	work.Go(func() error {
		return filled(filepath.Join(folder, generation.ArchiveFile), func(w bucket.Writer) error {
			return errors.Join(archive.Write(ctx, w, Records(v)), archive.WriteSayings(ctx, w, v.Kept))
		})
	})
	work.Go(func() error {
		return filled(filepath.Join(folder, generation.PartsFile), func(w bucket.Writer) error { return archive.WriteParts(ctx, w, v.Parts) })
	})
	return work.Wait()
}

// filled makes a file of buckets.
func filled(file string, fill func(bucket.Writer) error) error {
	w, err := bolt.Create(file)
	if err != nil {
		return err
	}
	if err := errors.Join(fill(w), w.Close()); err != nil {
		return fmt.Errorf("writing %s: %w", file, err)
	}
	return nil
}

// Records are what the archive holds of the notes that were kept.
func Records(v lint.Verdict) []archive.Record {
	replaces := map[*note.Note]string{}
	for _, r := range v.Replaced {
		replaces[r.By] = r.Of.Path
	}
	applied := map[note.ID][]note.ID{}
	caveat := map[note.ID]bool{}
	led := map[note.ID]bool{}
	for _, n := range v.Kept {
		if e, ok := n.Entry.(*note.Mode); ok {
			for _, l := range e.LeadsTo {
				led[l.To] = true
			}
		}
		if e, ok := n.Entry.(*note.Caveat); ok {
			caveat[e.ID] = true
			for _, id := range e.AppliesTo {
				applied[id] = append(applied[id], e.ID)
			}
		}
	}
	out := make([]archive.Record, len(v.Kept))
	for i, n := range v.Kept {
		out[i] = archive.Record{Entry: n.Entry, Path: n.Path, Source: n.Source, Replaces: replaces[n], Led: led[n.ID()], Text: string(n.Text)}
		for _, id := range append(slices.Clone(n.Entry.Head().Caveats), applied[n.ID()]...) {
			if caveat[id] && !slices.Contains(out[i].Caveats, id) {
				out[i].Caveats = append(out[i].Caveats, id)
			}
		}
	}
	return out
}

// verify opens what was written, as a reader would, and counts.
func verify(ctx context.Context, folder string, c generation.Counts) (err error) {
	g, err := graph.Open(filepath.Join(folder, generation.GraphFile))
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, g.Close()) }()
	ix, err := search.Open(filepath.Join(folder, generation.IndexFolder))
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, ix.Close()) }()
	quads, err := g.Quads(ctx)
	if err != nil {
		return err
	}
	if quads != c.Quads || ix.Entries() != c.Indexed {
		return fmt.Errorf("verifying the new library: it holds %d quads and %d indexed entries, should hold %d and %d: is the disk full?",
			quads, ix.Entries(), c.Quads, c.Indexed)
	}
	return nil
}
