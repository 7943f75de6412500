package graph_test

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/graph"
	"kg/internal/link"
	"kg/internal/note"
)

// Figures of these tests are made up: what is checked is that they come back as
// they went in, to the last bit, since the store keeps 64-bit floats.

// stored writes links and rates to a new file and opens it.
func stored(t testing.TB, edges []link.Edge, rates []link.Rate) *graph.Graph {
	t.Helper()
	g, err := graph.Open(storedFile(t, edges, rates))
	require.NoError(t, err)
	t.Cleanup(func() { assert.NoError(t, g.Close()) })
	return g
}

func storedFile(t testing.TB, edges []link.Edge, rates []link.Rate) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "graph.bolt")
	_, err := graph.Write(t.Context(), file, edges, rates)
	require.NoError(t, err)
	return file
}

func figure(stated, used float64) link.Figure {
	return link.Figure{Stated: stated, Used: used, Given: true}
}

// shows and leads are causal links with one figure, each said by the note of the
// mode it starts from.
func shows(from, to note.ID, p float64) link.Edge { return causal(from, link.Shows, to, p) }
func leads(from, to note.ID, p float64) link.Edge { return causal(from, link.LeadsTo, to, p) }
func noteOf(id note.ID) string                    { return "mode/" + string(id) + ".md" }
func plain(from note.ID, l link.Name, to note.ID) link.Edge {
	return link.Edge{From: from, Link: l, To: to, Note: noteOf(from)}
}

func causal(from note.ID, l link.Name, to note.ID, p float64) link.Edge {
	e := plain(from, l, to)
	e.Figure = figure(p, p)
	return e
}

func TestLinksComeBackWithTheirFiguresAndTheNoteThatSaysSo(t *testing.T) {
	t.Parallel()
	fitted := shows("valve-stuck", "no-heat", 0.9)
	fitted.Figure.Used = 0.4
	edges := []link.Edge{
		fitted,
		shows("valve-stuck", "noise", 0.2),
		shows("pump-dead", "no-heat", 0),
		leads("valve-stuck", "pump-dead", 1),
		plain("valve-stuck", link.Component, "valve"),
		plain("valve-stuck", "settled-by", "tap-it"),
		{From: "no-heat", Link: link.UsualCauses, To: "valve-stuck", Figure: figure(0.6, 0.6), Note: "symptom/no-heat.md"},
	}
	g := stored(t, edges, nil)

	out, err := g.Out(t.Context(), "valve-stuck")
	require.NoError(t, err)
	assert.Equal(t, []link.Edge{edges[4], edges[3], edges[5], edges[0], edges[1]}, out,
		"by kind of link, then the strongest first")

	in, err := g.In(t.Context(), "no-heat")
	require.NoError(t, err)
	assert.Equal(t, []link.Edge{edges[0], edges[2]}, in)

	usual, err := g.Out(t.Context(), "no-heat", link.UsualCauses)
	require.NoError(t, err)
	assert.Equal(t, edges[6:], usual)
}

func TestOnlyLinksOfTheKindsAskedForComeBack(t *testing.T) {
	t.Parallel()
	g := stored(t, []link.Edge{shows("a", "s", 0.5), leads("a", "b", 0.5), plain("a", link.Component, "c")}, nil)
	for _, c := range []struct {
		links []link.Name
		want  []note.ID
	}{
		{nil, []note.ID{"c", "b", "s"}},
		{[]link.Name{link.Shows}, []note.ID{"s"}},
		{[]link.Name{link.Shows, link.LeadsTo}, []note.ID{"b", "s"}},
		{[]link.Name{link.Has}, nil},
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
	g := stored(t, []link.Edge{shipped, team}, nil)

	for name, walk := range map[string]func() ([]link.Edge, error){
		"out": func() ([]link.Edge, error) { return g.Out(t.Context(), "a") },
		"in":  func() ([]link.Edge, error) { return g.In(t.Context(), "s") },
	} {
		got, err := walk()
		require.NoError(t, err)
		assert.Equal(t, []link.Edge{shipped, team}, got, name)
	}
}

// A test names a mode under each of its results, with another figure each time:
// there is no one figure of that link, whichever way it is walked.
func TestLinksOfKindsWithoutAFigureHaveNoneFromEitherEnd(t *testing.T) {
	t.Parallel()
	result := causal("tap-it", "results", "valve-stuck", 0.8)
	g := stored(t, []link.Edge{result, leads("pump-dead", "valve-stuck", 0.5)}, nil)

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
	g := stored(t, []link.Edge{shows("a", "s", 0.5)}, []link.Rate{
		{Of: "a", Figure: figure(0.04, 0.025), Note: "mode/a.md"},
		{Of: "s", Figure: figure(0.001, 0.001), Note: "symptom/s.md"},
	})
	for id, want := range map[note.ID]link.Rate{
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
	g := stored(t, []link.Edge{shows("a", "s", 0.5)}, nil)
	out, err := g.Out(t.Context(), "nobody")
	require.NoError(t, err)
	assert.Empty(t, out)
	in, err := g.In(t.Context(), "nobody")
	require.NoError(t, err)
	assert.Empty(t, in)
	tree, err := link.Tree(t.Context(), g, "nobody", link.Back, link.MaxDepth)
	require.NoError(t, err)
	assert.Equal(t, &link.Branch{ID: "nobody"}, tree)
	closure, err := link.Closure(t.Context(), g, "nobody", link.IsA)
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
