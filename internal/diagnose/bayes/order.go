package bayes

import (
	"math/bits"
	"slices"
)

// graph is the graph of variables that stand in a table together.
type graph struct {
	words int
	rows  []uint64
	near  [][]int // neighbours, in no order
}

func newGraph(n int, tables []Table) *graph {
	g := &graph{words: (n + 63) / 64, near: make([][]int, n)}
	g.rows = make([]uint64, n*g.words)
	for _, t := range tables {
		for i, v := range t.Vars {
			for _, w := range t.Vars[:i] {
				g.join(v, w)
			}
		}
	}
	return g
}

func (g *graph) row(v int) []uint64 { return g.rows[v*g.words : (v+1)*g.words] }

func (g *graph) joined(v, w int) bool { return g.row(v)[w/64]>>(w%64)&1 == 1 }

func (g *graph) join(v, w int) {
	if v == w || g.joined(v, w) {
		return
	}
	g.row(v)[w/64] |= 1 << (w % 64)
	g.row(w)[v/64] |= 1 << (v % 64)
	g.near[v] = append(g.near[v], w)
	g.near[w] = append(g.near[w], v)
}

// fill counts the edges that taking a vertex out would add among its neighbours.
func (g *graph) fill(v int) int {
	missing, row := 0, g.row(v)
	for _, w := range g.near[v] {
		for i, word := range g.row(w) {
			missing += bits.OnesCount64(row[i] &^ word)
		}
		missing-- // a neighbour is not its own
	}
	return missing / 2
}

// remove joins the neighbours of a vertex and takes it out.
func (g *graph) remove(v int) {
	near := g.near[v]
	for i, w := range near {
		for _, u := range near[:i] {
			g.join(w, u)
		}
	}
	for _, w := range near {
		g.row(w)[v/64] &^= 1 << (v % 64)
		at := slices.Index(g.near[w], v)
		g.near[w] = slices.Delete(g.near[w], at, at+1)
	}
}

// elimination is an order in which variables are summed out, with the cluster
// that each of them stands in at its time.
type elimination struct {
	order    []int
	clusters [][]int // the variable itself first
	entries  float64 // of all cluster tables together
	largest  float64 // of the largest one
}

// rule says which of the variables that are left is summed out next: the one with
// the least cost. settled means that no other can do better.
type rule func(v int, g *graph, size float64) (cost [2]float64, settled bool)

// fewestEdges takes the variable whose removal adds the fewest edges (min-fill;
// Kjaerulff 1990), of these the one with the smallest cluster.
func fewestEdges(v int, g *graph, size float64) ([2]float64, bool) {
	fill := g.fill(v)
	return [2]float64{float64(fill), size}, fill == 0
}

// smallestCluster takes the variable with the smallest cluster.
func smallestCluster(_ int, _ *graph, size float64) ([2]float64, bool) {
	return [2]float64{size}, false
}

// inTurn goes along the chains side by side.
func (f *flat) inTurn(v int, _ *graph, _ float64) ([2]float64, bool) {
	return [2]float64{float64(f.turn[v]), float64(v)}, false
}

func (f *flat) eliminate(next rule) elimination {
	n := len(f.cards)
	g := newGraph(n, f.tables)
	costs := make([][2]float64, n)
	settled := make([]bool, n)
	sizes := make([]float64, n)
	stale := make([]bool, n)
	left := make([]int, n)
	for v := range n {
		left[v] = v
		stale[v] = true
	}
	out := elimination{}
	for len(left) > 0 {
		best := -1
		for i, v := range left {
			if stale[v] {
				sizes[v] = float64(f.cards[v])
				for _, w := range g.near[v] {
					sizes[v] *= float64(f.cards[w])
				}
				costs[v], settled[v] = next(v, g, sizes[v])
				stale[v] = false
			}
			if settled[v] {
				best = i
				break
			}
			if best < 0 || slices.Compare(costs[v][:], costs[left[best]][:]) < 0 {
				best = i
			}
		}
		v := left[best]
		left = slices.Delete(left, best, best+1)
		cluster := append([]int{v}, g.near[v]...)
		out.order = append(out.order, v)
		out.clusters = append(out.clusters, cluster)
		out.entries += sizes[v]
		out.largest = max(out.largest, sizes[v])
		g.remove(v)
		for _, w := range cluster[1:] {
			stale[w] = true
			for _, u := range g.near[w] {
				stale[u] = true
			}
		}
	}
	return out
}

// bestElimination tries several orders where the first is not cheap anyway, and
// returns the cheapest.
func (f *flat) bestElimination() elimination {
	const cheap = 1 << 14 // entries; a fraction of a millisecond
	best := f.eliminate(fewestEdges)
	for _, next := range []rule{f.inTurn, smallestCluster} {
		if best.entries <= cheap {
			break
		}
		if e := f.eliminate(next); e.entries < best.entries {
			best = e
		}
	}
	return best
}
