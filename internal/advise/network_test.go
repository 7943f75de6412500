package advise

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"

	"kg/internal/diagnose"
	"kg/internal/hear"
	"kg/internal/link"
	"kg/internal/note"
)

// drawn is a network of links as they are given: of modes that show a symptom, and of
// modes that lead to others.
func drawn(shows, leads map[[2]note.ID]float64) *network {
	n := &network{modes: map[note.ID]*modeNode{}}
	mode := func(id note.ID) *modeNode {
		if n.modes[id] == nil {
			n.modes[id] = &modeNode{mode: &note.Mode{Component: "of-" + id}}
		}
		return n.modes[id]
	}
	figure := func(p float64) link.Figure { return link.Figure{Stated: p, Used: p, Given: true} }
	for l, p := range shows {
		m := mode(l[0])
		m.shows = append(m.shows, link.Edge{From: l[0], Link: link.Shows, To: l[1], Figure: figure(p)})
	}
	for l, p := range leads {
		mode(l[0])
		m := mode(l[1])
		m.behind = append(m.behind, link.Edge{From: l[0], Link: link.LeadsTo, To: l[1], Figure: figure(p)})
	}
	return n
}

// modesOf are the modes that a chain passes, from the symptom on.
func modesOf(steps []Step) []note.ID {
	var out []note.ID
	for _, s := range steps {
		if s.Link != linkOf {
			out = append(out, s.To)
		}
	}
	return out
}

var noFlow = []hear.Finding{{Present: true, Senses: []hear.Sense{{ID: "no-flow"}}}}

// A chain is as strong as its links multiplied.
func TestTheStrongestChainIsShown(t *testing.T) {
	t.Parallel()
	n := drawn(
		map[[2]note.ID]float64{{"strong-then-weak", "no-flow"}: 0.9, {"weak-then-strong", "no-flow"}: 0.5},
		map[[2]note.ID]float64{{"root", "strong-then-weak"}: 0.3, {"root", "weak-then-strong"}: 0.8})
	assert.Equal(t, []note.ID{"weak-then-strong", "root"}, modesOf(n.path("root", noFlow)), "0.5 x 0.8 beside 0.9 x 0.3")
}

func TestWhatShowsTheSymptomItselfNeedsNoChain(t *testing.T) {
	t.Parallel()
	n := drawn(
		map[[2]note.ID]float64{{"other", "no-flow"}: 0.9, {"root", "no-flow"}: 0.05, {"root", "noise"}: 0.9},
		map[[2]note.ID]float64{{"root", "other"}: 0.9})
	assert.Equal(t, []Step{
		{From: "no-flow", Link: linkShownBy, To: "root", Figure: 0.05},
		{From: "root", Link: linkOf, To: "of-root"},
	}, n.path("root", noFlow))
}

// Four modes in a row are a chain that one can follow; a fifth is left out.
func TestALongChainIsNotShown(t *testing.T) {
	t.Parallel()
	leads := map[[2]note.ID]float64{}
	for i := range 4 {
		leads[[2]note.ID{note.ID(fmt.Sprint("m", i+1)), note.ID(fmt.Sprint("m", i))}] = 0.9
	}
	n := drawn(map[[2]note.ID]float64{{"m0", "no-flow"}: 0.9}, leads)
	assert.Equal(t, []note.ID{"m0", "m1", "m2", "m3"}, modesOf(n.path("m3", noFlow)))
	assert.Empty(t, modesOf(n.path("m4", noFlow)))
}

// What was worked on last has three times the odds, unless its note says how many; what
// holds at the place multiplies with that.
func TestWhatIsKnownMultipliesTheOdds(t *testing.T) {
	t.Parallel()
	n := drawn(map[[2]note.ID]float64{{"plain", "no-flow"}: 0.5, {"stated", "no-flow"}: 0.5, {"frosty", "no-flow"}: 0.5, {"apart", "no-flow"}: 0.5}, nil)
	for _, id := range n.known() {
		n.model.Causes = append(n.model.Causes, diagnose.Cause{ID: id})
		n.modes[id].mode.Component = "pump"
	}
	n.modes["apart"].mode.Component = "fan"
	n.modes["stated"].mode.Likelier = []note.Factor{{In: note.WorkedOn, Times: 20}}
	n.modes["frosty"].mode.Likelier = []note.Factor{{In: note.Frost, Times: 5}, {In: note.Summer, Times: 0.1}}
	n.know(Question{WorkedOn: []note.ID{"pump"}, Given: []note.Context{note.Frost}})
	assert.Equal(t, map[diagnose.ID]float64{"plain": 3, "stated": 20, "frosty": 15}, n.model.Times)
}
