package graph

import (
	"context"
	"fmt"

	"github.com/cayleygraph/cayley/graph"
	"github.com/cayleygraph/cayley/graph/kv"
	"github.com/cayleygraph/quad"
	hbbolt "github.com/hidal-go/hidalgo/kv/bbolt"
	"go.etcd.io/bbolt"
)

// Predicates of the figures. They hang on a mode (base rate) or on the node of
// a link.
const (
	predStated = quad.IRI("stated")
	predUsed   = quad.IRI("used")
)

// batch is how many quads are handed over at a time.
const batch = 10_000

// Write stores edges and rates in a new file and returns the number of quads.
// The file must not exist. Nothing may read it before Write has returned.
func Write(ctx context.Context, file string, edges []Edge, rates []Rate) (int64, error) {
	n, err := write(ctx, file, quads(edges, rates))
	if err != nil {
		return 0, fmt.Errorf("writing the graph %s: %w", file, err)
	}
	return n, nil
}

func quads(edges []Edge, rates []Rate) []quad.Quad {
	out := make([]quad.Quad, 0, 2*len(edges)+2*len(rates))
	for _, e := range edges {
		label := quad.IRI(e.Note)
		out = append(out, quad.Quad{Subject: quad.IRI(e.From), Predicate: quad.IRI(e.Link), Object: quad.IRI(e.To), Label: label})
		out = append(out, figureQuads(linkNode(e.From, e.Link, e.To), e.Figure, label)...)
	}
	for _, r := range rates {
		out = append(out, figureQuads(quad.IRI(r.Of), r.Figure, quad.IRI(r.Note))...)
	}
	return out
}

func figureQuads(subject quad.IRI, f Figure, label quad.IRI) []quad.Quad {
	if !f.Given {
		return nil
	}
	out := []quad.Quad{{Subject: subject, Predicate: predStated, Object: quad.Float(f.Stated), Label: label}}
	if f.Used != f.Stated {
		out = append(out, quad.Quad{Subject: subject, Predicate: predUsed, Object: quad.Float(f.Used), Label: label})
	}
	return out
}

// linkNode names the node that carries the figures of a link. Ids hold no
// spaces, so the name is unique.
func linkNode[ID ~string](from ID, link Link, to ID) quad.IRI {
	return quad.IRI(string(from) + " " + string(link) + " " + string(to))
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
