package graph_test

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"kg/internal/graph"
	"kg/internal/link"
	"kg/internal/note"
)

// reference is the graph as a plain list of links: slow and plain to see through.
type reference []link.Edge

func (r reference) out(id note.ID, links ...link.Name) []link.Edge {
	return r.where(func(e link.Edge) bool { return e.From == id }, links)
}

func (r reference) in(id note.ID, links ...link.Name) []link.Edge {
	return r.where(func(e link.Edge) bool { return e.To == id }, links)
}

func (r reference) where(holds func(link.Edge) bool, links []link.Name) []link.Edge {
	var found []link.Edge
	for _, e := range r {
		if holds(e) && (len(links) == 0 || slices.Contains(links, e.Link)) {
			found = append(found, e)
		}
	}
	slices.SortFunc(found, link.Compare)
	return found
}

// chains returns every causal chain from an entry, as the entries on it, down to
// a depth or to where it meets itself.
func (r reference) chains(above []note.ID, d link.Direction, depth int) []string {
	chains := []string{fmt.Sprint(above)}
	id := above[len(above)-1]
	if slices.Contains(above[:len(above)-1], id) || depth == 0 {
		return chains
	}
	walk, end := r.out, func(e link.Edge) note.ID { return e.To }
	if d == link.Back {
		walk, end = r.in, func(e link.Edge) note.ID { return e.From }
	}
	seen := map[string]bool{}
	for _, e := range walk(id, link.Shows, link.LeadsTo) {
		if key := string(e.Link + " " + link.Name(end(e))); !seen[key] {
			seen[key] = true
			chains = append(chains, r.chains(append(slices.Clone(above), end(e)), d, depth-1)...)
		}
	}
	return chains
}

func chainsOf(b *link.Branch, above []note.ID) []string {
	above = append(slices.Clone(above), b.ID)
	chains := []string{fmt.Sprint(above)}
	for _, below := range b.Branches {
		chains = append(chains, chainsOf(below, above)...)
	}
	return chains
}

func (r reference) reachable(start note.ID, links ...link.Name) map[note.ID]bool {
	all := map[note.ID]bool{start: true}
	for grown := true; grown; {
		grown = false
		for _, e := range r {
			if all[e.From] && !all[e.To] && slices.Contains(links, e.Link) {
				all[e.To], grown = true, true
			}
		}
	}
	return all
}

var entries = []note.ID{"a", "b", "c", "d", "e"}

// anyEdges draws up to a dozen links among five entries, from three notes; the
// same link by the same note is there once.
func anyEdges(t *rapid.T) []link.Edge {
	edge := rapid.Custom(func(t *rapid.T) link.Edge {
		e := link.Edge{
			From: rapid.SampledFrom(entries).Draw(t, "from"),
			Link: rapid.SampledFrom([]link.Name{link.Shows, link.LeadsTo, link.UsualCauses, link.IsA, link.Has, "repair"}).Draw(t, "link"),
			To:   rapid.SampledFrom(entries).Draw(t, "to"),
			Note: rapid.SampledFrom([]string{"mode/a.md", "mode/b.md", "team/mode/a.md"}).Draw(t, "note"),
		}
		if slices.Contains([]link.Name{link.Shows, link.LeadsTo, link.UsualCauses}, e.Link) {
			e.Figure = figure(rapid.Float64Range(0, 1).Draw(t, "stated"), rapid.Float64Range(0, 1).Draw(t, "used"))
		}
		return e
	})
	return rapid.SliceOfNDistinct(edge, 0, 12, func(e link.Edge) link.Edge {
		e.Figure = link.Figure{}
		return e
	}).Draw(t, "edges")
}

func TestRandomGraphsWalkLikeAPlainListOfLinks(t *testing.T) {
	t.Parallel()
	root := t.TempDir()
	rapid.Check(t, func(rt *rapid.T) {
		edges := anyEdges(rt)
		folder, err := os.MkdirTemp(root, "")
		require.NoError(rt, err)
		defer os.RemoveAll(folder)
		file := filepath.Join(folder, "graph.bolt")
		quads, err := graph.Write(t.Context(), file, edges, nil)
		require.NoError(rt, err)
		g, err := graph.Open(file)
		require.NoError(rt, err)
		defer g.Close()
		held, err := g.Quads(t.Context())
		require.NoError(rt, err)
		require.Equal(rt, quads, held)

		want := reference(edges)
		for _, id := range entries {
			for _, links := range [][]link.Name{nil, {link.Shows}, {link.IsA, link.LeadsTo}} {
				out, err := g.Out(t.Context(), id, links...)
				require.NoError(rt, err)
				require.Equal(rt, want.out(id, links...), out, "out of %s by %q", id, links)
				in, err := g.In(t.Context(), id, links...)
				require.NoError(rt, err)
				require.Equal(rt, want.in(id, links...), in, "into %s by %q", id, links)
			}
			const depth = 3
			for _, d := range []link.Direction{link.Back, link.Ahead} {
				tree, err := link.Tree(t.Context(), g, id, d, depth)
				require.NoError(rt, err)
				require.ElementsMatch(rt, want.chains([]note.ID{id}, d, depth), chainsOf(tree, nil), "tree of %s, direction %d", id, d)
			}
			closure, err := link.Closure(t.Context(), g, id, link.IsA, link.Has)
			require.NoError(rt, err)
			reached := map[note.ID]bool{}
			for _, c := range closure {
				require.False(rt, reached[c], "%s comes once", c)
				reached[c] = true
			}
			require.Equal(rt, want.reachable(id, link.IsA, link.Has), reached, "closure of %s", id)
		}
	})
}
