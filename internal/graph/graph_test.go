package graph_test

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/graph"
	"kg/internal/note"
)

// Figures of these tests are made up: what is checked is that they come back as
// they went in, to the last bit, since the store keeps 64-bit floats.

// stored writes links and rates to a new file and opens it.
func stored(t testing.TB, edges []graph.Edge, rates []graph.Rate) *graph.Graph {
	t.Helper()
	g, err := graph.Open(storedFile(t, edges, rates))
	require.NoError(t, err)
	t.Cleanup(func() { assert.NoError(t, g.Close()) })
	return g
}

func storedFile(t testing.TB, edges []graph.Edge, rates []graph.Rate) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "graph.bolt")
	_, err := graph.Write(t.Context(), file, edges, rates)
	require.NoError(t, err)
	return file
}

func figure(stated, used float64) graph.Figure {
	return graph.Figure{Stated: stated, Used: used, Given: true}
}

// shows and leads are causal links with one figure, each said by the note of the
// mode it starts from.
func shows(from, to note.ID, p float64) graph.Edge { return causal(from, graph.Shows, to, p) }
func leads(from, to note.ID, p float64) graph.Edge { return causal(from, graph.LeadsTo, to, p) }
func isA(from, to note.ID) graph.Edge              { return plain(from, graph.IsA, to) }
func has(from, to note.ID) graph.Edge              { return plain(from, graph.Has, to) }
func noteOf(id note.ID) string                     { return "mode/" + string(id) + ".md" }
func plain(from note.ID, l graph.Link, to note.ID) graph.Edge {
	return graph.Edge{From: from, Link: l, To: to, Note: noteOf(from)}
}

func causal(from note.ID, l graph.Link, to note.ID, p float64) graph.Edge {
	e := plain(from, l, to)
	e.Figure = figure(p, p)
	return e
}

func TestLinksComeBackWithTheirFiguresAndTheNoteThatSaysSo(t *testing.T) {
	t.Parallel()
	fitted := shows("valve-stuck", "no-heat", 0.9)
	fitted.Figure.Used = 0.4
	edges := []graph.Edge{
		fitted,
		shows("valve-stuck", "noise", 0.2),
		shows("pump-dead", "no-heat", 0),
		leads("valve-stuck", "pump-dead", 1),
		plain("valve-stuck", graph.Component, "valve"),
		plain("valve-stuck", "settled-by", "tap-it"),
		{From: "no-heat", Link: graph.UsualCauses, To: "valve-stuck", Figure: figure(0.6, 0.6), Note: "symptom/no-heat.md"},
	}
	g := stored(t, edges, nil)

	out, err := g.Out(t.Context(), "valve-stuck")
	require.NoError(t, err)
	assert.Equal(t, []graph.Edge{edges[4], edges[3], edges[5], edges[0], edges[1]}, out,
		"by kind of link, then the strongest first")

	in, err := g.In(t.Context(), "no-heat")
	require.NoError(t, err)
	assert.Equal(t, []graph.Edge{edges[0], edges[2]}, in)

	usual, err := g.Out(t.Context(), "no-heat", graph.UsualCauses)
	require.NoError(t, err)
	assert.Equal(t, edges[6:], usual)
}

func TestOnlyLinksOfTheKindsAskedForComeBack(t *testing.T) {
	t.Parallel()
	g := stored(t, []graph.Edge{shows("a", "s", 0.5), leads("a", "b", 0.5), plain("a", graph.Component, "c")}, nil)
	for _, c := range []struct {
		links []graph.Link
		want  []note.ID
	}{
		{nil, []note.ID{"c", "b", "s"}},
		{[]graph.Link{graph.Shows}, []note.ID{"s"}},
		{[]graph.Link{graph.Shows, graph.LeadsTo}, []note.ID{"b", "s"}},
		{[]graph.Link{graph.Has}, nil},
	} {
		out, err := g.Out(t.Context(), "a", c.links...)
		require.NoError(t, err)
		var got []note.ID
		for _, e := range out {
			got = append(got, e.To)
		}
		assert.Equal(t, c.want, got, "links %q", c.links)
	}
}

