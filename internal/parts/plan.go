package parts

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// Choice is something of which one or more can be carried.
type Choice struct {
	Cost  float64 // of one, in minutes of paid work; not below 0
	Space float64 // slots that one takes; not below 0
	Most  int     // how many can be carried at the most
}

// tally is what a load is worth. It has to grow with every choice, and the less by
// a further one the more is carried already (it is monotone and submodular).
type tally interface {
	// gain is what one more of a choice would add to what is carried now.
	gain(choice int) float64
	// gains are what the next ones would add, one after the other, if nothing else
	// were added; none of them above the one before.
	gains(choice, most int) []float64
	// put carries one more of a choice, take one less.
	put(choice int)
	take(choice int)
}

// Room is what a van has room for.
type Room struct {
	Budget float64 // minutes of paid work
	Slots  float64
}

// Load is what is carried.
type Load struct {
	Counts []int // of each choice
	order  []int // the choices in the order in which they were taken
	Worth  float64
	Cost   float64
	Space  float64
	// Bound is what no load can be worth more than.
	Bound float64
	// Exact says that no load is worth more than this one.
	Exact bool
	// nodes is how many loads the exact search looked at.
	nodes int
}

// Gap is by what share of the bound a load falls short of it; 0 for an exact one.
func (l Load) Gap() float64 {
	if l.Exact || l.Bound <= 0 {
		return 0
	}
	return max(0, 1-l.Worth/l.Bound)
}

// piece is one of a choice with what it would add.
type piece struct{ gain, cost, space float64 }

// mostOfChoice bounds how many of one choice a bound looks at.
const mostOfChoice = 64

// upperBound is what no load can be worth more than, from what one load is worth
// and what each choice would add to it: that of an optimal load is at most that of
// this one and all the additions of what is in the other.
func upperBound(choices []Choice, room Room, worth tally, counts []int, base float64) float64 {
	var pieces []piece
	for i, c := range choices {
		if !c.fits(room, Load{}) {
			continue
		}
		left := min(c.Most-counts[i], mostOfChoice)
		for _, g := range worth.gains(i, left) {
			if g <= leastGain {
				break
			}
			pieces = append(pieces, piece{g, share(c.Cost, room.Budget), share(c.Space, room.Slots)})
		}
		if left == mostOfChoice { // there may be more, each adding as much as the last
			g := worth.gains(i, left)
			if last := g[len(g)-1]; last > leastGain {
				pieces = append(pieces, piece{last * float64(c.Most-counts[i]-left), 0, 0})
			}
		}
	}
	bound, _ := fractional(pieces)
	return base + bound
}

// fractional is the most that pieces, which may be cut, add within one of each
// limit: the least over all ways of joining the limits into one, which is the
// optimum of the linear programme by its duality. With it comes the part that the
// first limit has in the joined one.
func fractional(pieces []piece) (bound, part float64) {
	at := func(part float64) float64 { return joined(pieces, part, nil) }
	const steps = 40
	golden := (math.Sqrt(5) - 1) / 2
	low, high := 0.0, 1.0
	a, b := high-float64(golden*(high-low)), low+float64(golden*(high-low))
	fa, fb := at(a), at(b)
	least, part := at(0), 0.0
	keep := func(bound, at float64) {
		if bound < least {
			least, part = bound, at
		}
	}
	keep(at(1), 1)
	keep(fa, a)
	keep(fb, b)
	for range steps {
		if fa <= fb {
			high, b, fb = b, a, fa
			a = high - float64(golden*(high-low))
			fa = at(a)
			keep(fa, a)
		} else {
			low, a, fa = a, b, fb
			b = low + float64(golden*(high-low))
			fb = at(b)
			keep(fb, b)
		}
	}
	return least, part
}

// joined is the most that pieces, which may be cut, add within the two limits
// joined into one, of which the first has a part; taken is told how much of each
// piece that takes.
func joined(pieces []piece, part float64, taken func(piece int, share float64)) float64 {
	weights := make([]float64, len(pieces))
	density := make([]float64, len(pieces))
	order := make([]int, len(pieces))
	for i, p := range pieces {
		weights[i], order[i] = float64(part*p.cost)+float64((1-part)*p.space), i
		density[i] = p.gain / max(weights[i], math.SmallestNonzeroFloat64)
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(density[b], density[a]) })
	sum, left := 0.0, 1.0
	for _, i := range order {
		some := 1.0
		if weights[i] > left {
			some = left / weights[i]
		}
		sum += float64(pieces[i].gain * some)
		left -= float64(weights[i] * some)
		if taken != nil {
			taken(i, some)
		}
		if some < 1 {
			break
		}
	}
	return sum
}

