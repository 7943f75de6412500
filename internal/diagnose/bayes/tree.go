package bayes

import (
	"fmt"
	"math"
	"slices"
)

// MaxBytes is the memory that the largest cluster of a tree may take.
const MaxBytes = 256 << 20

// Tree is a problem arranged for inference. It is not safe for concurrent use.
type Tree struct {
	cards    []int // of the variables of the problem and of hidden ones
	own      int   // variables of the problem itself
	tables   []Table
	places   []int // of each table: the cluster it is multiplied into; -1 for a number
	ends     map[int]ending
	whole    map[int][][]float64 // tables of chains that were left out, as they were
	clusters []cluster
	home     []int // of each variable: the smallest cluster that has it
	scratch  []float64
}

// cluster is a set of variables that are looked at together.
type cluster struct {
	vars      []int // ascending
	dims      []int
	size      int
	parent    int // -1 for a root
	separator []int
	children  []int
	tables    []int

	// Where the entries of each of the tables, of the messages of the children and of
	// the separator stand.
	tableAt, childAt []layout
	separatorAt      layout

	up, down []float64 // messages over the separator, to the parent and from it
	scale    Scaled    // what was taken out of up
	stale    bool
}

// NewTree arranges a problem. The error is a *TooWide when a cluster would take
// more than MaxBytes, and tells what is wrong with a problem that does not fit
// together.
func NewTree(p Problem) (*Tree, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	f := p.flatten()
	e := f.bestElimination()
	if bytes := e.largest * 8; bytes > MaxBytes {
		width := 0
		for _, c := range e.clusters {
			width = max(width, len(c))
		}
		return nil, &TooWide{Width: width, Bytes: int64(math.Min(bytes, math.MaxInt64/2))}
	}
	t := &Tree{own: len(p.Cards), cards: f.cards, tables: f.tables, ends: f.ends, whole: map[int][][]float64{}}
	t.arrange(e)
	return t, nil
}

// arrange makes the clusters, children before their parents, and puts tables and
// variables in their places.
func (t *Tree) arrange(e elimination) {
	at := make([]int, len(t.cards)) // place of a variable in the order
	for i, v := range e.order {
		at[v] = i
	}
	parent := make([]int, len(e.order))
	for i, c := range e.clusters {
		parent[i] = -1
		for _, w := range c[1:] {
			if parent[i] < 0 || at[w] < parent[i] {
				parent[i] = at[w]
			}
		}
	}
	// A cluster whose parent is no more than its separator takes the parent over.
	into := make([]int, len(e.order))
	taken := make([]bool, len(e.order))
	for i := range into {
		into[i] = i
	}
	for i, c := range e.clusters {
		if p := parent[i]; p >= 0 && !taken[p] && len(e.clusters[p]) == len(c)-1 {
			heir := into[i]
			into[p] = heir
			taken[p] = true
			parent[heir] = parent[p]
		}
	}
	number := make([]int, len(e.order))
	var heirs []int
	for i := range e.order {
		if into[i] == i {
			heirs = append(heirs, i)
		}
	}
	// Parents have to come after their children; a heir stands where what it took
	// over stood.
	last := make([]int, len(e.order))
	for i := range e.order {
		last[into[i]] = max(last[into[i]], i)
	}
	slices.SortFunc(heirs, func(a, b int) int { return last[a] - last[b] })
	for k, i := range heirs {
		number[i] = k
	}
	t.clusters = make([]cluster, len(heirs))
	t.home = make([]int, len(t.cards))
	for v := range t.home {
		t.home[v] = -1
	}
	largest := 0
	for k, i := range heirs {
		c := &t.clusters[k]
		c.vars = slices.Clone(e.clusters[i])
		slices.Sort(c.vars)
		c.size, c.parent, c.stale = 1, -1, true
		for _, v := range c.vars {
			c.dims = append(c.dims, t.cards[v])
			c.size *= t.cards[v]
		}
		largest = max(largest, c.size)
		for _, v := range c.vars {
			if h := t.home[v]; h < 0 || t.clusters[h].size > c.size {
				t.home[v] = k
			}
		}
	}
	for k, i := range heirs {
		c := &t.clusters[k]
		if p := parent[i]; p >= 0 {
			c.parent = number[into[p]]
			above := &t.clusters[c.parent]
			above.children = append(above.children, k)
			for _, v := range c.vars {
				if slices.Contains(above.vars, v) {
					c.separator = append(c.separator, v)
				}
			}
		}
		n := t.entries(c.separator)
		c.up, c.down = make([]float64, n), make([]float64, n)
		c.separatorAt = t.layout(c, c.separator)
	}
	for i, table := range t.tables {
		place := -1
		for _, v := range table.Vars {
			if k := number[into[at[v]]]; place < 0 || k < place {
				place = k
			}
		}
		t.places = append(t.places, place)
		if place >= 0 {
			c := &t.clusters[place]
			c.tables = append(c.tables, i)
			c.tableAt = append(c.tableAt, t.layout(c, table.Vars))
		}
	}
	for k := range t.clusters {
		c := &t.clusters[k]
		for _, child := range c.children {
			c.childAt = append(c.childAt, t.layout(c, t.clusters[child].separator))
		}
	}
	t.scratch = make([]float64, largest)
}

