package parts

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/graph/simple"
	"gonum.org/v1/gonum/graph/topo"
	"gonum.org/v1/gonum/graph/traverse"
	"pgregory.net/rapid"

	"kg/internal/place"
)

// listOf reads a catalogue of one maker: number, type, superseded-by, and what else
// the header says.
func listOf(t testing.TB, text string) []*Part {
	t.Helper()
	list, problems := readAll(t, text)
	require.Empty(t, problems)
	return list
}

func lookIn(list []*Part) Lookup {
	byID := map[ID]*Part{}
	for _, p := range list {
		byID[p.ID] = p
	}
	return func(id ID) (*Part, error) { return byID[id], nil }
}

func assembled(t testing.TB, text string) []*Part {
	t.Helper()
	list, problems := Assemble(listOf(t, text), func(*Part) int { return 0 })
	require.Empty(t, problems)
	return list
}

func ferrow(number string) ID { return IDOf("Ferrow", number) }

// said is what is ordered today, in words.
func said(sets []Set) []string {
	var out []string
	for _, s := range sets {
		text := ""
		for i, it := range s.Items {
			if i > 0 {
				text += " + "
			}
			if it.Count > 1 {
				text += fmt.Sprintf("%d x ", it.Count)
			}
			text += it.Part.Number
			if it.End != "" {
				text += fmt.Sprintf(" (%s)", it.End)
			}
		}
		if !s.Serials.all() {
			text += " [" + s.Serials.String() + "]"
		}
		if len(s.Needs) > 0 {
			text += " needs " + strings.Join(s.Needs, ", ")
		}
		out = append(out, text)
	}
	return out
}

func TestTodaysNumber(t *testing.T) {
	t.Parallel()
	list := assembled(t, `number,maker,type,status,superseded-by
A-1,Ferrow,pump,,A-2
A-2,Ferrow,pump,,A-3
A-3,Ferrow,pump,,A-4
A-4,Ferrow,pump,,A-5
A-5,Ferrow,pump,,
B-1,Ferrow,pump,,B-2 [serial ..1999] | B-3 [serial 2000..; needs harness B-9]
B-2,Ferrow,pump,,B-4
B-3,Ferrow,pump,,
B-4,Ferrow,pump,,B-5 [serial ..999] | B-6 [serial 1000..]
B-5,Ferrow,pump,,
B-6,Ferrow,pump,,
K-1,Ferrow,pump,,K-2 + 2 x K-3
K-2,Ferrow,pump,,
K-3,Ferrow,pump,,2 x K-4 [needs glue]
K-4,Ferrow,pump,,
W-1,Ferrow,pump,,W-2
W-2,Ferrow,pump,withdrawn,
U-1,Ferrow,pump,,U-2
S-1,Ferrow,pump,superseded,
L-1,Ferrow,pump,,L-2
L-2,Ferrow,pump,,L-1
R-1,Ferrow,pump,,R-2 [serial 10..20]
R-2,Ferrow,pump,,
`)
	for _, c := range []struct {
		number string
		serial Serial
		want   []string
	}{
		{"A-1", "", []string{"A-5"}},
		{"A-5", "", []string{"A-5"}},
		{"B-1", "", []string{"B-5 [..999]", "B-6 [1000..1999]", "B-3 [2000..] needs harness B-9"}},
		{"B-1", "1500", []string{"B-6 [1000..1999]"}},
		{"B-1", "2000", []string{"B-3 [2000..] needs harness B-9"}},
		{"K-1", "", []string{"K-2 + 4 x K-4 needs glue"}},
		{"W-1", "", []string{"W-2 (withdrawn)"}},
		{"U-1", "", []string{"U-2 (not in any list)"}},
		{"S-1", "", []string{"S-1 (superseded, and by what is not said)"}},
		{"L-1", "", []string{"L-1 (leads back to an earlier number)"}},
		{"R-1", "21", []string{"R-1 (no branch for this serial number)"}},
		{"X-1", "", []string{" (not in any list)"}},
	} {
		chain, err := Follow(lookIn(list), ferrow(c.number), c.serial)
		require.NoError(t, err)
		assert.Equal(t, c.want, said(chain.Today()), "%s %s", c.number, c.serial)
	}
	older, err := Older(lookIn(list), ferrow("A-5"))
	require.NoError(t, err)
	var numbers []string
	for _, p := range older {
		numbers = append(numbers, p.Number)
	}
	assert.Equal(t, []string{"A-4", "A-3", "A-2", "A-1"}, numbers, "the nearest first")
}

