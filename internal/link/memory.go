package link

import (
	"context"
	"slices"

	"kg/internal/note"
)

// Memory is a set of links held in memory. The zero value has none.
type Memory struct {
	out, in map[note.ID][]Edge
	rates   map[note.ID]Rate
}

// InMemory holds some links and rates.
func InMemory(edges []Edge, rates []Rate) Memory {
	m := Memory{map[note.ID][]Edge{}, map[note.ID][]Edge{}, map[note.ID]Rate{}}
	for _, e := range edges {
		m.out[e.From] = append(m.out[e.From], e)
		m.in[e.To] = append(m.in[e.To], e)
	}
	for _, all := range []map[note.ID][]Edge{m.out, m.in} {
		for _, list := range all {
			slices.SortFunc(list, Compare)
		}
	}
	for _, r := range rates {
		m.rates[r.Of] = Rate{r.Of, Figure{r.Figure.Used, r.Figure.Used, r.Figure.Given}, r.Note}
	}
	return m
}

// Out returns the links that start at an entry.
func (m Memory) Out(ctx context.Context, id note.ID, names ...Name) ([]Edge, error) {
	return named(m.out[id], names), ctx.Err()
}

// In returns the links that end at an entry.
func (m Memory) In(ctx context.Context, id note.ID, names ...Name) ([]Edge, error) {
	return named(m.in[id], names), ctx.Err()
}

// Rate returns how often an entry is there by itself.
func (m Memory) Rate(ctx context.Context, id note.ID) (Rate, error) {
	if r, ok := m.rates[id]; ok {
		return r, ctx.Err()
	}
	return Rate{Of: id}, ctx.Err()
}

func named(edges []Edge, names []Name) []Edge {
	var out []Edge
	for _, e := range edges {
		if len(names) == 0 || slices.Contains(names, e.Link) {
			out = append(out, e)
		}
	}
	return out
}
