package parts

import (
	"math"
	"slices"

	"kg/internal/portable"
)

// Demand is a kind of call-out that one of some choices would close.
type Demand struct {
	// Rate is how many of them are expected in the time that the stock has to last.
	Rate    float64
	Options []int
}

// VisitWorth is how many call-outs are expected to be closed at the first visit by
// what is carried. The calls of a kind come by chance, independently of each other
// (Poisson). A choice is asked for by all the kinds that it would close, and has
// one left for each with the share of them that its number covers; of several
// choices for one kind, one is enough. Where each kind has one option that is
// exact; where it has several it is on the low side, since a choice is then asked
// for less than was reckoned.
type VisitWorth struct {
	demands []Demand
	of      [][]int     // demands of each choice
	counts  []int       // carried
	missing [][]float64 // of each choice, by how many are carried: the share that it does not cover
	asked   []float64
}

// NewVisitWorth prepares demands on a number of choices.
func NewVisitWorth(choices int, demands []Demand) *VisitWorth {
	w := &VisitWorth{demands: demands, of: make([][]int, choices), counts: make([]int, choices), missing: make([][]float64, choices), asked: make([]float64, choices)}
	for d, demand := range demands {
		for _, i := range demand.Options {
			w.of[i] = append(w.of[i], d)
			w.asked[i] += demand.Rate
		}
	}
	for i := range w.missing {
		w.missing[i] = []float64{1}
	}
	return w
}

// fresh is the same with nothing carried.
func (w *VisitWorth) fresh() *VisitWorth {
	out := *w
	out.counts = make([]int, len(w.counts))
	out.missing = slices.Clone(w.missing)
	return &out
}

func (w *VisitWorth) nothingCarried() tally { return w.fresh() }

// Total is how many call-outs the demands come to.
func (w *VisitWorth) Total() float64 {
	sum := 0.0
	for _, d := range w.demands {
		sum += d.Rate
	}
	return sum
}

// short is the share of the calls for a choice that find none left, of n.
func (w *VisitWorth) short(i, n int) float64 {
	for len(w.missing[i]) <= n {
		list := w.missing[i]
		k := len(list)
		w.missing[i] = append(list[:k:k], max(0, list[k-1]-atLeast(w.asked[i], k)/max(w.asked[i], math.SmallestNonzeroFloat64)))
	}
	return w.missing[i][n]
}

// atLeast is the probability that a Poisson count of a mean is n or more, n from 1.
func atLeast(mean float64, n int) float64 {
	if mean <= 0 {
		return 0
	}
	below, term := 0.0, portable.Exp(-mean)
	for k := range n {
		below += term
		term *= mean / float64(k+1)
	}
	if below > 0.999 { // the tail itself, before it is lost in rounding
		tail := 0.0
		for k := n; term > tail*1e-17; k++ {
			tail += term
			term *= mean / float64(k+1)
		}
		return tail
	}
	return max(0, 1-below)
}

// others is what the other options of a demand leave open.
func (w *VisitWorth) others(d, but int) float64 {
	open := 1.0
	for _, i := range w.demands[d].Options {
		if i != but {
			open *= w.short(i, w.counts[i])
		}
	}
	return open
}

func (w *VisitWorth) open(choice int) float64 {
	sum := 0.0
	for _, d := range w.of[choice] {
		sum += float64(w.demands[d].Rate * w.others(d, choice))
	}
	return sum
}

// gain implements tally.
func (w *VisitWorth) gain(choice int) float64 {
	n := w.counts[choice]
	return w.open(choice) * (w.short(choice, n) - w.short(choice, n+1))
}

// gains implements tally.
func (w *VisitWorth) gains(choice, most int) []float64 {
	open := w.open(choice)
	out := make([]float64, 0, max(most, 0))
	for n := w.counts[choice]; len(out) < most; n++ {
		g := open * (w.short(choice, n) - w.short(choice, n+1))
		out = append(out, g)
		if g <= leastGain {
			break
		}
	}
	return out
}

// bound is what no load can be worth more than. What several options close of one
// kind of call-out is at most their sum, and at most all of it; so it is at most
// any mean of the two. With that, the worth is a sum over pieces, for which the best
// fractional filling of the room is known; the weights of the means are made to give
// a low bound by subgradient steps.
func (w *VisitWorth) bound(choices []Choice, room Room) float64 {
	const steps, again = 120, 20
	type unit struct {
		choice int
		drop   float64 // of the share of calls that find none left
	}
	var units []unit
	var pieces []piece
	for i, c := range choices {
		if !c.fits(room, Load{}) {
			continue
		}
		for n := range min(c.Most, mostOfChoice) {
			drop := w.short(i, n) - w.short(i, n+1)
			if drop*w.asked[i] <= leastGain {
				break
			}
			if n == mostOfChoice-1 { // the last one stands for all that follow
				drop = w.short(i, n)
			}
			units = append(units, unit{i, drop})
			pieces = append(pieces, piece{0, share(c.Cost, room.Budget), share(c.Space, room.Slots)})
		}
	}
	weight := make([]float64, len(w.demands))
	for d := range weight {
		weight[d] = 1
	}
	best, part := math.Inf(1), 0.5
	for step := range steps {
		fixed := 0.0
		for d, demand := range w.demands {
			fixed += float64(demand.Rate * (1 - weight[d]))
		}
		for k, u := range units {
			pieces[k].gain = 0
			for _, d := range w.of[u.choice] {
				pieces[k].gain += float64(w.demands[d].Rate * weight[d] * u.drop)
			}
		}
		if step%again == 0 {
			_, part = fractional(pieces)
		}
		closed := make([]float64, len(w.demands))
		sum := joined(pieces, part, func(k int, some float64) {
			for _, d := range w.of[units[k].choice] {
				closed[d] += float64(some * units[k].drop)
			}
		})
		best = min(best, fixed+sum)
		length := 1 / math.Sqrt(float64(step)+4)
		for d, demand := range w.demands {
			if len(demand.Options) > 1 {
				weight[d] = min(1, max(0, weight[d]+float64(length*(1-closed[d]))))
			}
		}
	}
	return best
}

// put implements tally.
func (w *VisitWorth) put(choice int) { w.counts[choice]++ }

// take implements tally.
func (w *VisitWorth) take(choice int) { w.counts[choice]-- }
