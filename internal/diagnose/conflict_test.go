package diagnose

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// pumpTests are a test that finds a stuck pump and one that hears it, each wrong in one
// case of so many.
func pumpTests(wrong float64) (turns, hears Test) {
	two := func(id, yes, no string) Test {
		return Test{ID: ID(id), Results: []Result{
			{Name: yes, Given: map[ID]float64{"stuck": 1 - wrong}, Otherwise: wrong},
			{Name: no, Given: map[ID]float64{"stuck": wrong}, Otherwise: 1 - wrong},
		}}
	}
	return two("turn it", "stands", "turns"), two("listen", "hums", "runs")
}

// Two tests that settle one cause and say the opposite are named, both of them, with the
// measure of Jensen and others (1991) given all the rest.
func TestTestsThatSayTheOppositeAreNamed(t *testing.T) {
	t.Parallel()
	m := Model{
		Causes: []Cause{{"stuck", 0.05}, {"dead", 0.03}},
		Shows:  []Link{{"stuck", "no-flow", 0.9}, {"dead", "no-flow", 0.9}},
		Leak:   map[ID]float64{"no-flow": 1e-6},
	}
	turns, hears := pumpTests(0.05)
	e := findings(seen("no-flow"))
	e.Outcomes = []Outcome{turns.Seen("turn it: stands", 0), hears.Seen("listen: runs", 1)}
	b := posterior(t, m, e)
	require.Len(t, b.Conflicts, 1)
	c := b.Conflicts[0]
	assert.ElementsMatch(t, []string{"turn it: stands", "listen: runs"}, []string{c.Label, c.With})
	// By enumeration: P(a|s) P(b|s) / P(a, b|s).
	stuck, neither := 0.0, 0.0
	for _, w := range []struct{ stuck, dead float64 }{{1, 0}, {0, 1}, {1, 1}} {
		p := 1.0
		p *= w.stuck*0.05 + (1-w.stuck)*0.95
		p *= w.dead*0.03 + (1-w.dead)*0.97
		p *= 1 - math.Pow(0.1, w.stuck+w.dead)
		if w.stuck == 1 {
			stuck += p
		} else {
			neither += p
		}
	}
	of := func(a, b float64) float64 { return (a*stuck + b*neither) / (stuck + neither) }
	const slipped = 0.05*0.999 + 0.0005 // a slip in a thousand, see likely
	want := math.Log2(of(1-slipped, slipped) * of(slipped, 1-slipped) / of((1-slipped)*slipped, slipped*(1-slipped)))
	assert.InDelta(t, want, c.Bits, 0.02)

	e.Outcomes[1] = hears.Seen("listen: hums", 0)
	assert.Empty(t, posterior(t, m, e).Conflicts, "they agree")
	turns, hears = pumpTests(0.3)
	e.Outcomes = []Outcome{turns.Seen("turn it: stands", 0), hears.Seen("listen: runs", 1)}
	assert.Empty(t, posterior(t, m, e).Conflicts, "tests that are often wrong often disagree")
}

// What does not go with the rest is named with the one that it goes with least.
func TestAConflictNamesTheFindingItGoesWithLeast(t *testing.T) {
	t.Parallel()
	m := Model{
		Causes: []Cause{{"stuck", 0.02}, {"leak", 0.02}},
		Shows:  []Link{{"stuck", "no-flow", 0.99}, {"leak", "wet", 0.99}},
		Leak:   map[ID]float64{"no-flow": 1e-5, "wet": 1e-5},
	}
	turns, _ := pumpTests(0.01)
	e := findings(seen("no-flow"), seen("wet"))
	e.Outcomes = []Outcome{turns.Seen("pump turns", 1)}
	b := posterior(t, m, e)
	require.NotEmpty(t, b.Conflicts)
	for _, c := range b.Conflicts {
		assert.NotEqual(t, "wet", c.Label)
		assert.NotEqual(t, "wet", c.With, "the leak has nothing to do with it")
	}
}
