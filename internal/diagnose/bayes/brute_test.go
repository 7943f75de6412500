package bayes_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"kg/bench/discrete"
	"kg/internal/diagnose/bayes"
)

// randomNetwork has tables and gates, two and three states.
func randomNetwork(r *rand.Rand) discrete.Network {
	n := discrete.Network{}
	for v := range 2 + r.IntN(6) {
		node := discrete.Node{Name: fmt.Sprint(v), States: []string{"low", "high"}}
		if r.IntN(3) == 0 {
			node.States = append(node.States, "top")
		}
		rows := 1
		for u := range v {
			if r.IntN(v+1) < 2 && len(node.Parents) < 4 {
				node.Parents = append(node.Parents, u)
				rows *= len(n.Nodes[u].States)
			}
		}
		if len(node.Parents) > 0 && r.IntN(2) == 0 {
			node.Gate = &discrete.Gate{Leak: distribution(r, len(node.States))}
			for _, u := range node.Parents {
				effects := [][]float64{nil}
				for range len(n.Nodes[u].States) - 1 {
					effects = append(effects, distribution(r, len(node.States)))
				}
				node.Gate.Effects = append(node.Gate.Effects, effects)
			}
		} else {
			for range rows {
				node.Table = append(node.Table, distribution(r, len(node.States))...)
			}
		}
		n.Nodes = append(n.Nodes, node)
	}
	return n
}

func distribution(r *rand.Rand, k int) []float64 {
	out := make([]float64, k)
	sum := 0.0
	for i := range out {
		out[i] = r.ExpFloat64()
		if r.IntN(8) == 0 {
			out[i] = 0
		}
		sum += out[i]
	}
	if sum == 0 {
		out[0], sum = 1, 1
	}
	for i := range out {
		out[i] /= sum
	}
	return out
}

// conditional is the probability of a node's state in a world, by the definition
// of tables and gates: a gate takes the highest of what parents and leak bring
// about, so P(at most s) is a product.
func conditional(n discrete.Network, v int, world []int) float64 {
	node := n.Nodes[v]
	if node.Gate == nil {
		row := 0
		for _, p := range node.Parents {
			row = row*len(n.Nodes[p].States) + world[p]
		}
		return node.Table[row*len(node.States)+world[v]]
	}
	atMost := func(s int) float64 {
		p := cumulated(node.Gate.Leak, s)
		for i, parent := range node.Parents {
			p *= cumulated(node.Gate.Effects[i][world[parent]], s)
		}
		return p
	}
	return atMost(world[v]) - atMost(world[v]-1)
}

func cumulated(p []float64, s int) float64 {
	if s < 0 {
		return 0
	}
	if p == nil {
		return 1
	}
	sum := 0.0
	for _, x := range p[:s+1] {
		sum += x
	}
	return sum
}

// enumerate goes through all worlds.
func enumerate(n discrete.Network, findings []discrete.Finding) (marginals [][]float64, evidence float64) {
	for _, node := range n.Nodes {
		marginals = append(marginals, make([]float64, len(node.States)))
	}
	world := make([]int, len(n.Nodes))
	for {
		p := 1.0
		for v := range n.Nodes {
			p *= conditional(n, v, world)
		}
		for _, f := range findings {
			p *= f.Likelihood[world[f.Node]]
		}
		evidence += p
		for v, s := range world {
			marginals[v][s] += p
		}
		v := len(world) - 1
		for ; v >= 0; v-- {
			if world[v]++; world[v] < len(n.Nodes[v].States) {
				break
			}
			world[v] = 0
		}
		if v < 0 {
			return marginals, evidence
		}
	}
}

func TestAgreesWithEnumerationOnTenThousandRandomNetworks(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(7, 7))
	impossible := 0
	for range 10_000 {
		n := randomNetwork(r)
		require.NoError(t, n.Check())
		var findings []discrete.Finding
		for range r.IntN(4) {
			v := r.IntN(len(n.Nodes))
			f := n.Seen(v, r.IntN(len(n.Nodes[v].States)))
			if r.IntN(3) == 0 {
				f.Likelihood = distribution(r, len(f.Likelihood))
			}
			findings = append(findings, f)
		}
		want, evidence := enumerate(n, findings)
		got, err := n.Infer(findings)
		if evidence < 1e-12 {
			impossible++
			if err != nil {
				require.ErrorIs(t, err, bayes.ErrImpossible)
			}
			continue
		}
		require.NoError(t, err)
		require.InEpsilon(t, evidence, got.Evidence.Float(), 1e-9)
		for v := range want {
			for s := range want[v] {
				require.InDelta(t, want[v][s]/evidence, got.Marginals[v][s], 1e-9)
			}
		}
	}
	assert.Less(t, impossible, 2000, "most random findings are possible")
}

