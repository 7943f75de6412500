package bayes

import (
	"math"
	"slices"
)

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
