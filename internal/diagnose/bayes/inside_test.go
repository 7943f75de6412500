package bayes

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestNothingIsLeftAsItIs(t *testing.T) {
	t.Parallel()
	p := []float64{0, 0}
	normalise(p)
	assert.Equal(t, []float64{0, 0}, p)
	p = []float64{1, 3}
	normalise(p)
	assert.Equal(t, []float64{0.25, 0.75}, p)
}

// Graphs of more variables than a word has bits keep every edge apart from the others.
func TestEdgesOfAGraphOfManyVariables(t *testing.T) {
	t.Parallel()
	const n = 200
	g := newGraph(n, nil)
	edge := func(v, w int) bool { return v != w && (v*w)%7 == 3 }
	for v := range n {
		for w := range v + 1 {
			if edge(v, w) {
				g.join(v, w)
				g.join(w, v)
			}
		}
		g.join(v, v)
	}
	for v := range n {
		degree := 0
		for w := range n {
			assert.Equal(t, edge(v, w), g.joined(v, w), "%d and %d", v, w)
			if edge(v, w) {
				degree++
			}
		}
		assert.Len(t, g.near[v], degree)
	}
}

// A square has no edge across: taking a corner out joins its two neighbours, and the
// other corner then stands in a triangle.
func TestTakingAVertexOutJoinsItsNeighbours(t *testing.T) {
	t.Parallel()
	g := newGraph(4, []Table{{Vars: []int{0, 1}}, {Vars: []int{1, 2}}, {Vars: []int{2, 3}}, {Vars: []int{3, 0}}})
	for v := range 4 {
		assert.Equal(t, 1, g.fill(v))
	}
	g.remove(0)
	assert.True(t, g.joined(1, 3))
	assert.False(t, g.joined(1, 0))
	for v := 1; v < 4; v++ {
		assert.Zero(t, g.fill(v))
		assert.Len(t, g.near[v], 2)
	}
	star := newGraph(5, []Table{{Vars: []int{0, 1}}, {Vars: []int{0, 2}}, {Vars: []int{0, 3}}, {Vars: []int{0, 4}}})
	assert.Equal(t, 6, star.fill(0))
	assert.Zero(t, star.fill(1))
}
