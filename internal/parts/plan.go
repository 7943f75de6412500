package parts

import (
	"cmp"
	"container/heap"
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

// Worth is what a load is worth. It has to grow with every choice, and the less by
// a further one the more is carried already (it is monotone and submodular).
type Worth interface {
	// Gain is what one more of a choice would add to what is carried now.
	Gain(choice int) float64
	// Gains are what the next ones would add, one after the other, if nothing else
	// were added; none of them above the one before.
	Gains(choice, most int) []float64
	// Put carries one more of a choice, Take one less.
	Put(choice int)
	Take(choice int)
}

// Room is what a van has room for.
type Room struct {
	Budget float64 // minutes of paid work
	Slots  float64
}

// Load is what is carried.
type Load struct {
	Counts []int // of each choice
	Order  []int // the choices in the order in which they were taken
	Worth  float64
	Cost   float64
	Space  float64
	// Bound is what no load can be worth more than.
	Bound float64
	// Exact says that no load is worth more than this one.
	Exact bool
	// Nodes is how many loads the exact search looked at.
	Nodes int
}

// Gap is by what share of the bound a load falls short of it; 0 for an exact one.
func (l Load) Gap() float64 {
	if l.Exact || l.Bound <= 0 {
		return 0
	}
	return max(0, 1-l.Worth/l.Bound)
}

// GreedyShare is what a greedy load is worth at least, as a share of the best one,
// where only the number of choices is bounded: 1 - 1/e (Nemhauser, Wolsey and
// Fisher 1978, Mathematical Programming 14, 265-294).
var GreedyShare = 1 - 1/math.E

// Bounder is a Worth that knows better what no load can be worth more than.
type Bounder interface {
	Bound(choices []Choice, room Room) float64
}

// Greedy fills the room by taking, again and again, the choice that adds most:
// by itself, for its cost, for its space, and for its share of what is left of
// both; and it looks at each choice alone. The best of these loads comes back.
// Where only slots bind and each choice takes one, it is worth at least GreedyShare
// of the best load; else the bound that comes with it says how far it can be off.
//
// The bound is the least over the loads that were looked at of their worth with
// the best fractional filling of the room by what each choice would add to them,
// of the two limits joined into one by the multiplier that makes it least.
func Greedy(choices []Choice, room Room, fresh func() Worth) Load {
	bound := upperBound(choices, room, fresh(), make([]int, len(choices)), 0)
	if b, ok := fresh().(Bounder); ok {
		bound = min(bound, b.Bound(choices, room))
	}
	best := fillings(choices, room, fresh, func(l Load, worth Worth) {
		bound = min(bound, upperBound(choices, room, worth, l.Counts, l.Worth))
	})
	best.Bound = max(bound, best.Worth)
	return best
}

// Filled is the load of Greedy without its bound, which takes most of the time.
func Filled(choices []Choice, room Room, fresh func() Worth) Load {
	return fillings(choices, room, fresh, func(Load, Worth) {})
}

// fillings is the best of the greedy loads; each is shown, with what carries it.
func fillings(choices []Choice, room Room, fresh func() Worth, show func(Load, Worth)) Load {
	best := Load{Counts: make([]int, len(choices))}
	for _, rule := range []func(Choice, Load) float64{
		func(Choice, Load) float64 { return 1 },
		func(c Choice, _ Load) float64 { return c.Cost },
		func(c Choice, _ Load) float64 { return c.Space },
		func(c Choice, l Load) float64 {
			return share(c.Cost, room.Budget-l.Cost) + share(c.Space, room.Slots-l.Space)
		},
		func(c Choice, _ Load) float64 { return share(c.Cost, room.Budget) + share(c.Space, room.Slots) },
	} {
		worth := fresh()
		l := greedy(choices, room, worth, rule)
		show(l, worth)
		if l.Worth > best.Worth {
			best = l
		}
	}
	w := fresh()
	for i, c := range choices {
		if g := w.Gain(i); g > best.Worth && c.fits(room, Load{}) && c.Most > 0 {
			best = Load{Counts: make([]int, len(choices)), Order: []int{i}, Worth: g, Cost: c.Cost, Space: c.Space}
			best.Counts[i] = 1
		}
	}
	return best
}

// mostSwaps bounds how often a load is made better by an exchange.
const mostSwaps = 400

// improved takes one thing out of a load, fills the room again, and keeps that where
// it is worth more, until nothing helps. Rounds of it begin with what adds least.
func improved(choices []Choice, room Room, fresh func() Worth, l Load) Load {
	worth := fresh()
	for _, i := range l.Order {
		worth.Put(i)
	}
	fullPrice := func(c Choice, _ Load) float64 { return share(c.Cost, room.Budget) + share(c.Space, room.Slots) }
	tried := 0
	for better := true; better; {
		better = false
		for at := len(l.Order) - 1; at >= 0 && tried < mostSwaps; at-- {
			tried++
			out := l.Order[at]
			worth.Take(out)
			without := Load{Counts: slices.Clone(l.Counts), Order: slices.Delete(slices.Clone(l.Order), at, at+1),
				Worth: l.Worth - worth.Gain(out), Cost: l.Cost - choices[out].Cost, Space: l.Space - choices[out].Space}
			without.Counts[out]--
			next := fill(choices, room, worth, fullPrice, without)
			if next.Worth > float64(l.Worth*(1+slack))+leastGain {
				l, better = next, true
				break
			}
			for _, i := range next.Order[len(without.Order):] {
				worth.Take(i)
			}
			worth.Put(out)
		}
	}
	return l
}

func share(x, of float64) float64 {
	if x <= 0 {
		return 0
	}
	return x / max(of, 1e-9)
}

// slack is how far sums of figures may overshoot a limit by rounding.
const slack = 1e-9

func (c Choice) fits(room Room, l Load) bool {
	return l.Cost+c.Cost <= float64(room.Budget*(1+slack))+slack && l.Space+c.Space <= float64(room.Slots*(1+slack))+slack
}

// waiting are choices by what they would add for their price, as it was when it was
// last worked out; it can only have become less (Minoux 1978).
type waiting struct {
	choice  int
	density float64
	gain    float64
	at      int // how much was carried then
}

type queue []waiting

func (q queue) Len() int { return len(q) }
func (q queue) Less(i, j int) bool {
	return q[i].density > q[j].density || q[i].density == q[j].density && q[i].choice < q[j].choice
}
func (q queue) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *queue) Push(x any)   { *q = append(*q, x.(waiting)) }
func (q *queue) Pop() any {
	old := *q
	x := old[len(old)-1]
	*q = old[:len(old)-1]
	return x
}

