package graph

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
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
// have it open; within one, it is for one goroutine.
type Graph struct {
	store graph.QuadStore
	// values remembers what nodes are called: predicates, notes and ids come up
	// again and again.
	values map[any]quad.Value
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
	return &Graph{store: store, values: map[any]quad.Value{}}, nil
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

// Node returns the links that start at an entry, with their figures, in a stable
// order. An id that the graph does not know has no links.
func (g *Graph) Node(ctx context.Context, id note.ID) (Node, error) {
	node := Node{ID: id}
	found, err := g.scan(ctx, quad.Subject, quad.IRI(id))
	if err != nil {
		return node, fmt.Errorf("walking out of %s: %w", id, err)
	}
	figures := map[string]Figure{}
	for _, q := range found {
		value, isFigure := q.Object.(quad.Float)
		if !isFigure {
			node.Out = append(node.Out, edge(q))
			continue
		}
		reading, of, _ := strings.Cut(text(q.Predicate), " ")
		key := of + " " + text(q.Label)
		figures[key] = figures[key].with(reading, float64(value))
		if of == "" {
			node.Rate = Rate{Of: id, Note: text(q.Label), Figure: figures[key]}
		}
	}
	for i, e := range node.Out {
		node.Out[i].Figure = figures[string(e.Link)+" "+string(e.To)+" "+e.Note]
	}
	slices.SortFunc(node.Out, Compare)
	return node, nil
}

// In returns the links that end at an entry, of the given kinds, or of all,
// without their figures, in a stable order.
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
	slices.SortFunc(out, Compare)
	return out, nil
}

// InWithFigures is In with the figures of the links, which cost a look at each
// entry that the links come from.
func (g *Graph) InWithFigures(ctx context.Context, id note.ID, links ...Link) ([]Edge, error) {
	out, err := g.In(ctx, id, links...)
	if err != nil {
		return nil, err
	}
	for i, e := range out {
		from, err := g.Node(ctx, e.From)
		if err != nil {
			return nil, err
		}
		for _, o := range from.Out {
			if o.Link == e.Link && o.To == e.To && o.Note == e.Note {
				out[i].Figure = o.Figure
			}
		}
	}
	slices.SortFunc(out, Compare)
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
	var found []refs.Ref
	for it.Next(ctx) {
		found = append(found, it.Result())
	}
	// A cancelled walk ends without an error of its own and would read as "no
	// links".
	if err := errors.Join(ctx.Err(), it.Err()); err != nil {
		return nil, err
	}
	out := make([]quad.Quad, len(found))
	for i, q := range found {
		for _, d := range quad.Directions {
			value, err := g.value(q, d)
			if err != nil {
				return nil, err
			}
			out[i].Set(d, value)
		}
	}
	return out, nil
}

// value returns what stands in one direction of a quad.
func (g *Graph) value(q refs.Ref, d quad.Direction) (quad.Value, error) {
	ref, err := g.store.QuadDirection(q, d)
	if err != nil || ref == nil {
		return nil, err
	}
	key := ref.Key()
	if v, ok := g.values[key]; ok {
		return v, nil
	}
	v, err := g.store.NameOf(ref)
	if err != nil {
		return nil, err
	}
	g.values[key] = v
	return v, nil
}

// with returns the figure after one of its readings was met in the store.
func (f Figure) with(reading string, value float64) Figure {
	switch {
	case reading == predUsed:
		f.Used = value
	case f.Given: // the one used was met before
		f.Stated = value
	default:
		f.Stated, f.Used = value, value
	}
	f.Given = true
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
