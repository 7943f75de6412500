package bayes_test

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"kg/bench/discrete"
	"kg/internal/diagnose/bayes"
)

// ladder is two rows of yes-or-no variables, each of which hangs on the one beside
// it and on the one across. It has circles, more variables than bits in a word, and
// can be summed up rung by rung without a tree.
type ladder struct {
	rungs  int
	number []int // of each variable, those of a rung next to each other
	along  [][2][4]float64
	across [][4]float64
	weight [][2]float64 // of a rung that is even or odd, as a chain
}

func drawLadder(t *rapid.T, most int) ladder {
	l := ladder{rungs: rapid.IntRange(1, most).Draw(t, "rungs")}
	figure := func() float64 { return rapid.Float64Range(0.05, 1).Draw(t, "figure") }
	four := func() [4]float64 { return [4]float64{figure(), figure(), figure(), figure()} }
	all := make([]int, 2*l.rungs)
	for i := range all {
		all[i] = i
	}
	l.number = rapid.Permutation(all).Draw(t, "numbers")
	for range l.rungs {
		l.along = append(l.along, [2][4]float64{four(), four()})
		l.across = append(l.across, four())
		l.weight = append(l.weight, [2]float64{figure(), figure()})
	}
	return l
}

func (l ladder) problem() bayes.Problem {
	p := bayes.Problem{Cards: slices.Repeat([]int{2}, 2*l.rungs)}
	flip := []float64{0, 1, 1, 0}
	for i := range l.rungs {
		a, b := l.number[2*i], l.number[2*i+1]
		p.Tables = append(p.Tables, bayes.Table{Vars: []int{a, b}, P: l.across[i][:]})
		p.Chains = append(p.Chains, bayes.Chain{Start: []float64{1, 0}, End: l.weight[i][:],
			Steps: []bayes.Step{{Var: a, Move: [][]float64{nil, flip}}, {Var: b, Move: [][]float64{nil, flip}}}})
		if i > 0 {
			for side := range 2 {
				p.Tables = append(p.Tables, bayes.Table{Vars: []int{l.number[2*i-2+side], l.number[2*i+side]}, P: l.along[i][side][:]})
			}
		}
	}
	return p
}

// sums goes along the rungs in both directions: the logarithm of the whole, and for
// each variable the probability of yes. A rung whose chain is left out weighs 1.
func (l ladder) sums() (whole float64, yes []float64) {
	local := func(i, s int) float64 { return l.across[i][s] * l.weight[i][s>>1^s&1] }
	step := func(i, from, to int) float64 {
		return l.along[i][0][from>>1<<1|to>>1] * l.along[i][1][from&1<<1|to&1]
	}
	scale := func(p []float64) ([]float64, float64) {
		sum := p[0] + p[1] + p[2] + p[3]
		for i := range p {
			p[i] /= sum
		}
		return p, math.Log(sum)
	}
	forward := make([][]float64, l.rungs)
	for i := range l.rungs {
		now := make([]float64, 4)
		for to := range 4 {
			before := 1.0
			if i > 0 {
				before = 0
				for from := range 4 {
					before += forward[i-1][from] * step(i, from, to)
				}
			}
			now[to] = before * local(i, to)
		}
		var log float64
		forward[i], log = scale(now)
		whole += log
	}
	yes = make([]float64, 2*l.rungs)
	back := []float64{1, 1, 1, 1}
	for i := l.rungs - 1; i >= 0; i-- {
		both := make([]float64, 4)
		for s := range 4 {
			both[s] = forward[i][s] * back[s]
		}
		both, _ = scale(both)
		yes[l.number[2*i]] = both[2] + both[3]
		yes[l.number[2*i+1]] = both[1] + both[3]
		before := make([]float64, 4)
		for from := range 4 {
			for to := range 4 {
				if i > 0 {
					before[from] += step(i, from, to) * local(i, to) * back[to]
				}
			}
		}
		if i > 0 {
			back, _ = scale(before)
		}
	}
	return whole, yes
}

