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

	"kg/internal/link"
	"kg/internal/note"
)

// Graph is a finished graph, opened for reading. Any number of processes may
// have it open; within one, it is for one goroutine.
type Graph struct {
	store graph.QuadStore
	// values remembers what nodes are called: predicates, notes and ids come up
	// again and again.
	values map[any]quad.Value
	refs   map[quad.IRI]uint64
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
	return &Graph{store: store, values: map[any]quad.Value{}, refs: map[quad.IRI]uint64{}}, nil
}

// Close releases the file.
func (g *Graph) Close() error { return g.store.Close() }

// Quads returns the number of quads in the store.
func (g *Graph) Quads(ctx context.Context) (int64, error) {
	stats, err := g.store.Stats(ctx, true)
	return stats.Quads.Value, err
}

// Out returns the links that start at an entry, of the given kinds, or of all,
// in a stable order. An id that the graph does not know has no links. Links of a
// kind that has figures come with them, which costs a look at each of their
// ends.
func (g *Graph) Out(ctx context.Context, id note.ID, names ...link.Name) ([]link.Edge, error) {
	found, err := g.links(ctx, quad.Subject, id, names)
	if err != nil {
		return nil, fmt.Errorf("walking out of %s: %w", id, err)
	}
	for i, e := range found {
		if !e.Link.CarriesFigure() {
			continue
		}
		if found[i].Figure, err = g.figure(ctx, e); err != nil {
			return nil, fmt.Errorf("reading the figures of %s: %w", id, err)
		}
	}
	slices.SortFunc(found, link.Compare)
	return found, nil
}

// figure looks up the figure of one link.
func (g *Graph) figure(ctx context.Context, e link.Edge) (link.Figure, error) {
	var f link.Figure
	for _, reading := range []string{predStated, predUsed} {
		quads, err := g.scan(ctx, quad.Subject, quad.IRI(e.To), figureOf(reading, e.Link, e.From))
		if err != nil {
			return f, err
		}
		for _, q := range quads {
			if value, ok := q.Object.(quad.Float); ok && text(q.Label) == e.Note {
				f = with(f, reading, float64(value))
			}
		}
	}
	return f, nil
}

// In returns the links that end at an entry, of the given kinds, or of all, with
// their figures, in a stable order.
func (g *Graph) In(ctx context.Context, id note.ID, names ...link.Name) ([]link.Edge, error) {
	found, err := g.links(ctx, quad.Object, id, names)
	if err != nil {
		return nil, fmt.Errorf("walking into %s: %w", id, err)
	}
	var all map[string]link.Figure
	for i, e := range found {
		if !e.Link.CarriesFigure() {
			continue
		}
		if len(found) <= fewLinks {
			found[i].Figure, err = g.figure(ctx, e)
		} else {
			if all == nil {
				all, err = g.figuresAt(ctx, id)
			}
			found[i].Figure = all[figureKey(string(e.Link)+" "+string(e.From), e.Note)]
		}
		if err != nil {
			return nil, fmt.Errorf("reading the figures of links into %s: %w", id, err)
		}
	}
	slices.SortFunc(found, link.Compare)
	return found, nil
}

// Rate returns the base rate of a mode or the leak of a symptom, as it is used;
// its figure is not given where the graph has none.
func (g *Graph) Rate(ctx context.Context, id note.ID) (link.Rate, error) {
	r := link.Rate{Of: id}
	quads, err := g.scan(ctx, quad.Subject, quad.IRI(id), predUsed)
	if err != nil {
		return r, fmt.Errorf("reading the rate of %s: %w", id, err)
	}
	for _, q := range quads {
		if value, ok := q.Object.(quad.Float); ok {
			r.Note = text(q.Label)
			r.Figure = with(r.Figure, predUsed, float64(value))
		}
	}
	return r, nil
}

func figureKey(of, note string) string { return of + " " + note }

// fewLinks is up to how many links it is cheaper to look each figure up than to
// read all that hangs on an entry.
const fewLinks = 4

// figuresAt returns all figures that hang on an entry, by what they are of and
// the note that says so.
func (g *Graph) figuresAt(ctx context.Context, id note.ID) (map[string]link.Figure, error) {
	quads, err := g.scan(ctx, quad.Subject, quad.IRI(id), "")
	if err != nil {
		return nil, err
	}
	out := map[string]link.Figure{}
	for _, q := range quads {
		if value, ok := q.Object.(quad.Float); ok {
			reading, of, _ := strings.Cut(text(q.Predicate), " ")
			key := figureKey(of, text(q.Label))
			out[key] = with(out[key], reading, float64(value))
		}
	}
	return out, nil
}

// links returns the links at one end of which an entry stands, without figures.
func (g *Graph) links(ctx context.Context, end quad.Direction, id note.ID, names []link.Name) ([]link.Edge, error) {
	var quads []quad.Quad
	if len(names) == 0 {
		names = []link.Name{""}
	}
	for _, l := range names {
		some, err := g.scan(ctx, end, quad.IRI(id), quad.IRI(l))
		if err != nil {
			return nil, err
		}
		quads = append(quads, some...)
	}
	var out []link.Edge
	for _, q := range quads {
		if _, isFigure := q.Object.(quad.Float); !isFigure {
			out = append(out, edge(q))
		}
	}
	return out, nil
}

// scan returns the quads with a value in one direction and a predicate, or any
// predicate if it is empty.
func (g *Graph) scan(ctx context.Context, d quad.Direction, v, predicate quad.IRI) ([]quad.Quad, error) {
	if v == "" {
		return nil, nil // it would match everything
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	index := kv.QuadIndex{Dirs: []quad.Direction{quad.Subject, quad.Predicate}}
	if d == quad.Object {
		index.Dirs = []quad.Direction{quad.Object, quad.Predicate, quad.Subject}
	}
	scan := kv.IndexScan{Index: index}
	for _, value := range []quad.IRI{v, predicate} {
		if value == "" {
			break
		}
		ref, err := g.ref(value)
		if err != nil || ref == 0 {
			return nil, err
		}
		scan.Values = append(scan.Values, ref)
	}
	it := scan.BuildIterator(g.store).Iterate()
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

// ref returns the number of a node, 0 if the graph does not have it.
func (g *Graph) ref(v quad.IRI) (uint64, error) {
	if ref, ok := g.refs[v]; ok {
		return ref, nil
	}
	r, err := g.store.ValueOf(v)
	if err != nil {
		return 0, err
	}
	n, _ := r.(kv.Int64Value)
	g.refs[v] = uint64(n)
	return uint64(n), nil
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

// with returns a figure after one of its readings was met in the store.
func with(f link.Figure, reading string, value float64) link.Figure {
	switch {
	case reading == predStated:
		f.Stated = value
	case f.Given: // the one stated was met before
		f.Used = value
	default:
		f.Stated, f.Used = value, value
	}
	f.Given = true
	return f
}

func edge(q quad.Quad) link.Edge {
	return link.Edge{From: note.ID(text(q.Subject)), Link: link.Name(text(q.Predicate)), To: note.ID(text(q.Object)), Note: text(q.Label)}
}

func text(v quad.Value) string {
	if iri, ok := v.(quad.IRI); ok {
		return string(iri)
	}
	return quad.StringOf(v)
}
