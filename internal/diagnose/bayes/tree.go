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

// product multiplies the tables of a cluster and the messages of its children.
// What was taken out of it is a power of two.
func (t *Tree) product(c *cluster) (table []float64, taken int) {
	table = t.scratch[:c.size]
	for i := range table {
		table[i] = 1
	}
	for n, i := range c.tables {
		multiply(table, t.tables[i].P, c.dims, &c.tableAt[n])
		if n%rescaleAfter == rescaleAfter-1 {
			taken += scaled(table)
		}
	}
	for n, k := range c.children {
		multiply(table, t.clusters[k].up, c.dims, &c.childAt[n])
		if n%rescaleAfter == rescaleAfter-1 {
			taken += scaled(table)
		}
	}
	return table, taken
}

// scaled divides numbers by a power of two, so that the largest is near 1, and
// returns the power.
func scaled(numbers []float64) int {
	_, e := math.Frexp(slices.Max(numbers))
	for i := range numbers {
		numbers[i] = math.Ldexp(numbers[i], -e)
	}
	return e
}

// layout says which entry of a smaller table belongs to each entry of a cluster:
// how far the states of each variable of the cluster lie apart in it, 0 for one
// that it does not have. For clusters that are not large the entries are written
// down when the layout is used a second time.
type layout struct {
	strides []int
	uses    int
	entries []int32
}

// mostWritten is the size of a cluster up to which entries are written down.
const mostWritten = 1 << 14

func (t *Tree) layout(c *cluster, vars []int) layout {
	out := layout{strides: make([]int, len(c.vars))}
	stride := 1
	for i := len(vars) - 1; i >= 0; i-- {
		at, _ := slices.BinarySearch(c.vars, vars[i])
		out.strides[at] = stride
		stride *= t.cards[vars[i]]
	}
	return out
}

// written returns the entries if they are, or are now, written down.
func (l *layout) written(size int, dims []int) []int32 {
	if l.entries != nil || size > mostWritten {
		return l.entries
	}
	if l.uses++; l.uses < 2 {
		return nil
	}
	l.entries = make([]int32, size)
	walk(dims, l.strides, func(at, from, n, stride int) {
		for i := range n {
			l.entries[at+i] = int32(from + i*stride)
		}
	})
	return l.entries
}

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

// normalise makes numbers add up to 1. A sum of 0 leaves them.
func normalise(p []float64) {
	sum := 0.0
	for _, x := range p {
		sum += x
	}
	if sum > 0 {
		for i := range p {
			p[i] /= sum
		}
	}
}

// multiply multiplies each entry of a table by the entry of a smaller one that
// belongs to it.
func multiply(table, by []float64, dims []int, l *layout) {
	if entries := l.written(len(table), dims); entries != nil {
		for i, e := range entries {
			table[i] *= by[e]
		}
		return
	}
	walk(dims, l.strides, func(at, from, n, stride int) {
		row := table[at : at+n]
		if stride == 0 {
			f := by[from]
			for i := range row {
				row[i] *= f
			}
			return
		}
		for i := range row {
			row[i] *= by[from+i*stride]
		}
	})
}

// sumOut adds each entry of a table to the entry of a smaller one that it
// belongs to.
func sumOut(into, table []float64, dims []int, l *layout) {
	clear(into)
	if entries := l.written(len(table), dims); entries != nil {
		for i, e := range entries {
			into[e] += table[i]
		}
		return
	}
	walk(dims, l.strides, func(at, from, n, stride int) {
		row := table[at : at+n]
		if stride == 0 {
			sum := 0.0
			for _, x := range row {
				sum += x
			}
			into[from] += sum
			return
		}
		for i, x := range row {
			into[from+i*stride] += x
		}
	})
}

// walk goes through a table row by row along its last variable. It calls f with
// the first entry of the row, the entry of the smaller table that it belongs to,
// the length of the row, and how far the smaller table moves along it.
func walk(dims, strides []int, f func(at, from, n, stride int)) {
	if len(dims) == 0 {
		f(0, 0, 1, 0)
		return
	}
	last := len(dims) - 1
	n, stride := dims[last], strides[last]
	state := make([]int, last)
	at, from := 0, 0
	for {
		f(at, from, n, stride)
		at += n
		i := last - 1
		for ; i >= 0; i-- {
			state[i]++
			from += strides[i]
			if state[i] < dims[i] {
				break
			}
			from -= strides[i] * dims[i]
			state[i] = 0
		}
		if i < 0 {
			return
		}
	}
}
