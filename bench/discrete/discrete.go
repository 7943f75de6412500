// Package discrete owns Bayesian networks as they are published: nodes with tables
// or gates, made into a problem for kg/internal/diagnose/bayes. It is for checks and
// benchmarks; the program writes its problems itself.
package discrete

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"kg/internal/diagnose/bayes"
)

// Network is a Bayesian network. A node is known by its place in Nodes; its
// parents may stand before or after it, but nothing may be its own ancestor.
type Network struct {
	Nodes []Node
}

// Node is a variable with its states and the probability of each of them given
// the states of its parents: by a table or by a noisy-MAX gate.
type Node struct {
	Name    string
	States  []string
	Parents []int
	// Table holds for each combination of the parents' states, those of the last
	// parent next to each other, the probabilities of the states.
	Table []float64
	// Gate is set instead of Table where the parents act on the node each by
	// itself.
	Gate *Gate
}

// Gate is a noisy-MAX (Henrion 1989; Diez 1993): every parent, by itself, would
// bring the node into some state, a leak stands for all other causes, and the
// node takes the highest. With two states it is a noisy-OR.
type Gate struct {
	// Effects holds for each parent and each of its states the probabilities of
	// the states that it brings about. A nil row brings about the lowest.
	Effects [][][]float64
	// Leak is what is brought about with no parent; nil for the lowest state.
	Leak []float64
}

// NoisyOR returns the gate of a yes-or-no node: each parent, when in its second
// state, brings it about with its strength.
func NoisyOR(leak float64, strengths ...float64) *Gate {
	g := &Gate{Leak: []float64{1 - leak, leak}}
	for _, s := range strengths {
		g.Effects = append(g.Effects, [][]float64{nil, {1 - s, s}})
	}
	return g
}

// Finding is what was found about a node: how likely it is under each of the
// node's states (virtual evidence, Pearl 1988); 1 for one and 0 for all others
// where the state itself was seen.
type Finding struct {
	Node       int
	Likelihood []float64
}

// Seen is the finding of a state.
func (n Network) Seen(node, state int) Finding {
	f := Finding{Node: node, Likelihood: make([]float64, len(n.Nodes[node].States))}
	f.Likelihood[state] = 1
	return f
}

// Posterior is what is known after some findings.
type Posterior struct {
	// Marginals holds the probability of each state of each node; nil for a node
	// that was not asked for.
	Marginals [][]float64
	// Evidence is the probability of the findings.
	Evidence bayes.Scaled
	// Width is the number of variables that had to be looked at together.
	Width int
}

// rowTolerance is how far from 1 the probabilities of a row may add up: published
// networks round theirs.
const rowTolerance = 1e-5

// Check reports what is wrong with a network: rows that do not add up to 1,
// parents that do not exist, nodes that are their own ancestors.
func (n Network) Check() error {
	for i, node := range n.Nodes {
		if err := n.checkNode(i); err != nil {
			return fmt.Errorf("node %q: %w", node.Name, err)
		}
	}
	_, err := n.parentsFirst()
	return err
}

func (n Network) checkNode(i int) error {
	node := n.Nodes[i]
	if len(node.States) == 0 {
		return errors.New("it has no states")
	}
	rows := 1
	for k, p := range node.Parents {
		if p < 0 || p >= len(n.Nodes) {
			return fmt.Errorf("there is no node %d to be its parent", p)
		}
		if slices.Contains(node.Parents[:k], p) {
			return fmt.Errorf("%q is its parent twice", n.Nodes[p].Name)
		}
		rows *= len(n.Nodes[p].States)
	}
	if node.Gate != nil {
		return n.checkGate(node)
	}
	if len(node.Table) != rows*len(node.States) {
		return fmt.Errorf("its table has %d numbers, the states need %d", len(node.Table), rows*len(node.States))
	}
	for row := range rows {
		if err := sumsToOne(node.Table[row*len(node.States) : (row+1)*len(node.States)]); err != nil {
			return fmt.Errorf("row %d: %w", row, err)
		}
	}
	return nil
}

func (n Network) checkGate(node Node) error {
	g := node.Gate
	if len(node.Table) > 0 {
		return errors.New("it has a table and a gate: one of them, please")
	}
	if len(g.Effects) != len(node.Parents) {
		return fmt.Errorf("its gate has effects of %d parents, it has %d", len(g.Effects), len(node.Parents))
	}
	rows := [][]float64{g.Leak}
	for k, p := range node.Parents {
		if len(g.Effects[k]) != len(n.Nodes[p].States) {
			return fmt.Errorf("its gate needs one row for each state of %q", n.Nodes[p].Name)
		}
		rows = append(rows, g.Effects[k]...)
	}
	for _, row := range rows {
		if row == nil {
			continue
		}
		if len(row) != len(node.States) {
			return fmt.Errorf("a row of its gate has %d numbers, it has %d states", len(row), len(node.States))
		}
		if err := sumsToOne(row); err != nil {
			return err
		}
	}
	return nil
}