func TestALadderOfManyVariablesIsSummedUpRight(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		l := drawLadder(t, 75)
		tree, err := bayes.NewTree(l.problem())
		require.NoError(t, err)
		agree := func() {
			got, evidence, err := tree.Marginals()
			require.NoError(t, err)
			whole, yes := l.sums()
			require.InDelta(t, whole, evidence.Log(), 1e-9*max(1, math.Abs(whole)))
			for v := range yes {
				require.InDelta(t, yes[v], got[v][1], 1e-9)
				require.InDelta(t, 1, got[v][0]+got[v][1], 1e-12)
			}
		}
		agree()
		whole := slices.Clone(l.weight)
		for range 4 {
			i := rapid.IntRange(0, l.rungs-1).Draw(t, "rung")
			switch rapid.IntRange(0, 3).Draw(t, "change") {
			case 0: // leaving out twice is leaving out once
				tree.Leave(i, true)
				tree.Leave(i, true)
				l.weight[i] = [2]float64{1, 1}
			case 1:
				tree.Leave(i, false)
				tree.Leave(i, false)
				l.weight[i] = whole[i]
			case 2:
				end := [2]float64{rapid.Float64Range(0.1, 1).Draw(t, "end"), 0.5}
				require.NoError(t, tree.Reweigh(i, end[:]))
				l.weight[i], whole[i] = end, end
			}
			agree()
		}
		vars, entries := tree.Width()
		assert.LessOrEqual(t, vars, 4, "a ladder is narrow in any order of its numbers")
		assert.GreaterOrEqual(t, entries, 4)
	})
}

// In a world that is known, a chain weighs what a tree says when every variable is
// held to its state.
func TestAChainInAKnownWorldIsItsWeight(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		c := drawChain(t, []int{0, 2, 3})
		world := rapid.SliceOfN(rapid.Bool(), 4, 4).Draw(t, "world")
		p := bayes.Problem{Cards: []int{2, 2, 2, 2}, Chains: []bayes.Chain{c}}
		for v, there := range world {
			state := []float64{1, 0}
			if there {
				state = []float64{0, 1}
			}
			p.Tables = append(p.Tables, bayes.Table{Vars: []int{v}, P: state})
		}
		tree, err := bayes.NewTree(p)
		require.NoError(t, err)
		got, err := tree.Evidence()
		require.NoError(t, err)
		assert.InEpsilon(t, got.Float(), c.Under(world), 1e-12)
	})
	twice := bayes.Chain{Start: []float64{0.25, 0.75}, End: []float64{0.5, 4}}
	assert.InDelta(t, 0.25*0.5+0.75*4, twice.Under(nil), 1e-12)
}

// Only chains that end in several weights can be weighed otherwise, and only with as
// many figures.
func TestWhatCannotBeReweighedIsSaid(t *testing.T) {
	t.Parallel()
	p := bayes.Problem{Cards: []int{2}, Tables: []bayes.Table{{Vars: []int{0}, P: []float64{0.5, 0.5}}}, Chains: []bayes.Chain{
		{Start: []float64{1, 0}, End: []float64{0.2, 0.3}},
		{Start: []float64{1}, End: []float64{0.4}},
		{Start: []float64{0.5, 0.5}, Into: 0},
	}}
	tree, err := bayes.NewTree(p)
	require.NoError(t, err)
	assert.NoError(t, tree.Reweigh(0, []float64{0.6, 0}))
	got, err := tree.Evidence()
	require.NoError(t, err)
	assert.InDelta(t, 0.5*0.6*0.4, got.Float(), 1e-12)
	assert.ErrorContains(t, tree.Reweigh(0, []float64{1}), "cannot end in 1 weights")
	assert.ErrorContains(t, tree.Reweigh(0, []float64{1, 1, 1}), "cannot end in 3 weights")
	assert.ErrorContains(t, tree.Reweigh(1, []float64{1}), "cannot end in 1 weights")
	assert.ErrorContains(t, tree.Reweigh(2, []float64{1, 1}), "chain 2 cannot end")
	assert.ErrorContains(t, tree.Reweigh(7, []float64{1, 1}), "chain 7 cannot end")
	assert.ErrorContains(t, tree.Reweigh(0, []float64{1, math.NaN()}), "NaN")
	tree.Leave(2, true)
	tree.Leave(1, true)
	got, err = tree.Evidence()
	require.NoError(t, err)
	assert.InDelta(t, 0.5*0.6, got.Float(), 1e-12)
	require.NoError(t, tree.Reweigh(0, []float64{0, 1}))
	_, err = tree.Evidence()
	assert.ErrorIs(t, err, bayes.ErrImpossible)
}

