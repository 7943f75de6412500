package link_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/library/bundle"
	"kg/internal/link"
	"kg/internal/note"
)

// drawn writes a tree out as an outline: an entry a line, indented, with what
// was cut.
func drawn(b *link.Branch) string {
	var out strings.Builder
	var draw func(b *link.Branch, indent int)
	draw = func(b *link.Branch, indent int) {
		fmt.Fprintf(&out, "%s%s", strings.Repeat("  ", indent), b.ID)
		if b.Edge.Link != "" {
			fmt.Fprintf(&out, " (%s %s %s)", b.Edge.From, b.Edge.Link, b.Edge.To)
		}
		if b.Cut != "" {
			fmt.Fprintf(&out, " cut: %s", b.Cut)
		}
		fmt.Fprintln(&out)
		for _, below := range b.Branches {
			draw(below, indent+1)
		}
	}
	draw(b, 0)
	return out.String()
}

func outline(lines ...string) string { return strings.Join(lines, "\n") + "\n" }

// pump is a small network: sludge seizes the pump, the pump overheats the
// exchanger, and both show; scale shows the same as the exchanger.
func pump(t *testing.T) bundle.Links {
	return stored(t, []link.Edge{
		leads("sludge", "pump-seized", 0.6),
		leads("pump-seized", "exchanger-overheats", 0.9),
		shows("sludge", "cold-radiators", 0.7),
		shows("pump-seized", "cold-radiators", 0.9),
		shows("exchanger-overheats", "kettling", 0.8),
		shows("scale", "kettling", 0.95),
		plain("pump-seized", link.Component, "pump"),
		{From: "kettling", Link: link.UsualCauses, To: "scale", Figure: figure(0.9, 0.9), Note: "symptom/kettling.md"},
	}, nil)
}

func TestBackLeadsFromASymptomToTheCausesOfItsCauses(t *testing.T) {
	t.Parallel()
	tree, err := link.Tree(t.Context(), pump(t), "kettling", link.Back, link.MaxDepth)
	require.NoError(t, err)
	assert.Equal(t, outline(
		"kettling",
		"  scale (scale shows kettling)",
		"  exchanger-overheats (exchanger-overheats shows kettling)",
		"    pump-seized (pump-seized leads-to exchanger-overheats)",
		"      sludge (sludge leads-to pump-seized)",
	), drawn(tree))
}

func TestAheadLeadsFromAModeToAllThatItBringsAbout(t *testing.T) {
	t.Parallel()
	tree, err := link.Tree(t.Context(), pump(t), "sludge", link.Ahead, link.MaxDepth)
	require.NoError(t, err)
	assert.Equal(t, outline(
		"sludge",
		"  pump-seized (sludge leads-to pump-seized)",
		"    exchanger-overheats (pump-seized leads-to exchanger-overheats)",
		"      kettling (exchanger-overheats shows kettling)",
		"    cold-radiators (pump-seized shows cold-radiators)",
		"  cold-radiators (sludge shows cold-radiators)",
	), drawn(tree), "an entry on two branches is written out on both")
}

func TestACycleIsCutWhereItClosesAndMarked(t *testing.T) {
	t.Parallel()
	g := stored(t, []link.Edge{leads("a", "b", 0.5), leads("b", "c", 0.5), leads("c", "a", 0.5), leads("b", "b", 0.4)}, nil)
	tree, err := link.Tree(t.Context(), g, "a", link.Ahead, link.MaxDepth)
	require.NoError(t, err)
	assert.Equal(t, outline(
		"a",
		"  b (a leads-to b)",
		"    c (b leads-to c)",
		"      a (c leads-to a) cut: cycle",
		"    b (b leads-to b) cut: cycle",
	), drawn(tree))
}

func TestAnEntryOnTwoBranchesIsNoCycle(t *testing.T) {
	t.Parallel()
	g := stored(t, []link.Edge{leads("a", "b", 0.5), leads("a", "c", 0.4), leads("b", "d", 0.5), leads("c", "d", 0.5), leads("d", "e", 0.5)}, nil)
	tree, err := link.Tree(t.Context(), g, "a", link.Ahead, link.MaxDepth)
	require.NoError(t, err)
	assert.Equal(t, outline(
		"a",
		"  b (a leads-to b)",
		"    d (b leads-to d)",
		"      e (d leads-to e)",
		"  c (a leads-to c)",
		"    d (c leads-to d)",
		"      e (d leads-to e)",
	), drawn(tree))
}

func TestATreeIsCutAtItsDepthOnlyWhereMoreWouldFollow(t *testing.T) {
	t.Parallel()
	g := stored(t, []link.Edge{leads("a", "b", 0.5), leads("b", "c", 0.5), leads("a", "leaf", 0.4)}, nil)
	for depth, want := range map[int]string{
		-1: outline("a cut: depth"),
		0:  outline("a cut: depth"),
		1:  outline("a", "  b (a leads-to b) cut: depth", "  leaf (a leads-to leaf)"),
		2:  outline("a", "  b (a leads-to b)", "    c (b leads-to c)", "  leaf (a leads-to leaf)"),
	} {
		tree, err := link.Tree(t.Context(), g, "a", link.Ahead, depth)
		require.NoError(t, err)
		assert.Equal(t, want, drawn(tree), "depth %d", depth)
	}
}

