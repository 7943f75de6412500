package bayes

import (
	"cmp"
	"slices"
)

// flat is a problem without chains. Hidden variables are numbered after those of
// the problem.
type flat struct {
	cards  []int
	tables []Table
	// turn is when each variable is best summed out if the chains are gone through
	// side by side, step by step.
	turn []int
	// ends holds for each chain that ends in a weight how it does.
	ends map[int]ending
}

// ending is how a chain weighs: in the last of its tables, or, with one state, in
// all of them.
type ending struct {
	chain  Chain
	first  int // of its tables
	tables int
	states int // of the variable of its last step
	before int // hidden variable before the last step, -1 for none
}

// weighing returns the tables of a chain from the first of them on that change
// with its end, and what they are with another one; nil weighs nothing.
func (e ending) weighing(end []float64, whole []Table) (first int, tables [][]float64) {
	if len(e.chain.Start) == 1 {
		for _, t := range whole[e.first : e.first+e.tables] {
			p := make([]float64, len(t.P))
			for i := range p {
				p[i] = 1
			}
			tables = append(tables, p)
		}
		return e.first, tables
	}
	c := e.chain
	c.End = end
	if end == nil {
		c.End = make([]float64, len(c.Start))
		sum := 0.0
		for _, x := range c.Start {
			sum += x
		}
		for i := range c.End {
			c.End[i] = 1
			if sum > 0 {
				c.End[i] = 1 / sum // so that it weighs nothing whatever it starts from
			}
		}
	}
	last := e.first + e.tables - 1
	if len(c.Steps) == 0 {
		return last, [][]float64{c.alone().P}
	}
	return last, [][]float64{c.link(c.Steps[len(c.Steps)-1], e.before, -1, e.states).P}
}

// flatten turns chains into tables over their variables and hidden ones. Chains
// of one state need no hidden variable: this is how negative findings of noisy-OR
// gates are absorbed in linear time.
func (p Problem) flatten() *flat {
	place := p.stepOrder()
	f := &flat{cards: append([]int(nil), p.Cards...), tables: append([]Table(nil), p.Tables...)}
	for v := range p.Cards {
		f.turn = append(f.turn, 2*place[v]+1)
	}
	f.ends = make(map[int]ending, len(p.Chains))
	for i, c := range p.Chains {
		steps := append([]Step(nil), c.Steps...)
		slices.SortStableFunc(steps, func(a, b Step) int { return place[a.Var] - place[b.Var] })
		first := len(f.tables)
		f.add(c, steps, place)
		if c.End == nil {
			continue
		}
		e := ending{chain: c, first: first, tables: len(f.tables) - first, before: -1}
		e.chain.Steps = steps
		if len(steps) > 0 {
			e.states = p.Cards[steps[len(steps)-1].Var]
		}
		if len(steps) > 1 && len(c.Start) > 1 {
			e.before = f.tables[len(f.tables)-1].Vars[0]
		}
		f.ends[i] = e
	}
	return f
}

func (f *flat) add(c Chain, steps []Step, place []int) {
	n := len(c.Start)
	if n == 1 && c.End != nil {
		f.tables = append(f.tables, Table{P: []float64{c.Start[0] * c.End[0]}})
		for _, s := range steps {
			t := Table{Vars: []int{s.Var}, P: make([]float64, len(s.Move))}
			for state := range t.P {
				t.P[state] = s.at(state, 0, 0, 1)
			}
			f.tables = append(f.tables, t)
		}
		return
	}
	if len(steps) == 0 {
		f.tables = append(f.tables, c.alone())
		return
	}
	before := -1 // hidden variable before the step; none before the first
	for i, s := range steps {
		after := -1 // none after the last, unless the chain ends in a variable
		switch {
		case i < len(steps)-1:
			after = len(f.cards)
			f.cards = append(f.cards, n)
			f.turn = append(f.turn, 2*place[steps[i+1].Var])
		case c.End == nil:
			after = c.Into
		}
		f.tables = append(f.tables, c.link(s, before, after, f.cards[s.Var]))
		before = after
	}
}

// alone is the table of a chain without steps.
func (c Chain) alone() Table {
	if c.End == nil {
		return Table{Vars: []int{c.Into}, P: append([]float64(nil), c.Start...)}
	}
	sum := 0.0
	for i := range c.Start {
		sum += float64(c.Start[i] * c.End[i])
	}
	return Table{P: []float64{sum}}
}

