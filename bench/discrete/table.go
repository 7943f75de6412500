package discrete

import (
	"fmt"
	"math"
	"slices"

	"kg/internal/diagnose/bayes"
)

// openNodes are the nodes whose state has to be worked out: they are the variables
// of the problem. Of the others the state is known, or nobody needs it.
type openNodes struct {
	fixed  []int // the known state of each node, -1 for none
	number []int // the variable of each node, -1 for none
	cards  []int // of each variable
}

func (n Network) open(seen [][]float64, needed []bool) openNodes {
	o := openNodes{fixed: make([]int, len(n.Nodes)), number: make([]int, len(n.Nodes))}
	for v, node := range n.Nodes {
		o.fixed[v], o.number[v] = -1, -1
		if seen[v] != nil {
			o.fixed[v] = seenState(seen[v])
		}
		if needed[v] && o.fixed[v] < 0 {
			o.number[v] = len(o.cards)
			o.cards = append(o.cards, len(node.States))
		}
	}
	return o
}

// problem writes the needed part of a network with its findings as a product.
func (o openNodes) problem(n Network, seen [][]float64, needed []bool) bayes.Problem {
	p := bayes.Problem{Cards: o.cards}
	for v, node := range n.Nodes {
		if !needed[v] {
			continue
		}
		if node.Gate != nil {
			p.Chains = append(p.Chains, o.chain(n, v))
		} else {
			p.Tables = append(p.Tables, o.table(n, v))
		}
		switch {
		case seen[v] == nil:
		case o.fixed[v] >= 0:
			p.Tables = append(p.Tables, bayes.Table{P: []float64{seen[v][o.fixed[v]]}})
		default:
			p.Tables = append(p.Tables, bayes.Table{Vars: []int{o.number[v]}, P: slices.Clone(seen[v])})
		}
	}
	return p
}

// table is the table of a node over those of its family whose state is open.
func (o openNodes) table(n Network, v int) bayes.Table {
	node := n.Nodes[v]
	family := append(slices.Clone(node.Parents), v)
	var t bayes.Table
	var dims, strides []int // of the open ones, in the node's table
	at, stride := 0, 1
	all := make([]int, len(family))
	for i := len(family) - 1; i >= 0; i-- {
		all[i] = stride
		stride *= len(n.Nodes[family[i]].States)
	}
	size := 1
	for i, u := range family {
		if o.fixed[u] >= 0 {
			at += o.fixed[u] * all[i]
			continue
		}
		t.Vars = append(t.Vars, o.number[u])
		dims = append(dims, len(n.Nodes[u].States))
		strides = append(strides, all[i])
		size *= len(n.Nodes[u].States)
	}
	t.P = make([]float64, 0, size)
	var fill func(i, at int)
	fill = func(i, at int) {
		if i == len(dims) {
			t.P = append(t.P, node.Table[at])
			return
		}
		for state := range dims[i] {
			fill(i+1, at+state*strides[i])
		}
	}
	fill(0, at)
	return t
}

// chain is the gate of a node. When the state of the node is known, the chain
// has to remember only whether that state was reached: all causes have to stay
// at or below it.
func (o openNodes) chain(n Network, v int) bayes.Chain {
	node := n.Nodes[v]
	k := len(node.States)
	lowest := make([]float64, k)
	lowest[0] = 1
	leak := node.Gate.Leak
	if leak == nil {
		leak = lowest
	}
	c := bayes.Chain{Start: slices.Clone(leak), Into: o.number[v]}
	reach := o.fixed[v]
	if reach >= 0 {
		c.Start, c.End = reached(leak, reach)
	}
	matrix := func(effect []float64) []float64 {
		switch {
		case effect == nil:
			return nil
		case reach >= 0:
			below, at := belowAndAt(effect, reach)
			if reach == 0 {
				return []float64{at}
			}
			return []float64{below, at, 0, below + at}
		}
		return highest(effect)
	}
	for i, parent := range node.Parents {
		effects := node.Gate.Effects[i]
		if s := o.fixed[parent]; s >= 0 {
			c.Start = moved(c.Start, matrix(effects[s]))
			continue
		}
		step := bayes.Step{Var: o.number[parent]}
		for _, effect := range effects {
			step.Move = append(step.Move, matrix(effect))
		}
		c.Steps = append(c.Steps, step)
	}
	return c
}

// reached returns start and end of a chain that remembers only whether a state
// was reached and never passed.
func reached(leak []float64, state int) (start, end []float64) {
	below, at := belowAndAt(leak, state)
	if state == 0 {
		return []float64{at}, []float64{1}
	}
	return []float64{below, at}, []float64{0, 1}
}

func belowAndAt(p []float64, state int) (below, at float64) {
	for _, x := range p[:state] {
		below += x
	}
	return below, p[state]
}

// highest is the matrix that brings a state up to what an effect brings about.
func highest(effect []float64) []float64 {
	k := len(effect)
	m := make([]float64, k*k)
	for from := range k {
		for to, p := range effect {
			m[from*k+max(from, to)] += p
		}
	}
	return m
}

// moved is a distribution over states after a step; without a matrix it stays.
func moved(state, matrix []float64) []float64 {
	if len(matrix) == 0 {
		return state
	}
	out := make([]float64, len(state))
	for from, p := range state {
		for to := range state {
			out[to] += p * matrix[from*len(state)+to]
		}
	}
	return out
}

func nonNegative(numbers []float64) error {
	for _, x := range numbers {
		if !(x >= 0) || math.IsInf(x, 1) {
			return fmt.Errorf("%v is not a probability or a weight: numbers from 0 on, please", x)
		}
	}
	return nil
}