func (t *Tree) entries(vars []int) int {
	n := 1
	for _, v := range vars {
		n *= t.cards[v]
	}
	return n
}

// Width returns the number of variables in the largest cluster and the entries
// of all cluster tables together.
func (t *Tree) Width() (vars, entries int) {
	for _, c := range t.clusters {
		vars = max(vars, len(c.vars))
		entries += c.size
	}
	return vars, entries
}

// Leave lets the i-th chain of the problem weigh nothing, or again what it did.
// Only what hangs on it is worked out anew. Chains that end in a variable weigh
// nothing in any case. For a chain of several states to be left out, its moves
// have to be stochastic: the states that come of one have to share out 1.
func (t *Tree) Leave(i int, out bool) {
	e, weighs := t.ends[i]
	if !weighs {
		return
	}
	was, left := t.whole[i]
	first, tables := e.weighing(nil, t.tables)
	switch {
	case out && !left:
		for k := range tables {
			was = append(was, t.tables[first+k].P)
		}
		t.whole[i] = was
	case !out && left:
		tables = was
		delete(t.whole, i)
	default:
		return
	}
	t.put(first, tables)
}

// Reweigh lets the i-th chain of the problem, one of several states that ends in a
// weight, end in another one. The error says what does not fit.
func (t *Tree) Reweigh(i int, end []float64) error {
	e, weighs := t.ends[i]
	if !weighs || len(end) != len(e.chain.Start) || len(end) < 2 {
		return fmt.Errorf("chain %d cannot end in %d weights", i, len(end))
	}
	if err := nonNegative(end); err != nil {
		return fmt.Errorf("chain %d: %w", i, err)
	}
	first, tables := e.weighing(end, t.tables)
	delete(t.whole, i)
	t.put(first, tables)
	return nil
}

func (t *Tree) put(first int, tables [][]float64) {
	for k, p := range tables {
		t.tables[first+k].P = p
		for c := t.places[first+k]; c >= 0; c = t.clusters[c].parent {
			t.clusters[c].stale = true
		}
	}
}

// Evidence returns the sum of the product over all states of all variables: the
// probability of what was found. The error is ErrImpossible when it is 0.
func (t *Tree) Evidence() (Scaled, error) {
	total := Scaled{1, 0}
	for i, table := range t.tables {
		if t.places[i] < 0 {
			total = total.times(table.P[0])
		}
	}
	for k := range t.clusters {
		c := &t.clusters[k]
		if c.stale {
			t.sendUp(c)
		}
		total = Scaled{total.Mantissa, total.Exponent + c.scale.Exponent}
		if c.parent < 0 {
			total = total.times(c.up[0])
		}
	}
	if total.Mantissa == 0 {
		return Scaled{}, ErrImpossible
	}
	return total, nil
}

// sendUp works out the message of a cluster to its parent, scaled by a power of
// two, so that no digit is lost.
func (t *Tree) sendUp(c *cluster) {
	table, taken := t.product(c)
	sumOut(c.up, table, c.dims, &c.separatorAt)
	c.scale = Scaled{1, taken + scaled(c.up)}
	c.stale = false
}

// rescaleAfter is the number of factors after which a product is scaled, so that
// many small ones do not vanish.
const rescaleAfter = 16

// Marginals returns the probability of each state of each variable of the
// problem, given what was found, and the probability of that.
func (t *Tree) Marginals() ([][]float64, Scaled, error) {
	evidence, err := t.Evidence()
	if err != nil {
		return nil, Scaled{}, err
	}
	out := make([][]float64, t.own)
	for k := len(t.clusters) - 1; k >= 0; k-- {
		c := &t.clusters[k]
		table, _ := t.product(c)
		if c.parent >= 0 {
			multiply(table, c.down, c.dims, &c.separatorAt)
		}
		for _, v := range c.vars {
			if v < t.own && t.home[v] == k {
				out[v] = make([]float64, t.cards[v])
				single := t.layout(c, []int{v})
				sumOut(out[v], table, c.dims, &single)
				normalise(out[v])
			}
		}
		for n, j := range c.children {
			child := &t.clusters[j]
			sumOut(child.down, table, c.dims, &c.childAt[n])
			top := slices.Max(child.down)
			for i, up := range child.up {
				if up > 0 {
					child.down[i] = child.down[i] / top / up
				} else {
					child.down[i] = 0
				}
			}
		}
	}
	return out, evidence, nil
}