// link is the table of one step between two hidden variables; the start or the
// end is summed in where there is none.
func (c Chain) link(s Step, before, after, states int) Table {
	n := len(c.Start)
	rows, columns := n, n
	t := Table{}
	if before < 0 {
		rows = 1
	} else {
		t.Vars = append(t.Vars, before)
	}
	t.Vars = append(t.Vars, s.Var)
	if after < 0 {
		columns = 1
	} else {
		t.Vars = append(t.Vars, after)
	}
	t.P = make([]float64, rows*states*columns)
	for from := range n {
		for state := range states {
			for to := range n {
				x := s.at(state, from, to, n)
				row, column := from, to
				if before < 0 {
					row = 0
					x *= c.Start[from]
				}
				if after < 0 {
					column = 0
					x *= c.End[to]
				}
				t.P[(row*states+state)*columns+column] += x
			}
		}
	}
	return t
}

func (s Step) at(state, from, to, n int) float64 {
	m := s.Move[state]
	if len(m) > 0 {
		return m[from*n+to]
	}
	if from == to {
		return 1
	}
	return 0
}

// stepOrder gives each variable a place, the same for all chains, so that few
// chains are open at a time: variables of one chain first, then always the one
// that opens the fewest new chains, or closes the most.
func (p Problem) stepOrder() []int {
	chains := make([][]int, len(p.Cards)) // of each variable
	left := make([]int, len(p.Chains))    // steps that are still to come
	for i, c := range p.Chains {
		if len(c.Start) == 1 && c.End != nil {
			continue
		}
		left[i] = len(c.Steps)
		for _, s := range c.Steps {
			chains[s.Var] = append(chains[s.Var], i)
		}
	}
	place := make([]int, len(p.Cards))
	var shared []int
	at := 0
	for _, v := range p.together() {
		in := chains[v]
		if len(in) > 1 {
			shared = append(shared, v)
			continue
		}
		place[v] = at
		at++
		for _, c := range in {
			left[c]--
		}
	}
	open := make([]bool, len(p.Chains))
	for len(shared) > 0 {
		best, bestCost := 0, [2]int{1 << 30, 0}
		for i, v := range shared {
			opens, closes := 0, 0
			for _, c := range chains[v] {
				if !open[c] {
					opens++
				}
				if left[c] == 1 {
					closes++
				}
			}
			if cost := [2]int{opens - closes, opens}; cmp.Or(cmp.Compare(cost[0], bestCost[0]), cmp.Compare(cost[1], bestCost[1])) < 0 {
				best, bestCost = i, cost
			}
		}
		v := shared[best]
		shared = append(shared[:best], shared[best+1:]...)
		place[v] = at
		at++
		for _, c := range chains[v] {
			open[c] = true
			left[c]--
		}
	}
	return place
}

// together is an order of the variables in which those that stand in a table, or in
// a chain into one of them, are near each other: depth first from variables with
// few neighbours.
func (p Problem) together() []int {
	near := make([][]int, len(p.Cards))
	join := func(v, w int) {
		if v != w && !slices.Contains(near[v], w) {
			near[v], near[w] = append(near[v], w), append(near[w], v)
		}
	}
	for _, t := range p.Tables {
		for i, v := range t.Vars {
			for _, w := range t.Vars[:i] {
				join(v, w)
			}
		}
	}
	for _, c := range p.Chains {
		if c.End == nil {
			for _, s := range c.Steps {
				join(s.Var, c.Into)
			}
		}
	}
	byDegree := func(a, b int) int { return cmp.Or(len(near[a])-len(near[b]), a-b) }
	starts := make([]int, len(near))
	for v := range starts {
		starts[v] = v
		slices.SortFunc(near[v], byDegree)
	}
	slices.SortFunc(starts, byDegree)
	out := make([]int, 0, len(near))
	seen := make([]bool, len(near))
	var visit func(int)
	visit = func(v int) {
		if seen[v] {
			return
		}
		seen[v] = true
		out = append(out, v)
		for _, w := range near[v] {
			visit(w)
		}
	}
	for _, v := range starts {
		visit(v)
	}
	return out
}

// Under is the weight of a chain in a world where each of its variables is in
// its second state or in its first.
func (c Chain) Under(world []bool) float64 {
	state := c.Start
	for _, s := range c.Steps {
		if world[s.Var] {
			state = moved(state, s.Move[1])
		} else {
			state = moved(state, s.Move[0])
		}
	}
	sum := 0.0
	for i, x := range state {
		sum += float64(x * c.End[i])
	}
	return sum
}

// moved is the state of a chain after a step; an empty matrix leaves it as it is.
func moved(state, matrix []float64) []float64 {
	if len(matrix) == 0 {
		return state
	}
	n := len(state)
	out := make([]float64, n)
	for from, p := range state {
		for to := range n {
			out[to] += float64(p * matrix[from*n+to])
		}
	}
	return out
}