// Leaving nodes out that are not asked for changes nothing about the others.
func TestBarrenNodesDoNotMatter(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := randomNetwork(rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1)))
		asked := rapid.IntRange(0, len(n.Nodes)-1).Draw(t, "asked")
		seen := rapid.IntRange(0, len(n.Nodes)-1).Draw(t, "seen")
		findings := []discrete.Finding{n.Seen(seen, 0)}
		all, err := n.Infer(findings)
		one, err2 := n.Infer(findings, asked)
		require.Equal(t, err, err2)
		if err != nil {
			return
		}
		require.InEpsilon(t, all.Evidence.Float(), one.Evidence.Float(), 1e-9)
		require.InDeltaSlice(t, all.Marginals[asked], one.Marginals[asked], 1e-9)
	})
}

// drawChain draws a chain of three states over some variables, whose moves are
// stochastic.
func drawChain(t *rapid.T, vars []int) bayes.Chain {
	share := func() []float64 {
		p := rapid.SliceOfN(rapid.Float64Range(0.01, 1), 3, 3).Draw(t, "share")
		sum := p[0] + p[1] + p[2]
		return []float64{p[0] / sum, p[1] / sum, p[2] / sum}
	}
	move := slices.Concat(share(), []float64{0, 1, 0}, []float64{0, 0, 1})
	c := bayes.Chain{Start: share(), End: rapid.SliceOfN(rapid.Float64Range(0.01, 1), 3, 3).Draw(t, "end")}
	for _, v := range vars {
		c.Steps = append(c.Steps, bayes.Step{Var: v, Move: [][]float64{nil, move}})
	}
	return c
}

// What is left out, taken in again or weighed otherwise on a tree is as good as a
// tree made anew.
func TestChangingATreeIsAsGoodAsStartingAnew(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := bayes.Problem{Cards: []int{2, 2, 2, 2}}
		for v := range 4 {
			on := rapid.Float64Range(0.01, 0.9).Draw(t, "rate")
			p.Tables = append(p.Tables, bayes.Table{Vars: []int{v}, P: []float64{1 - on, on}})
		}
		p.Chains = []bayes.Chain{
			drawChain(t, []int{0, 1}), drawChain(t, []int{1, 2, 3}), drawChain(t, nil),
			{Start: []float64{0.7}, End: []float64{1}, Steps: []bayes.Step{{Var: 3, Move: [][]float64{nil, {0.4}}}}},
		}
		tree, err := bayes.NewTree(p)
		require.NoError(t, err)
		agree := func(now bayes.Problem) {
			got, gotEvidence, err := tree.Marginals()
			require.NoError(t, err)
			anew, err := bayes.NewTree(now)
			require.NoError(t, err)
			want, wantEvidence, err := anew.Marginals()
			require.NoError(t, err)
			require.InEpsilon(t, wantEvidence.Float(), gotEvidence.Float(), 1e-12)
			for v := range want {
				require.InDeltaSlice(t, want[v], got[v], 1e-12)
			}
		}
		agree(p)
		for i := range p.Chains {
			tree.Leave(i, true)
			without := p
			without.Chains = slices.Delete(slices.Clone(p.Chains), i, i+1)
			agree(without)
			tree.Leave(i, false)
			agree(p)
		}
		end := []float64{0.3, 0.2, 0.9}
		require.NoError(t, tree.Reweigh(1, end))
		p.Chains[1].End = end
		agree(p)
		require.Error(t, tree.Reweigh(3, []float64{1}))
		require.Error(t, tree.Reweigh(1, []float64{1, -1, 0}))
	})
}

// Sixteen positive findings of shared causes: signs that alternate would lose all
// digits here, the sum over all worlds does not.
func TestManyPositiveFindingsAgreeWithEnumeration(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(3, 9))
	n := discrete.Network{}
	const causes, effects = 12, 16
	for v := range causes {
		n.Nodes = append(n.Nodes, root(fmt.Sprint("cause ", v), 0.001+0.02*r.Float64()))
	}
	var findings []discrete.Finding
	for range effects {
		parents := r.Perm(causes)[:5]
		var strengths []float64
		for range parents {
			strengths = append(strengths, r.Float64())
		}
		n.Nodes = append(n.Nodes, discrete.Node{Name: "effect", States: []string{"no", "yes"}, Parents: parents, Gate: discrete.NoisyOR(1e-4, strengths...)})
	}
	want, evidence := make([]float64, causes), 0.0
	for world := range 1 << causes {
		p := 1.0
		for v := range causes {
			prior := n.Nodes[v].Table[yes]
			if world>>v&1 == 0 {
				prior = 1 - prior
			}
			p *= prior
		}
		for e := range effects {
			node := n.Nodes[causes+e]
			on := 1e-4 // summed up from below
			for i, parent := range node.Parents {
				if world>>parent&1 == 1 {
					on += (1 - on) * node.Gate.Effects[i][yes][yes]
				}
			}
			p *= on
		}
		evidence += p
		for v := range causes {
			if world>>v&1 == 1 {
				want[v] += p
			}
		}
	}
	for e := range effects {
		findings = append(findings, n.Seen(causes+e, yes))
	}
	got, err := n.Infer(findings)
	require.NoError(t, err)
	assert.InEpsilon(t, evidence, got.Evidence.Float(), 1e-12)
	for v := range causes {
		assert.InEpsilon(t, want[v]/evidence, got.Marginals[v][yes], 1e-11)
	}
}

