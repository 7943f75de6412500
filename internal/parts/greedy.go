package parts

import (
	"container/heap"
	"math"
	"slices"
)

// GreedyShare is what a greedy load is worth at least, as a share of the best one,
// where only the number of choices is bounded: 1 - 1/e (Nemhauser, Wolsey and
// Fisher 1978, Mathematical Programming 14, 265-294).
var GreedyShare = 1 - 1/math.E

// bounder is a tally that knows better what no load can be worth more than.
type bounder interface {
	bound(choices []Choice, room Room) float64
}

// bounded fills the room by taking, again and again, the choice that adds most:
// by itself, for its cost, for its space, and for its share of what is left of
// both; and it looks at each choice alone. The best of these loads comes back.
// Where only slots bind and each choice takes one, it is worth at least GreedyShare
// of the best load; else the bound that comes with it says how far it can be off.
//
// The bound is the least over the loads that were looked at of their worth with
// the best fractional filling of the room by what each choice would add to them,
// of the two limits joined into one by the multiplier that makes it least.
func bounded(choices []Choice, room Room, fresh func() tally) Load {
	bound := upperBound(choices, room, fresh(), make([]int, len(choices)), 0)
	if b, ok := fresh().(bounder); ok {
		bound = min(bound, b.bound(choices, room))
	}
	best := fillings(choices, room, fresh, func(l Load, worth tally) {
		bound = min(bound, upperBound(choices, room, worth, l.Counts, l.Worth))
	})
	best.Bound = max(bound, best.Worth)
	return best
}

// Filled is a greedy load without a bound of how far it is from the best, which
// takes most of the time of Best.
func Filled(choices []Choice, room Room, calls *VisitWorth) Load {
	return fillings(choices, room, calls.nothingCarried, func(Load, tally) {})
}

// fillings is the best of the greedy loads; each is shown, with what carries it.
func fillings(choices []Choice, room Room, fresh func() tally, show func(Load, tally)) Load {
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
		if g := w.gain(i); g > best.Worth && c.fits(room, Load{}) && c.Most > 0 {
			best = Load{Counts: make([]int, len(choices)), order: []int{i}, Worth: g, Cost: c.Cost, Space: c.Space}
			best.Counts[i] = 1
		}
	}
	return best
}

// mostSwaps bounds how often a load is made better by an exchange.
const mostSwaps = 400

// improved takes one thing out of a load, fills the room again, and keeps that where
// it is worth more, until nothing helps. Rounds of it begin with what adds least.
func improved(choices []Choice, room Room, fresh func() tally, l Load) Load {
	worth := fresh()
	for _, i := range l.order {
		worth.put(i)
	}
	fullPrice := func(c Choice, _ Load) float64 { return share(c.Cost, room.Budget) + share(c.Space, room.Slots) }
	tried := 0
	for better := true; better; {
		better = false
		for at := len(l.order) - 1; at >= 0 && tried < mostSwaps; at-- {
			tried++
			out := l.order[at]
			worth.take(out)
			without := Load{Counts: slices.Clone(l.Counts), order: slices.Delete(slices.Clone(l.order), at, at+1),
				Worth: l.Worth - worth.gain(out), Cost: l.Cost - choices[out].Cost, Space: l.Space - choices[out].Space}
			without.Counts[out]--
			next := fill(choices, room, worth, fullPrice, without)
			if next.Worth > float64(l.Worth*(1+slack))+leastGain {
				l, better = next, true
				break
			}
			for _, i := range next.order[len(without.order):] {
				worth.take(i)
			}
			worth.put(out)
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

func greedy(choices []Choice, room Room, worth tally, price func(Choice, Load) float64) Load {
	return fill(choices, room, worth, price, Load{Counts: make([]int, len(choices))})
}

// fill adds to a load, which is what the worth carries, as long as something fits.
func fill(choices []Choice, room Room, worth tally, price func(Choice, Load) float64, l Load) Load {
	density := func(gain float64, c Choice) float64 { return gain / max(price(c, l), 1e-9) }
	q := make(queue, 0, len(choices))
	for i, c := range choices {
		if c.Most > l.Counts[i] && c.fits(room, l) {
			g := worth.gain(i)
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
			w.gain, w.at = worth.gain(w.choice), taken
			w.density = density(w.gain, c)
			if w.gain > leastGain {
				heap.Push(&q, w)
			}
			continue
		}
		if w.gain <= leastGain {
			continue
		}
		worth.put(w.choice)
		l.Counts[w.choice]++
		l.order = append(l.order, w.choice)
		l.Worth += w.gain
		l.Cost += c.Cost
		l.Space += c.Space
		taken++
		w.gain, w.at = worth.gain(w.choice), taken
		w.density = density(w.gain, c)
		heap.Push(&q, w)
	}
	return l
}
