package graph

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/cayleygraph/cayley/graph"
	"github.com/cayleygraph/cayley/graph/kv"
	"github.com/cayleygraph/cayley/graph/refs"
	"github.com/cayleygraph/quad"
	hbbolt "github.com/hidal-go/hidalgo/kv/bbolt"
	"go.etcd.io/bbolt"

	"kg/internal/note"
)

// Graph is a finished graph, opened for reading. Any number of processes may
// have it open.
type Graph struct {
	store graph.QuadStore
}

// lockWait is how long opening waits for the shared file lock. Finished graphs
// are never written again, so it is not waited for in practice.
const lockWait = time.Second

// Open opens a finished graph.
func Open(file string) (*Graph, error) {
	db, err := bbolt.Open(file, 0o400, &bbolt.Options{ReadOnly: true, Timeout: lockWait})
	if err != nil {
		return nil, fmt.Errorf("opening the graph %s: %w", file, err)
	}
	// Without no_bloom each open would read the whole store into a filter.
	store, err := kv.New(hbbolt.New(db), graph.Options{kv.OptNoBloom: true})
	if err != nil {
		return nil, fmt.Errorf("opening the graph %s: %w", file, errors.Join(err, db.Close()))
	}
	return &Graph{store: store}, nil
}

// Close releases the file.
func (g *Graph) Close() error { return g.store.Close() }

// Quads returns the number of quads in the store.
func (g *Graph) Quads(ctx context.Context) (int64, error) {
	stats, err := g.store.Stats(ctx, true)
	return stats.Quads.Value, err
}

// Node is what the graph says of one entry.
type Node struct {
	ID   note.ID
	Out  []Edge
	Rate Rate // only for modes and symptoms
}

// Node returns the links that start at an entry, in a stable order. An id that
// the graph does not know has no links.
func (g *Graph) Node(ctx context.Context, id note.ID) (Node, error) {
	node := Node{ID: id}
	found, err := g.scan(ctx, quad.Subject, quad.IRI(id))
	if err != nil {
		return node, fmt.Errorf("walking out of %s: %w", id, err)
	}
	for _, q := range found {
		if value, ok := q.Object.(quad.Float); ok {
			node.Rate.Of, node.Rate.Note = id, text(q.Label)
			node.Rate.Figure = node.Rate.Figure.with(q.Predicate, float64(value))
			continue
		}
		node.Out = append(node.Out, edge(q))
	}
	if err := g.addFigures(ctx, node.Out); err != nil {
		return node, fmt.Errorf("reading the figures of %s: %w", id, err)
	}
	sortEdges(node.Out)
	return node, nil
}

// In returns the links that end at an entry, of the given kinds, or of all.
func (g *Graph) In(ctx context.Context, id note.ID, links ...Link) ([]Edge, error) {
	found, err := g.scan(ctx, quad.Object, quad.IRI(id))
	if err != nil {
		return nil, fmt.Errorf("walking into %s: %w", id, err)
	}
	var out []Edge
	for _, q := range found {
		if e := edge(q); len(links) == 0 || slices.Contains(links, e.Link) {
			out = append(out, e)
		}
	}
	if err := g.addFigures(ctx, out); err != nil {
		return nil, fmt.Errorf("reading the figures of links into %s: %w", id, err)
	}
	sortEdges(out)
	return out, nil
}

// scan returns all quads with a value in one direction.
func (g *Graph) scan(ctx context.Context, d quad.Direction, v quad.Value) ([]quad.Quad, error) {
	ref, err := g.store.ValueOf(v)
	if err != nil || ref == nil {
		return nil, err
	}
	it := g.store.QuadIterator(d, ref).Iterate()
	defer it.Close()
	var primitives []refs.Ref
	for it.Next(ctx) {
		primitives = append(primitives, it.Result())
	}
	// A cancelled walk ends without an error of its own and would read as "no
	// links".
	if err := errors.Join(ctx.Err(), it.Err()); err != nil {
		return nil, err
	}
	out := make([]quad.Quad, 0, len(primitives))
	for _, p := range primitives {
		q, err := g.store.Quad(p)
		if err != nil {
			return nil, err
		}
		out = append(out, q)
	}
	return out, nil
}

// carriesFigure tells the links that are written with a figure.
func (l Link) carriesFigure() bool { return l == Shows || l == LeadsTo || l == UsualCauses }

func (g *Graph) addFigures(ctx context.Context, edges []Edge) error {
	for i, e := range edges {
		if !e.Link.carriesFigure() {
			continue
		}
		found, err := g.scan(ctx, quad.Subject, linkNode(e.From, e.Link, e.To))
		if err != nil {
			return err
		}
		for _, q := range found {
			if value, ok := q.Object.(quad.Float); ok {
				edges[i].Figure = edges[i].Figure.with(q.Predicate, float64(value))
			}
		}
	}
	return nil
}

// with returns the figure after one of its readings was met in the store.
func (f Figure) with(predicate quad.Value, value float64) Figure {
	switch {
	case predicate == predUsed:
		f.Used = value
	case !f.Given:
		f.Stated = value
		if f.Used == 0 {
			f.Used = value
		}
		f.Given = true
	}
	return f
}

func edge(q quad.Quad) Edge {
	return Edge{From: note.ID(text(q.Subject)), Link: Link(text(q.Predicate)), To: note.ID(text(q.Object)), Note: text(q.Label)}
}

func text(v quad.Value) string {
	if iri, ok := v.(quad.IRI); ok {
		return string(iri)
	}
	return quad.StringOf(v)
}

func sortEdges(edges []Edge) {
	slices.SortFunc(edges, Compare)
}