func TestFindingsThatContradictEachOther(t *testing.T) {
	t.Parallel()
	n := discrete.Network{Nodes: []discrete.Node{root("a", 0.5), yesNo("b", []int{0}, 0, 1)}}
	_, err := n.Infer([]discrete.Finding{n.Seen(0, yes), n.Seen(1, no)})
	require.ErrorIs(t, err, bayes.ErrImpossible)
}

func TestAProbabilityTooSmallForAFloatKeepsItsDigits(t *testing.T) {
	t.Parallel()
	n := discrete.Network{}
	var findings []discrete.Finding
	for v := range 400 {
		n.Nodes = append(n.Nodes, root(fmt.Sprint(v), 0.1))
		findings = append(findings, n.Seen(v, yes))
	}
	p, err := n.Infer(findings)
	require.NoError(t, err)
	assert.Zero(t, p.Evidence.Float())
	assert.InEpsilon(t, 400*math.Log(0.1), p.Evidence.Log(), 1e-12)
}

// A square of cells that all hang on their neighbours grows too wide.
func TestTooWideIsSaidWithItsSize(t *testing.T) {
	t.Parallel()
	const side = 40
	p := bayes.Problem{}
	for v := range side * side {
		p.Cards = append(p.Cards, 2)
		for _, w := range []int{v + 1, v + side} {
			if w < side*side && (w != v+1 || w%side != 0) {
				p.Tables = append(p.Tables, bayes.Table{Vars: []int{v, w}, P: []float64{2, 1, 1, 2}})
			}
		}
	}
	_, err := bayes.NewTree(p)
	var wide *bayes.TooWide
	require.True(t, errors.As(err, &wide))
	assert.Greater(t, wide.Width, 28)
	assert.Greater(t, wide.Bytes, int64(bayes.MaxBytes))
	assert.ErrorContains(t, err, "MiB")
}

func TestWhatDoesNotFitTogetherIsSaid(t *testing.T) {
	t.Parallel()
	states := []string{"no", "yes"}
	for name, c := range map[string]struct {
		nodes []discrete.Node
		says  string
	}{
		"row":    {[]discrete.Node{{Name: "a", States: states, Table: []float64{0.5, 0.4}}}, "add up to 0.9"},
		"nan":    {[]discrete.Node{{Name: "a", States: states, Table: []float64{math.NaN(), 1}}}, "NaN"},
		"less":   {[]discrete.Node{{Name: "a", States: states, Table: []float64{-0.5, 1.5}}}, "-0.5"},
		"size":   {[]discrete.Node{{Name: "a", States: states, Table: []float64{1}}}, "1 numbers"},
		"circle": {[]discrete.Node{yesNo("a", []int{1}, 0, 1), yesNo("b", []int{0}, 0, 1)}, "own ancestor"},
		"parent": {[]discrete.Node{yesNo("a", []int{7}, 0, 1)}, "no node 7"},
		"twice":  {[]discrete.Node{root("r", 0.5), yesNo("a", []int{0, 0}, 0, 1, 0, 1)}, "twice"},
		"gate":   {[]discrete.Node{root("r", 0.5), {Name: "a", States: states, Parents: []int{0}, Gate: &discrete.Gate{}}}, "effects of 0 parents"},
		"both":   {[]discrete.Node{{Name: "a", States: states, Table: []float64{1, 0}, Gate: discrete.NoisyOR(0)}}, "a table and a gate"},
	} {
		assert.ErrorContains(t, discrete.Network{Nodes: c.nodes}.Check(), c.says, name)
	}
	n := discrete.Network{Nodes: []discrete.Node{root("a", 0.5)}}
	_, err := n.Infer([]discrete.Finding{{Node: 3, Likelihood: []float64{1, 0}}})
	assert.ErrorContains(t, err, "no node 3")
	_, err = n.Infer([]discrete.Finding{{Node: 0, Likelihood: []float64{1}}})
	assert.ErrorContains(t, err, "1 likelihoods")
	_, err = n.Infer(nil, 5)
	assert.ErrorContains(t, err, "no node 5")
}
