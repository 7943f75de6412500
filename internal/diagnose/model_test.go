package diagnose

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// The fever example of Russell and Norvig, "Artificial Intelligence: A Modern
// Approach", noisy-OR: cold, flu and malaria inhibit a fever with 0.6, 0.2 and
// 0.1. Inputs and results from memory; they are exact in two digits.
func TestNoisyORGivesThePublishedFever(t *testing.T) {
	t.Parallel()
	const cold, flu, malaria = 1 - 0.6, 1 - 0.2, 1 - 0.1
	for _, c := range []struct {
		name      string
		strengths []float64
		want      float64
	}{
		{"nothing", nil, 0},
		{"cold", []float64{cold}, 0.4},
		{"flu", []float64{flu}, 0.8},
		{"malaria", []float64{malaria}, 0.9},
		{"cold and flu", []float64{cold, flu}, 0.88},
		{"cold and malaria", []float64{cold, malaria}, 0.94},
		{"flu and malaria", []float64{flu, malaria}, 0.98},
		{"all three", []float64{cold, flu, malaria}, 0.988},
	} {
		assert.InDelta(t, c.want, NoisyOR(0, c.strengths...), 1e-12, c.name)
	}
}

func TestLeakActsAsOneMoreCause(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		strengths := rapid.SliceOfN(rapid.Float64Range(0, 1), 0, 5).Draw(t, "strengths")
		leak := rapid.Float64Range(0, 1).Draw(t, "leak")
		got := NoisyOR(leak, strengths...)
		assert.InDelta(t, NoisyOR(0, append(strengths, leak)...), got, 1e-12)
		assert.GreaterOrEqual(t, got, leak-1e-12, "more causes never make an effect rarer")
		assert.LessOrEqual(t, got, 1.0)
	})
}

// chain is a model of single links, each cause leading to the next with 0.5 and
// the last showing "seen" with 0.8.
func chain(causes int) Model {
	var m Model
	for i := range causes {
		m.Causes = append(m.Causes, Cause{ID(fmt.Sprint(i)), 0.01})
		if i > 0 {
			m.Leads = append(m.Leads, Link{ID(fmt.Sprint(i - 1)), ID(fmt.Sprint(i)), 0.5})
		}
	}
	m.Shows = []Link{{ID(fmt.Sprint(causes - 1)), "seen", 0.8}}
	return m
}

func TestChainIsAsStrongAsTheProductOfItsLinks(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		causes int
		want   float64 // 0.8 times 0.5 for each step
	}{
		{1, 0.8}, {2, 0.4}, {3, 0.2}, {4, 0.1}, {5, 0.05},
		{6, 0}, // five modes between the first one and what is seen: further than chains are followed
	} {
		m := chain(c.causes)
		assert.InDelta(t, c.want, m.network().strength("0", "seen"), 1e-12, "%d causes", c.causes)
	}
}

func TestWaysToOneSymptomCombineByNoisyOR(t *testing.T) {
	t.Parallel()
	m := Model{
		Causes: []Cause{{"top", 0.1}, {"left", 0.1}, {"right", 0.1}},
		Leads:  []Link{{"top", "left", 0.5}, {"top", "right", 0.4}},
		Shows:  []Link{{"left", "seen", 0.6}, {"right", "seen", 0.9}},
	}
	assert.InDelta(t, 1-(1-0.5*0.6)*(1-0.4*0.9), m.network().strength("top", "seen"), 1e-12)
}

func TestStatedLinkIsTheWholeOfIt(t *testing.T) {
	t.Parallel()
	m := Model{
		Causes: []Cause{{"top", 0.1}, {"below", 0.1}},
		Leads:  []Link{{"top", "below", 1}},
		Shows:  []Link{{"top", "seen", 0.1}, {"below", "seen", 1}},
	}
	assert.InDelta(t, 0.1, m.network().strength("top", "seen"), 0, "not raised by the chain through below")
	m.Shows[0].Strength = 0
	assert.Zero(t, m.network().strength("top", "seen"), "a stated never is stated too")
}

func TestStrongerOfTwoStatementsOfOneLinkCounts(t *testing.T) {
	t.Parallel()
	m := Model{Causes: []Cause{{"a", 0.1}}, Shows: []Link{{"a", "seen", 0.2}, {"a", "seen", 0.7}, {"a", "seen", 0.3}}}
	assert.InDelta(t, 0.7, m.network().strength("a", "seen"), 0)
}

func TestCausesInACircleDoNotHang(t *testing.T) {
	t.Parallel()
	m := Model{
		Causes: []Cause{{"a", 0.1}, {"b", 0.1}, {"c", 0.1}},
		Leads:  []Link{{"a", "b", 0.5}, {"b", "c", 0.5}, {"c", "a", 0.5}, {"a", "a", 1}},
		Shows:  []Link{{"c", "seen", 0.8}},
	}
	n := m.network()
	assert.InDelta(t, 0.2, n.strength("a", "seen"), 1e-12)
	b := posterior(t, m, findings(seen("seen")))
	assert.Equal(t, ID("c"), b.Causes[0].ID, "the shortest way is the strongest")
}