// Each way in which a product does not fit together is said with its place.
func TestAProblemThatDoesNotFitTogetherIsSaid(t *testing.T) {
	t.Parallel()
	one := []float64{1}
	for says, change := range map[string]func(*bayes.Problem){
		"variable 1 has 0 states":                            func(p *bayes.Problem) { p.Cards[1] = 0 },
		"table 0: there is no variable 2":                    func(p *bayes.Problem) { p.Tables[0].Vars[1] = 2 },
		"table 0: there is no variable -1":                   func(p *bayes.Problem) { p.Tables[0].Vars[0] = -1 },
		"table 0: variable 1 stands in it twice":             func(p *bayes.Problem) { p.Tables[0].Vars[0] = 1 },
		"table 0: 5 numbers where":                           func(p *bayes.Problem) { p.Tables[0].P = p.Tables[0].P[:5] },
		"table 0: -1 is not a probability":                   func(p *bayes.Problem) { p.Tables[0].P[3] = -1 },
		"table 0: +Inf is not a probability":                 func(p *bayes.Problem) { p.Tables[0].P[5] = math.Inf(1) },
		"chain 0: it has no state":                           func(p *bayes.Problem) { p.Chains[0].Start = nil },
		"chain 0: its 2 states do not fit":                   func(p *bayes.Problem) { p.Chains[0].End = one },
		"chain 0: NaN is not a probability":                  func(p *bayes.Problem) { p.Chains[0].Start[1] = math.NaN() },
		"chain 0: -2 is not a probability":                   func(p *bayes.Problem) { p.Chains[0].End[1] = -2 },
		"chain 1: its 2 states do not fit":                   func(p *bayes.Problem) { p.Chains[1].Into = 1 },
		"chain 1: its 2 states do not fit where it ends":     func(p *bayes.Problem) { p.Chains[1].Into = 2 },
		"chain 1: its 2 states do not":                       func(p *bayes.Problem) { p.Chains[1].Into = -1 },
		"chain 0: the step of variable 2 needs one":          func(p *bayes.Problem) { p.Chains[0].Steps[0].Var = 2 },
		"chain 0: the step of variable -1 needs one":         func(p *bayes.Problem) { p.Chains[0].Steps[0].Var = -1 },
		"chain 0: the step of variable 0 needs one":          func(p *bayes.Problem) { p.Chains[0].Steps[0].Move = [][]float64{nil} },
		"chain 0: the step of variable 0: 3 numbers where 2": func(p *bayes.Problem) { p.Chains[0].Steps[0].Move[1] = []float64{1, 0, 1} },
		"chain 0: -3 is not a probability":                   func(p *bayes.Problem) { p.Chains[0].Steps[0].Move[1] = []float64{1, 0, 1, -3} },
	} {
		p := bayes.Problem{Cards: []int{2, 3}, Tables: []bayes.Table{{Vars: []int{0, 1}, P: []float64{1, 2, 3, 4, 5, 6}}}, Chains: []bayes.Chain{
			{Start: []float64{1, 0}, End: []float64{0.5, 1}, Steps: []bayes.Step{{Var: 0, Move: [][]float64{nil, {0.5, 0.5, 0, 1}}}}},
			{Start: []float64{0.5, 0.5}, Into: 0},
		}}
		_, err := bayes.NewTree(p)
		require.NoError(t, err)
		change(&p)
		_, err = bayes.NewTree(p)
		assert.ErrorContains(t, err, says)
	}
}