func TestTheSameLinkSaidByTwoNotesComesTwiceEachWithItsFigure(t *testing.T) {
	t.Parallel()
	shipped, team := shows("a", "s", 0.9), shows("a", "s", 0.3)
	team.Note = "team/mode/a.md"
	g := stored(t, []graph.Edge{shipped, team}, nil)

	for name, walk := range map[string]func() ([]graph.Edge, error){
		"out": func() ([]graph.Edge, error) { return g.Out(t.Context(), "a") },
		"in":  func() ([]graph.Edge, error) { return g.In(t.Context(), "s") },
	} {
		got, err := walk()
		require.NoError(t, err)
		assert.Equal(t, []graph.Edge{shipped, team}, got, name)
	}
}

// A test names a mode under each of its results, with another figure each time:
// there is no one figure of that link, whichever way it is walked.
func TestLinksOfKindsWithoutAFigureHaveNoneFromEitherEnd(t *testing.T) {
	t.Parallel()
	result := causal("tap-it", "results", "valve-stuck", 0.8)
	g := stored(t, []graph.Edge{result, leads("pump-dead", "valve-stuck", 0.5)}, nil)

	out, err := g.Out(t.Context(), "tap-it")
	require.NoError(t, err)
	in, err := g.In(t.Context(), "valve-stuck")
	require.NoError(t, err)
	require.Len(t, in, 2)
	assert.Equal(t, out, in[1:])
	assert.False(t, in[1].Figure.Given)
}

func TestRatesComeBackAsTheyAreUsed(t *testing.T) {
	t.Parallel()
	g := stored(t, []graph.Edge{shows("a", "s", 0.5)}, []graph.Rate{
		{Of: "a", Figure: figure(0.04, 0.025), Note: "mode/a.md"},
		{Of: "s", Figure: figure(0.001, 0.001), Note: "symptom/s.md"},
	})
	for id, want := range map[note.ID]graph.Rate{
		"a": {Of: "a", Figure: figure(0.025, 0.025), Note: "mode/a.md"},
		"s": {Of: "s", Figure: figure(0.001, 0.001), Note: "symptom/s.md"},
		"b": {Of: "b"},
	} {
		got, err := g.Rate(t.Context(), id)
		require.NoError(t, err)
		assert.Equal(t, want, got)
	}
}

func TestAnIdThatNobodyMentionsHasNoLinks(t *testing.T) {
	t.Parallel()
	g := stored(t, []graph.Edge{shows("a", "s", 0.5)}, nil)
	out, err := g.Out(t.Context(), "nobody")
	require.NoError(t, err)
	assert.Empty(t, out)
	in, err := g.In(t.Context(), "nobody")
	require.NoError(t, err)
	assert.Empty(t, in)
	tree, err := g.Tree(t.Context(), "nobody", graph.Back, graph.MaxDepth)
	require.NoError(t, err)
	assert.Equal(t, &graph.Branch{ID: "nobody"}, tree)
	closure, err := g.Closure(t.Context(), "nobody", graph.IsA)
	require.NoError(t, err)
	assert.Equal(t, []note.ID{"nobody"}, closure)
}

func TestAnEmptyGraphCanBeOpenedAndHasNoLinks(t *testing.T) {
	t.Parallel()
	g := stored(t, nil, nil)
	out, err := g.Out(t.Context(), "a")
	require.NoError(t, err)
	assert.Empty(t, out)
}

func TestLinksOfANoteAreItsMentionsWithTheirFigures(t *testing.T) {
	t.Parallel()
	n, problems := note.Parse("mode/valve-stuck.md", []byte(`---
name: Stuck
component: valve
shows: {no-heat: 9 in 10, noise: unlikely}
settled-by: [tap-it, tap-it]
repair: [left-out]
---
`))
	require.Empty(t, problems)
	edges := graph.EdgesOf(n, func(id note.ID) bool { return id != "left-out" })
	// The middle of "unlikely" is 0.165; source: IPCC AR5 guidance note, table 1,
	// 0 to 33 %.
	assert.Equal(t, []graph.Edge{
		plain("valve-stuck", graph.Component, "valve"),
		shows("valve-stuck", "no-heat", 0.9),
		shows("valve-stuck", "noise", 0.165),
		plain("valve-stuck", "settled-by", "tap-it"),
	}, edges, "twice said counts once, links to what was left out are left out")
}