// fewChoices is how many choices are few enough to look for the best load.
const fewChoices = 80

// Best looks for the load that closes the most call-outs. It makes a greedy load
// better by exchanges, and of few choices looks for the best one by branch and bound.
// It is exact if that ends within a number of nodes; else it is the best load found
// and the bound of the greedy one. It ends early, in the same way, when the context
// does.
func Best(ctx context.Context, choices []Choice, room Room, calls *VisitWorth, nodes int) Load {
	return searched(ctx, choices, room, calls.nothingCarried, nodes)
}

// searched is Best for any worth; fresh is that of nothing carried.
func searched(ctx context.Context, choices []Choice, room Room, fresh func() tally, nodes int) Load {
	greedy := bounded(choices, room, fresh)
	best := improved(choices, room, fresh, greedy)
	best.Bound = max(greedy.Bound, best.Worth)
	if len(choices) > fewChoices {
		return best
	}
	s := search{choices: choices, room: room, worth: fresh(), best: best, left: nodes}
	s.order = densest(choices, room, s.worth)
	s.now.Counts = make([]int, len(choices))
	_, s.part = fractional(s.pieces(0))
	s.branch(ctx, 0)
	out := s.best
	out.nodes = nodes - s.left
	if s.left > 0 && ctx.Err() == nil {
		out.Exact, out.Bound = true, out.Worth
	} else {
		out.Bound = best.Bound
	}
	return out
}

type search struct {
	choices []Choice
	room    Room
	worth   tally
	order   []int
	now     Load
	best    Load
	left    int
	part    float64 // of the budget in the two limits joined into one
}

// densest are the choices by what the first of them adds for its room.
func densest(choices []Choice, room Room, worth tally) []int {
	order := make([]int, len(choices))
	density := make([]float64, len(choices))
	for i, c := range choices {
		order[i] = i
		density[i] = worth.gain(i) / max(share(c.Cost, room.Budget)+share(c.Space, room.Slots), 1e-9)
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(density[b], density[a]) })
	return order
}

// branch decides about the choices from a place on: as many of each as fit first.
func (s *search) branch(ctx context.Context, from int) {
	if s.left--; s.left <= 0 || s.left%256 == 0 && ctx.Err() != nil {
		s.left = min(s.left, 0)
		return
	}
	if s.now.Worth > s.best.Worth+leastGain {
		s.best = s.now
		s.best.Counts, s.best.order = slices.Clone(s.now.Counts), slices.Clone(s.now.order)
	}
	if from == len(s.order) || s.now.Worth+s.rest(from) <= float64(s.best.Worth*(1+slack))+leastGain {
		return
	}
	i := s.order[from]
	c := s.choices[i]
	before := s.now
	put := 0
	for put < c.Most && c.fits(s.room, s.now) {
		g := s.worth.gain(i)
		if g <= leastGain {
			break
		}
		s.worth.put(i)
		s.now.Counts[i]++
		s.now.order = append(s.now.order, i)
		s.now.Worth += g
		s.now.Cost += c.Cost
		s.now.Space += c.Space
		put++
	}
	for put > 0 {
		s.branch(ctx, from+1)
		if s.left <= 0 {
			break
		}
		s.worth.take(i)
		g := s.worth.gain(i)
		put--
		s.now.Counts[i]--
		s.now.order = s.now.order[:len(s.now.order)-1]
		s.now.Worth -= g
		s.now.Cost -= c.Cost
		s.now.Space -= c.Space
	}
	if s.left <= 0 {
		return
	}
	s.now.Worth, s.now.Cost, s.now.Space, s.now.order = before.Worth, before.Cost, before.Space, before.order
	s.branch(ctx, from+1)
}

// rest is what the choices from a place on can add at the most to what is carried.
func (s *search) rest(from int) float64 { return joined(s.pieces(from), s.part, nil) }

func (s *search) pieces(from int) []piece {
	room := Room{s.room.Budget - s.now.Cost, s.room.Slots - s.now.Space}
	var pieces []piece
	for _, i := range s.order[from:] {
		c := s.choices[i]
		if !c.fits(s.room, s.now) {
			continue
		}
		for _, g := range s.worth.gains(i, min(c.Most, mostOfChoice)) {
			if g <= leastGain {
				break
			}
			pieces = append(pieces, piece{g, share(c.Cost, room.Budget), share(c.Space, room.Slots)})
		}
	}
	return pieces
}