// supersessions draws a graph of numbers, with loops or without.
func supersessions(t *rapid.T, loops bool) ([]*Part, *simple.DirectedGraph) {
	n := rapid.IntRange(1, 12).Draw(t, "numbers")
	g := simple.NewDirectedGraph()
	list := make([]*Part, n)
	for i := range list {
		number := fmt.Sprintf("A-%d", 100+i)
		list[i] = &Part{ID: ferrow(number), Number: number, Maker: "Ferrow", Type: "pump", Where: place.Pos{File: "list.csv", Line: i + 2}}
		g.AddNode(simple.Node(i))
	}
	for range rapid.IntRange(0, 2*n).Draw(t, "steps") {
		from, to := rapid.IntRange(0, n-1).Draw(t, "from"), rapid.IntRange(0, n-1).Draw(t, "to")
		if from == to || !loops && from > to || g.HasEdgeFromTo(int64(from), int64(to)) {
			continue
		}
		g.SetEdge(g.NewEdge(simple.Node(from), simple.Node(to)))
		list[from].By = append(list[from].By, Succession{By: []Item{{list[to].ID, list[to].Number, 1}}})
	}
	return list, g
}

// What a number leads to is what a general graph library reaches from it.
func TestTheClosureIsThatOfAGraphLibrary(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		list, g := supersessions(t, true)
		from := rapid.IntRange(0, len(list)-1).Draw(t, "asked")
		chain, err := Follow(lookIn(list), list[from].ID, "")
		if err != nil {
			require.ErrorContains(t, err, "branch into more than")
			return
		}
		var want []ID
		walk := traverse.BreadthFirst{}
		walk.Walk(g, g.Node(int64(from)), nil)
		for i, p := range list {
			if walk.Visited(g.Node(int64(i))) {
				want = append(want, p.ID)
			}
		}
		got := reached(chain)
		slices.Sort(got)
		slices.Sort(want)
		require.Equal(t, want, got)
	})
}

// A loop is reported where a general graph library finds one, and nowhere else.
func TestLoopsAreThoseOfAGraphLibrary(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		list, g := supersessions(t, rapid.Bool().Draw(t, "loops"))
		want := 0
		for _, set := range topo.TarjanSCC(g) {
			if len(set) > 1 {
				want++
			}
		}
		got := 0
		for _, p := range Check(list) {
			if p.Rule == "supersession-cycle" {
				got++
			}
		}
		require.Equal(t, want, got)
	})
}

// What is followed back from the end of a chain is what leads to it.
func TestOlderIsFollowTurnedRound(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		list, _ := supersessions(t, false)
		list, problems := Assemble(list, func(*Part) int { return 0 })
		require.Empty(t, problems)
		look := lookIn(list)
		asked := rapid.SampledFrom(list).Draw(t, "asked")
		older, err := Older(look, asked.ID)
		require.NoError(t, err)
		for _, p := range list {
			chain, err := Follow(look, p.ID, "")
			require.NoError(t, err)
			leads := p.ID != asked.ID && slices.Contains(reached(chain), asked.ID)
			require.Equal(t, leads, slices.Contains(older, p), "%s -> %s", p.Number, asked.Number)
		}
	})
}

func TestListsThatBranchWithoutEndAreAnError(t *testing.T) {
	t.Parallel()
	var list []*Part
	for i := range 30 { // two ways to each next number: 2^30 ways to the last
		p := &Part{ID: ferrow(fmt.Sprint("A", i+1)), Number: fmt.Sprint("A", i+1), Maker: "Ferrow"}
		next := Item{ferrow(fmt.Sprint("A", i+2)), fmt.Sprint("A", i+2), 1}
		p.By = []Succession{{By: []Item{next}}, {By: []Item{next}, Needs: []string{"an adapter"}}}
		list = append(list, p)
	}
	_, err := Follow(lookIn(list), list[0].ID, "")
	assert.ErrorContains(t, err, "kg lint")
}

func TestALongChainIsCheckedQuickly(t *testing.T) {
	t.Parallel()
	const long = 50_000
	list := make([]*Part, long)
	for i := range list {
		list[i] = &Part{ID: ferrow(fmt.Sprintf("A%06d", i+100000)), Number: fmt.Sprint(i), Maker: "Ferrow"}
	}
	for i := range list[:long-1] {
		list[i].By = []Succession{{By: []Item{{list[i+1].ID, list[i+1].Number, 1}}}}
	}
	assert.Empty(t, Check(list))
}

// reached are the ids of all parts that a chain leads to, the first one included,
// in the order in which they are met.
func reached(c *Chain) []ID {
	var out []ID
	seen := map[ID]bool{}
	var walk func(*Chain)
	walk = func(c *Chain) {
		if seen[c.Part.ID] {
			return
		}
		seen[c.Part.ID] = true
		out = append(out, c.Part.ID)
		for _, s := range c.Steps {
			for _, to := range s.To {
				walk(to)
			}
		}
	}
	walk(c)
	return out
}
