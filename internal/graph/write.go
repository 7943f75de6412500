package graph

import (
	"context"
	"fmt"

	"github.com/cayleygraph/cayley/graph"
	"github.com/cayleygraph/cayley/graph/kv"
	"github.com/cayleygraph/quad"
	hbbolt "github.com/hidal-go/hidalgo/kv/bbolt"
	"go.etcd.io/bbolt"

	"kg/internal/link"
	"kg/internal/note"
)

// Predicates of the figures. A rate hangs on its entry under these; the figure of
// a link hangs on the entry that the link ends at, under one of these and the
// rest of the link, so that one look at a symptom brings the strengths of all
// that show it.
const (
	predStated = "stated"
	predUsed   = "used"
)

// figureOf names the predicate for a figure of a link. Ids and links hold no
// spaces, so the name can be taken apart again.
func figureOf(reading string, of link.Name, from note.ID) quad.IRI {
	return quad.IRI(reading + " " + string(of) + " " + string(from))
}

// batch is how many quads are handed over at a time.
const batch = 10_000

// Write stores edges and rates in a new file and returns the number of quads.
// The file must not exist. Nothing may read it before Write has returned.
func Write(ctx context.Context, file string, edges []link.Edge, rates []link.Rate) (int64, error) {
	n, err := write(ctx, file, quads(edges, rates))
	if err != nil {
		return 0, fmt.Errorf("writing the graph %s: %w", file, err)
	}
	return n, nil
}

func quads(edges []link.Edge, rates []link.Rate) []quad.Quad {
	out := make([]quad.Quad, 0, 2*len(edges)+2*len(rates))
	for _, e := range edges {
		out = append(out, quad.Quad{Subject: quad.IRI(e.From), Predicate: quad.IRI(e.Link), Object: quad.IRI(e.To), Label: quad.IRI(e.Note)})
		out = append(out, figureQuads(e.To, e.Figure, e.Note, func(reading string) quad.IRI { return figureOf(reading, e.Link, e.From) })...)
	}
	for _, r := range rates {
		out = append(out, figureQuads(r.Of, r.Figure, r.Note, func(reading string) quad.IRI { return quad.IRI(reading) })...)
	}
	if len(out) == 0 {
		// A store that never saw a quad cannot be read. No id has a space, so
		// nobody meets this one.
		out = append(out, quad.Quad{Subject: quad.IRI("no links"), Predicate: quad.IRI("no links"), Object: quad.IRI("no links")})
	}
	return out
}

// figureQuads gives the figure that is used, and the one stated where fitting
// changed it.
func figureQuads(of note.ID, f link.Figure, said string, predicate func(reading string) quad.IRI) []quad.Quad {
	if !f.Given {
		return nil
	}
	q := func(reading string, value float64) quad.Quad {
		return quad.Quad{Subject: quad.IRI(of), Predicate: predicate(reading), Object: quad.Float(value), Label: quad.IRI(said)}
	}
	out := []quad.Quad{q(predUsed, f.Used)}
	if f.Used != f.Stated {
		out = append(out, q(predStated, f.Stated))
	}
	return out
}

func write(ctx context.Context, file string, quads []quad.Quad) (n int64, err error) {
	// Synced once at the end: a generation that was cut short is thrown away.
	db, err := bbolt.Open(file, 0o600, &bbolt.Options{NoSync: true, NoFreelistSync: true})
	if err != nil {
		return 0, err
	}
	store := hbbolt.New(db)
	if err := kv.Init(store, nil); err != nil {
		return 0, closing(err, store.Close)
	}
	qs, err := kv.New(store, graph.Options{kv.OptNoBloom: true})
	if err != nil {
		return 0, closing(err, store.Close)
	}
	defer func() { err = closing(err, qs.Close) }()

	w, err := qs.NewQuadWriter()
	if err != nil {
		return 0, err
	}
	for len(quads) > 0 {
		if err := ctx.Err(); err != nil {
			return 0, closing(err, w.Close)
		}
		some := min(batch, len(quads))
		if _, err := w.WriteQuads(quads[:some]); err != nil {
			return 0, closing(err, w.Close)
		}
		quads = quads[some:]
	}
	if err := w.Close(); err != nil {
		return 0, err
	}
	stats, err := qs.Stats(ctx, true)
	if err != nil {
		return 0, err
	}
	return stats.Quads.Value, db.Sync()
}

// closing runs a clean-up and returns the first of the two errors.
func closing(err error, clean func() error) error {
	if cerr := clean(); err == nil {
		return cerr
	}
	return err
}