func sumsToOne(row []float64) error {
	if err := nonNegative(row); err != nil {
		return err
	}
	sum := 0.0
	for _, x := range row {
		sum += x
	}
	if math.Abs(sum-1) > rowTolerance {
		return fmt.Errorf("probabilities add up to %.6g, not to 1", sum)
	}
	return nil
}

// parentsFirst orders the nodes so that parents come before children.
func (n Network) parentsFirst() ([]int, error) {
	const unseen, open, done = 0, 1, 2
	state := make([]int, len(n.Nodes))
	var out []int
	var visit func(i int) error
	visit = func(i int) error {
		switch state[i] {
		case done:
			return nil
		case open:
			return fmt.Errorf("%q is its own ancestor: a network has no circles", n.Nodes[i].Name)
		}
		state[i] = open
		for _, p := range n.Nodes[i].Parents {
			if err := visit(p); err != nil {
				return err
			}
		}
		state[i] = done
		out = append(out, i)
		return nil
	}
	for i := range n.Nodes {
		if err := visit(i); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// Infer returns the probability of the findings and, given them, of each state
// of the nodes that are asked for; of all nodes when none is named. Nodes that
// neither were found nor are asked for and have no such descendant are left out
// (they are barren; Shachter 1986). The error is bayes.ErrImpossible, a *bayes.TooWide, or
// says what is wrong with the network.
func (n Network) Infer(findings []Finding, asked ...int) (Posterior, error) {
	order, err := n.parentsFirst()
	if err != nil {
		return Posterior{}, err
	}
	seen, err := n.combine(findings)
	if err != nil {
		return Posterior{}, err
	}
	needed := make([]bool, len(n.Nodes))
	want := make([]bool, len(n.Nodes))
	for _, a := range asked {
		if a < 0 || a >= len(n.Nodes) {
			return Posterior{}, fmt.Errorf("there is no node %d to ask for", a)
		}
		want[a] = true
	}
	for i := len(order) - 1; i >= 0; i-- {
		v := order[i]
		if len(asked) == 0 {
			want[v] = true
		}
		if want[v] || seen[v] != nil {
			needed[v] = true
		}
		if needed[v] {
			for _, p := range n.Nodes[v].Parents {
				needed[p] = true
			}
		}
	}
	open := n.open(seen, needed)
	tree, err := bayes.NewTree(open.problem(n, seen, needed))
	if err != nil {
		return Posterior{}, err
	}
	out := Posterior{Marginals: make([][]float64, len(n.Nodes))}
	out.Width, _ = tree.Width()
	marginals, evidence, err := tree.Marginals()
	if err != nil {
		return Posterior{}, err
	}
	out.Evidence = evidence
	for v := range n.Nodes {
		switch {
		case !want[v]:
		case open.fixed[v] >= 0:
			out.Marginals[v] = make([]float64, len(seen[v]))
			out.Marginals[v][open.fixed[v]] = 1
		default:
			out.Marginals[v] = marginals[open.number[v]]
		}
	}
	return out, nil
}

// combine multiplies the findings of each node.
func (n Network) combine(findings []Finding) ([][]float64, error) {
	seen := make([][]float64, len(n.Nodes))
	for _, f := range findings {
		if f.Node < 0 || f.Node >= len(n.Nodes) {
			return nil, fmt.Errorf("there is no node %d to be found anything about", f.Node)
		}
		node := n.Nodes[f.Node]
		if len(f.Likelihood) != len(node.States) {
			return nil, fmt.Errorf("the finding of %q has %d likelihoods, it has %d states", node.Name, len(f.Likelihood), len(node.States))
		}
		if err := nonNegative(f.Likelihood); err != nil {
			return nil, fmt.Errorf("the finding of %q: %w", node.Name, err)
		}
		if seen[f.Node] == nil {
			seen[f.Node] = slices.Clone(f.Likelihood)
			continue
		}
		for i, l := range f.Likelihood {
			seen[f.Node][i] *= l
		}
	}
	return seen, nil
}

// seenState is the only state that findings leave possible, -1 when they leave
// several.
func seenState(likelihood []float64) int {
	only := -1
	for i, l := range likelihood {
		if l > 0 {
			if only >= 0 {
				return -1
			}
			only = i
		}
	}
	return only
}