// The rows of a gate are probabilities, one for each state of each parent.
func TestTheRowsOfAGateAreChecked(t *testing.T) {
	t.Parallel()
	gate := func(g *discrete.Gate) discrete.Network {
		return discrete.Network{Nodes: []discrete.Node{root("r", 0.5), {Name: "a", States: []string{"no", "yes"}, Parents: []int{0}, Gate: g}}}
	}
	require.NoError(t, gate(discrete.NoisyOR(0.1, 0.5)).Check())
	require.NoError(t, gate(&discrete.Gate{Effects: [][][]float64{{nil, nil}}}).Check(), "no row brings about nothing")
	for says, g := range map[string]*discrete.Gate{
		"add up to 0.9":       {Effects: [][][]float64{{nil, {0.4, 0.5}}}},
		"add up to 1.2":       {Leak: []float64{0.7, 0.5}, Effects: [][][]float64{{nil, nil}}},
		"-0.5":                {Effects: [][][]float64{{{1.5, -0.5}, nil}}},
		"has 3 numbers":       {Effects: [][][]float64{{nil, {0.2, 0.3, 0.5}}}},
		"one row for each":    {Effects: [][][]float64{{nil}}},
		"effects of 2 parent": {Effects: [][][]float64{{nil, nil}, {nil, nil}}},
	} {
		assert.ErrorContains(t, gate(g).Check(), says)
	}
	assert.ErrorContains(t, discrete.Network{Nodes: []discrete.Node{{Name: "a"}}}.Check(), "no states")
	assert.ErrorContains(t, discrete.Network{Nodes: []discrete.Node{yesNo("a", []int{-1}, 0, 1)}}.Check(), "no node -1")
	for off, ok := range map[float64]bool{0.9e-5: true, -0.9e-5: true, 1.1e-5: false, -1.1e-5: false} {
		err := discrete.Network{Nodes: []discrete.Node{{Name: "a", States: []string{"no", "yes"}, Table: []float64{0.5, 0.5 + off}}}}.Check()
		assert.Equal(t, ok, err == nil, "a row that is off by %v", off)
	}
}

// The last node can be asked for, and no node after it; findings about one node are
// multiplied, and a node whose state is known has it for certain.
func TestWhatIsAskedForIsAnswered(t *testing.T) {
	t.Parallel()
	n := discrete.Network{Nodes: []discrete.Node{root("a", 0.5), yesNo("b", []int{0}, 0.25, 0.75)}}
	p, err := n.Infer(nil, 1)
	require.NoError(t, err)
	assert.InDelta(t, 0.5, p.Marginals[1][yes], 1e-12)
	assert.Nil(t, p.Marginals[0])
	assert.InDelta(t, 1, p.Evidence.Float(), 1e-12)
	for _, node := range []int{2, -1} {
		_, err = n.Infer(nil, node)
		assert.ErrorContains(t, err, fmt.Sprintf("no node %d to ask for", node))
		_, err = n.Infer([]discrete.Finding{{Node: node, Likelihood: []float64{1, 0}}})
		assert.ErrorContains(t, err, fmt.Sprintf("no node %d to be found", node))
	}
	p, err = n.Infer([]discrete.Finding{{Node: 1, Likelihood: []float64{0.2, 0.6}}, {Node: 1, Likelihood: []float64{0.5, 0.5}}}, 0)
	require.NoError(t, err)
	assert.InDelta(t, 0.5*(0.25*0.6+0.75*0.2)*0.5+0.5*(0.75*0.6+0.25*0.2)*0.5, p.Evidence.Float(), 1e-12)
	p, err = n.Infer([]discrete.Finding{{Node: 1, Likelihood: []float64{0, 0.3}}})
	require.NoError(t, err)
	assert.Equal(t, []float64{0, 1}, p.Marginals[1])
	assert.InDelta(t, 0.75, p.Marginals[0][yes], 1e-12)
	_, err = n.Infer([]discrete.Finding{{Node: 1, Likelihood: []float64{0, 0}}})
	assert.ErrorIs(t, err, bayes.ErrImpossible)
	_, err = n.Infer([]discrete.Finding{{Node: 1, Likelihood: []float64{0, -1}}})
	assert.ErrorContains(t, err, "-1")
}

// A cluster that takes more memory than allowed is refused with what it would take:
// 2 to the power of 26 numbers of eight bytes for 26 variables that all hang together.
func TestTheMemoryOfAClusterIsWhatItWouldTake(t *testing.T) {
	t.Parallel()
	clique := func(n int) bayes.Problem {
		p := bayes.Problem{Cards: slices.Repeat([]int{2}, n)}
		for v := range n {
			for w := range v {
				p.Tables = append(p.Tables, bayes.Table{Vars: []int{w, v}, P: []float64{1, 1, 1, 1}})
			}
		}
		return p
	}
	_, err := bayes.NewTree(clique(26))
	var wide *bayes.TooWide
	require.True(t, errors.As(err, &wide))
	assert.Equal(t, bayes.TooWide{Width: 26, Bytes: 8 << 26}, *wide)
	assert.ErrorContains(t, err, "512 MiB for a cluster of 26 variables")
	tree, err := bayes.NewTree(clique(10))
	require.NoError(t, err)
	vars, entries := tree.Width()
	assert.Equal(t, []int{10, 1 << 10}, []int{vars, entries})
}
