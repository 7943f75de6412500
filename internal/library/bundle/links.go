package bundle

import (
	"context"
	"slices"

	"kg/internal/link"
	"kg/internal/note"
)

// Links are held in memory. The zero value has none.
type Links struct {
	out, in map[note.ID][]link.Edge
	rates   map[note.ID]link.Rate
}

// LinksOf holds some links and rates.
func LinksOf(edges []link.Edge, rates []link.Rate) Links {
	l := Links{map[note.ID][]link.Edge{}, map[note.ID][]link.Edge{}, map[note.ID]link.Rate{}}
	for _, e := range edges {
		l.out[e.From] = append(l.out[e.From], e)
		l.in[e.To] = append(l.in[e.To], e)
	}
	for _, all := range []map[note.ID][]link.Edge{l.out, l.in} {
		for _, list := range all {
			slices.SortFunc(list, link.Compare)
		}
	}
	for _, r := range rates {
		l.rates[r.Of] = link.Rate{Of: r.Of, Figure: link.Figure{Stated: r.Figure.Used, Used: r.Figure.Used, Given: r.Figure.Given}, Note: r.Note}
	}
	return l
}

// Out returns the links that start at an entry.
func (l Links) Out(ctx context.Context, id note.ID, names ...link.Name) ([]link.Edge, error) {
	return named(l.out[id], names), ctx.Err()
}

// In returns the links that end at an entry.
func (l Links) In(ctx context.Context, id note.ID, names ...link.Name) ([]link.Edge, error) {
	return named(l.in[id], names), ctx.Err()
}

// Rate returns how often an entry is there by itself.
func (l Links) Rate(ctx context.Context, id note.ID) (link.Rate, error) {
	if r, ok := l.rates[id]; ok {
		return r, ctx.Err()
	}
	return link.Rate{Of: id}, ctx.Err()
}

func named(edges []link.Edge, names []link.Name) []link.Edge {
	var out []link.Edge
	for _, e := range edges {
		if len(names) == 0 || slices.Contains(names, e.Link) {
			out = append(out, e)
		}
	}
	return out
}
