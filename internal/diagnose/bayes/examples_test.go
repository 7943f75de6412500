package bayes_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/bench/discrete"
)

const no, yes = 0, 1

func root(name string, p float64) discrete.Node {
	return discrete.Node{Name: name, States: []string{"no", "yes"}, Table: []float64{1 - p, p}}
}

// yesNo is a node of two states; p holds the probability of yes for each
// combination of the parents, no before yes, the last parent changing fastest.
func yesNo(name string, parents []int, p ...float64) discrete.Node {
	n := discrete.Node{Name: name, States: []string{"no", "yes"}, Parents: parents}
	for _, x := range p {
		n.Table = append(n.Table, 1-x, x)
	}
	return n
}

// Pearl 1988, "Probabilistic Reasoning in Intelligent Systems", section 2.2: the
// burglary and the alarm, with the tables as they are usually quoted, from memory;
// results by enumeration.
func TestBurglaryAndAlarm(t *testing.T) {
	t.Parallel()
	const burglary, earthquake, alarm, john, mary = 0, 1, 2, 3, 4
	n := discrete.Network{Nodes: []discrete.Node{
		root("burglary", 0.001), root("earthquake", 0.002),
		yesNo("alarm", []int{burglary, earthquake}, 0.001, 0.29, 0.94, 0.95),
		yesNo("john", []int{alarm}, 0.05, 0.90), yesNo("mary", []int{alarm}, 0.01, 0.70),
	}}
	for _, c := range []struct {
		given []int
		of    int
		want  float64
	}{
		{[]int{john, mary}, burglary, 0.284171835},
		{[]int{john, mary}, earthquake, 0.176066838},
		{[]int{alarm}, burglary, 0.373551228},
		{[]int{alarm, earthquake}, burglary, 0.003268424}, // explained away
	} {
		var findings []discrete.Finding
		for _, g := range c.given {
			findings = append(findings, n.Seen(g, yes))
		}
		p, err := n.Infer(findings, c.of)
		require.NoError(t, err)
		assert.InDelta(t, c.want, p.Marginals[c.of][yes], 1e-9)
		assert.Nil(t, p.Marginals[(c.of+1)%2], "was not asked for")
	}
}

// Russell and Norvig, "Artificial Intelligence: A Modern Approach", section on
// noisy-OR: fever from cold, flu and malaria with inhibitions 0.6, 0.2 and 0.1.
func TestNoisyOrFever(t *testing.T) {
	t.Parallel()
	n := discrete.Network{Nodes: []discrete.Node{root("cold", 0.1), root("flu", 0.1), root("malaria", 0.1), {
		Name: "fever", States: []string{"no", "yes"}, Parents: []int{0, 1, 2}, Gate: discrete.NoisyOR(0, 0.4, 0.8, 0.9),
	}}}
	require.NoError(t, n.Check())
	for _, c := range []struct {
		states [3]int
		want   float64
	}{
		{[3]int{no, no, no}, 0}, {[3]int{yes, no, no}, 0.4}, {[3]int{yes, yes, no}, 0.88},
		{[3]int{yes, no, yes}, 0.94}, {[3]int{no, yes, yes}, 0.98}, {[3]int{yes, yes, yes}, 0.988},
	} {
		var findings []discrete.Finding
		for i, s := range c.states {
			findings = append(findings, n.Seen(i, s))
		}
		p, err := n.Infer(findings, 3)
		require.NoError(t, err)
		assert.InDelta(t, c.want, p.Marginals[3][yes], 1e-12)
	}
}

// One disease, one test: Eddy 1982 (mammography: prior 1 in 100, sensitivity 0.8,
// specificity 0.904) and Casscells et al. 1978 (prior 1 in 1000, 1, 0.95).
func TestOneTest(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ prior, sensitivity, specificity, want float64 }{
		{0.01, 0.8, 0.904, 0.077640},
		{0.001, 1, 0.95, 0.019627},
	} {
		n := discrete.Network{Nodes: []discrete.Node{root("disease", c.prior), yesNo("test", []int{0}, 1-c.specificity, c.sensitivity)}}
		p, err := n.Infer([]discrete.Finding{n.Seen(1, yes)})
		require.NoError(t, err)
		assert.InDelta(t, c.want, p.Marginals[0][yes], 1e-6)
	}
}

// Virtual evidence (Pearl 1988, section 2.2.2): a witness who is four times as
// likely to say so if it is true multiplies the odds by four.
func TestDoubtfulFindingMultipliesTheOdds(t *testing.T) {
	t.Parallel()
	n := discrete.Network{Nodes: []discrete.Node{root("burglary", 0.0001), yesNo("alarm", []int{0}, 0.01, 0.95)}}
	p, err := n.Infer([]discrete.Finding{{Node: 1, Likelihood: []float64{0.2, 0.8}}})
	require.NoError(t, err)
	before := (1-0.0001)*(0.01*4+0.99) + 0.0001*(0.95*4+0.05)
	assert.InDelta(t, 0.0001*(0.95*4+0.05)/before, p.Marginals[0][yes], 1e-12)
}

// IEC 61025: the top event of an OR gate is 1 - prod(1-p), of an AND gate prod p.
func TestFaultTreeGates(t *testing.T) {
	t.Parallel()
	or := discrete.Network{Nodes: []discrete.Node{root("a", 0.05), root("b", 0.02), root("c", 0.01), {
		Name: "top", States: []string{"no", "yes"}, Parents: []int{0, 1, 2}, Gate: discrete.NoisyOR(0, 1, 1, 1),
	}}}
	p, err := or.Infer(nil, 3)
	require.NoError(t, err)
	assert.InDelta(t, 0.07831, p.Marginals[3][yes], 1e-9)

	and := discrete.Network{Nodes: []discrete.Node{root("a", 0.05), root("b", 0.02), yesNo("top", []int{0, 1}, 0, 0, 0, 1)}}
	p, err = and.Infer(nil, 2)
	require.NoError(t, err)
	assert.InDelta(t, 0.001, p.Marginals[2][yes], 1e-12)
}

// The pressure tank of NUREG-0492 (Vesely et al. 1981), with the failure
// probabilities and minimal cut sets T, K2, S·S1, S·K1, S·R.
func TestPressureTank(t *testing.T) {
	t.Parallel()
	const tank, k2, s, s1, k1, r, any, and, top = 0, 1, 2, 3, 4, 5, 6, 7, 8
	certain := func(name string, parents ...int) discrete.Node {
		ones := make([]float64, len(parents))
		for i := range ones {
			ones[i] = 1
		}
		return discrete.Node{Name: name, States: []string{"no", "yes"}, Parents: parents, Gate: discrete.NoisyOR(0, ones...)}
	}
	n := discrete.Network{Nodes: []discrete.Node{
		root("T", 5e-6), root("K2", 3e-5), root("S", 1e-4), root("S1", 3e-5), root("K1", 3e-5), root("R", 1e-4),
		certain("S1, K1 or R", s1, k1, r), yesNo("with S", []int{s, any}, 0, 0, 0, 1), certain("rupture", tank, k2, and),
	}}
	p, err := n.Infer(nil, top)
	require.NoError(t, err)
	assert.InEpsilon(t, 3.50158488e-5, p.Marginals[top][yes], 1e-8)

	// Given the rupture, the share of each cut set is its importance.
	p, err = n.Infer([]discrete.Finding{n.Seen(top, yes)})
	require.NoError(t, err)
	assert.InEpsilon(t, 3e-5/3.50158488e-5, p.Marginals[k2][yes], 1e-4)
}