func TestNoTreeIsDeeperThanTheGreatestDepth(t *testing.T) {
	t.Parallel()
	name := func(i int) note.ID { return note.ID(fmt.Sprintf("m%02d", i)) }
	var edges []link.Edge
	for i := range link.MaxDepth + 5 {
		edges = append(edges, leads(name(i), name(i+1), 0.5))
	}
	tree, err := link.Tree(t.Context(), stored(t, edges, nil), name(0), link.Ahead, 1000)
	require.NoError(t, err)
	depth := 0
	for ; len(tree.Branches) > 0; depth++ {
		require.Len(t, tree.Branches, 1)
		tree = tree.Branches[0]
	}
	assert.Equal(t, link.MaxDepth, depth)
	assert.Equal(t, link.TooDeep, tree.Cut)
}

func TestATreeThatGrowsTooLargeIsCutAndMarked(t *testing.T) {
	t.Parallel()
	// Each of width entries leads to width others of its own: too many together
	// with those above them.
	const width = 50
	var edges []link.Edge
	for i := range width {
		first := note.ID(fmt.Sprintf("m%02d", i))
		edges = append(edges, leads("root", first, 0.5))
		for j := range width {
			edges = append(edges, leads(first, note.ID(fmt.Sprintf("m%02d-%02d", i, j)), 0.5))
		}
	}
	require.Greater(t, len(edges)+1, link.MaxBranches)
	tree, err := link.Tree(t.Context(), stored(t, edges, nil), "root", link.Ahead, link.MaxDepth)
	require.NoError(t, err)

	size, cut := 0, 0
	var count func(*link.Branch)
	count = func(b *link.Branch) {
		size++
		if b.Cut != "" {
			assert.Equal(t, link.TooMany, b.Cut)
			assert.Empty(t, b.Branches)
			cut++
		}
		for _, below := range b.Branches {
			count(below)
		}
	}
	count(tree)
	assert.LessOrEqual(t, size, link.MaxBranches)
	assert.Greater(t, size+width, link.MaxBranches, "there was no room for one more")
	assert.Equal(t, len(edges)+1, size+cut*width, "what is not there is what was cut")
}

func TestALinkOfSeveralNotesIsOneBranchAndTheStrongestCounts(t *testing.T) {
	t.Parallel()
	second := leads("a", "c", 0.3)
	second.Note = "team/mode/a.md"
	// The weaker of the two comes after another link in the order of strength.
	g := stored(t, []link.Edge{leads("a", "c", 0.9), leads("a", "b", 0.6), second}, nil)
	tree, err := link.Tree(t.Context(), g, "a", link.Ahead, link.MaxDepth)
	require.NoError(t, err)
	require.Equal(t, outline("a", "  c (a leads-to c)", "  b (a leads-to b)"), drawn(tree))
	assert.InDelta(t, 0.9, tree.Branches[0].Edge.Figure.Stated, 0)
}

func TestTheClosureHoldsAllThatCanBeReachedOnceNearestFirst(t *testing.T) {
	t.Parallel()
	g := stored(t, []link.Edge{
		isA("quillcote-20", "combination"), isA("combination", "boiler"), isA("boiler", "appliance"),
		isA("quillcote-20", "condensing"), isA("condensing", "boiler"), isA("appliance", "combination"),
		has("boiler", "pump"), has("pump", "rotor"), has("quillcote-20", "sensor"),
	}, nil)
	for _, c := range []struct {
		links []link.Name
		want  []note.ID
	}{
		{[]link.Name{link.IsA}, []note.ID{"quillcote-20", "combination", "condensing", "boiler", "appliance"}},
		{[]link.Name{link.Has}, []note.ID{"quillcote-20", "sensor"}},
		{[]link.Name{link.IsA, link.Has}, []note.ID{"quillcote-20", "sensor", "combination", "condensing", "boiler", "pump", "appliance", "rotor"}},
	} {
		got, err := link.Closure(t.Context(), g, "quillcote-20", c.links...)
		require.NoError(t, err)
		assert.Equal(t, c.want, got, "links %q", c.links)
	}
}

// stored holds links in memory; the store on disk is checked against the same.
func stored(t *testing.T, edges []link.Edge, rates []link.Rate) bundle.Links {
	t.Helper()
	return bundle.LinksOf(edges, rates)
}

func figure(stated, used float64) link.Figure {
	return link.Figure{Stated: stated, Used: used, Given: true}
}

// shows and leads are causal links with one figure, each said by the note of the
// mode it starts from.
func shows(from, to note.ID, p float64) link.Edge { return causal(from, link.Shows, to, p) }
func leads(from, to note.ID, p float64) link.Edge { return causal(from, link.LeadsTo, to, p) }
func isA(from, to note.ID) link.Edge              { return plain(from, link.IsA, to) }
func has(from, to note.ID) link.Edge              { return plain(from, link.Has, to) }
func noteOf(id note.ID) string                    { return "mode/" + string(id) + ".md" }
func plain(from note.ID, l link.Name, to note.ID) link.Edge {
	return link.Edge{From: from, Link: l, To: to, Note: noteOf(from)}
}

func causal(from note.ID, l link.Name, to note.ID, p float64) link.Edge {
	e := plain(from, l, to)
	e.Figure = figure(p, p)
	return e
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
	edges := link.Of(n, func(id note.ID) bool { return id != "left-out" })
	// The middle of "unlikely" is 0.165; source: IPCC AR5 guidance note, table 1,
	// 0 to 33 %.
	assert.Equal(t, []link.Edge{
		plain("valve-stuck", link.Component, "valve"),
		shows("valve-stuck", "no-heat", 0.9),
		shows("valve-stuck", "noise", 0.165),
		plain("valve-stuck", "settled-by", "tap-it"),
	}, edges, "twice said counts once, links to what was left out are left out")
}