const leastGain = 1e-12

func greedy(choices []Choice, room Room, worth Worth, price func(Choice, Load) float64) Load {
	return fill(choices, room, worth, price, Load{Counts: make([]int, len(choices))})
}

// fill adds to a load, which is what the worth carries, as long as something fits.
func fill(choices []Choice, room Room, worth Worth, price func(Choice, Load) float64, l Load) Load {
	density := func(gain float64, c Choice) float64 { return gain / max(price(c, l), 1e-9) }
	q := make(queue, 0, len(choices))
	for i, c := range choices {
		if c.Most > l.Counts[i] && c.fits(room, l) {
			g := worth.Gain(i)
			q = append(q, waiting{i, density(g, c), g, 0})
		}
	}
	heap.Init(&q)
	for taken := 0; len(q) > 0; {
		w := heap.Pop(&q).(waiting)
		c := choices[w.choice]
		if !c.fits(room, l) || l.Counts[w.choice] >= c.Most {
			continue
		}
		if w.at < taken {
			w.gain, w.at = worth.Gain(w.choice), taken
			w.density = density(w.gain, c)
			if w.gain > leastGain {
				heap.Push(&q, w)
			}
			continue
		}
		if w.gain <= leastGain {
			continue
		}
		worth.Put(w.choice)
		l.Counts[w.choice]++
		l.Order = append(l.Order, w.choice)
		l.Worth += w.gain
		l.Cost += c.Cost
		l.Space += c.Space
		taken++
		w.gain, w.at = worth.Gain(w.choice), taken
		w.density = density(w.gain, c)
		heap.Push(&q, w)
	}
	return l
}

// piece is one of a choice with what it would add.
type piece struct{ gain, cost, space float64 }

// mostOfChoice bounds how many of one choice a bound looks at.
const mostOfChoice = 64

// upperBound is what no load can be worth more than, from what one load is worth
// and what each choice would add to it: that of an optimal load is at most that of
// this one and all the additions of what is in the other.
func upperBound(choices []Choice, room Room, worth Worth, counts []int, base float64) float64 {
	var pieces []piece
	for i, c := range choices {
		if !c.fits(room, Load{}) {
			continue
		}
		left := min(c.Most-counts[i], mostOfChoice)
		for _, g := range worth.Gains(i, left) {
			if g <= leastGain {
				break
			}
			pieces = append(pieces, piece{g, share(c.Cost, room.Budget), share(c.Space, room.Slots)})
		}
		if left == mostOfChoice { // there may be more, each adding as much as the last
			g := worth.Gains(i, left)
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

// FewChoices is how many choices are few enough to look for the best load.
const FewChoices = 80

// Best makes a greedy load better by exchanges, and of few choices looks for the best
// one by branch and bound. It is exact if it ends within a number of nodes; else it is the best load found and
// the bound of Greedy. It ends early, in the same way, when the context does.
func Best(ctx context.Context, choices []Choice, room Room, fresh func() Worth, nodes int) Load {
	greedy := Greedy(choices, room, fresh)
	best := improved(choices, room, fresh, greedy)
	best.Bound = max(greedy.Bound, best.Worth)
	if len(choices) > FewChoices {
		return best
	}
	s := search{choices: choices, room: room, worth: fresh(), best: best, left: nodes}
	s.order = densest(choices, room, s.worth)
	s.now.Counts = make([]int, len(choices))
	_, s.part = fractional(s.pieces(0))
	s.branch(ctx, 0)
	out := s.best
	out.Nodes = nodes - s.left
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
	worth   Worth
	order   []int
	now     Load
	best    Load
	left    int
	part    float64 // of the budget in the two limits joined into one
}

// densest are the choices by what the first of them adds for its room.
func densest(choices []Choice, room Room, worth Worth) []int {
	order := make([]int, len(choices))
	density := make([]float64, len(choices))
	for i, c := range choices {
		order[i] = i
		density[i] = worth.Gain(i) / max(share(c.Cost, room.Budget)+share(c.Space, room.Slots), 1e-9)
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
		s.best.Counts, s.best.Order = slices.Clone(s.now.Counts), slices.Clone(s.now.Order)
	}
	if from == len(s.order) || s.now.Worth+s.rest(from) <= float64(s.best.Worth*(1+slack))+leastGain {
		return
	}
	i := s.order[from]
	c := s.choices[i]
	before := s.now
	put := 0
	for put < c.Most && c.fits(s.room, s.now) {
		g := s.worth.Gain(i)
		if g <= leastGain {
			break
		}
		s.worth.Put(i)
		s.now.Counts[i]++
		s.now.Order = append(s.now.Order, i)
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
		s.worth.Take(i)
		g := s.worth.Gain(i)
		put--
		s.now.Counts[i]--
		s.now.Order = s.now.Order[:len(s.now.Order)-1]
		s.now.Worth -= g
		s.now.Cost -= c.Cost
		s.now.Space -= c.Space
	}
	if s.left <= 0 {
		return
	}
	s.now.Worth, s.now.Cost, s.now.Space, s.now.Order = before.Worth, before.Cost, before.Space, before.Order
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
		for _, g := range s.worth.Gains(i, min(c.Most, mostOfChoice)) {
			if g <= leastGain {
				break
			}
			pieces = append(pieces, piece{g, share(c.Cost, room.Budget), share(c.Space, room.Slots)})
		}
	}
	return pieces
}
