package parts

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"
	"pgregory.net/rapid"
)

// sumWorth is worth the sum of what is carried, as in a knapsack problem.
type sumWorth struct{ profit []float64 }

func (w sumWorth) gain(i int) float64 { return w.profit[i] }
func (w sumWorth) gains(i, most int) []float64 {
	out := make([]float64, max(0, most))
	for k := range out {
		out[k] = w.profit[i]
	}
	return out
}
func (w sumWorth) put(int)  {}
func (w sumWorth) take(int) {}

// Published knapsack problems with their optima.
func TestPublishedKnapsackProblems(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, source   string
		profit         []float64
		weight, second []float64
		limit          float64
		secondLimit    float64
		optimum        float64
	}{
		{
			name: "P01", source: "Kreher and Stinson, Combinatorial Algorithms, CRC Press 1999; collection of J. Burkardt, Florida State University",
			profit: []float64{92, 57, 49, 68, 60, 43, 67, 84, 87, 72}, weight: []float64{23, 31, 29, 44, 53, 38, 63, 85, 89, 82}, limit: 165, optimum: 309,
		},
		{
			name: "P07", source: "Kreher and Stinson 1999; collection of J. Burkardt",
			profit: []float64{135, 139, 149, 150, 156, 163, 173, 184, 192, 201, 210, 214, 221, 229, 240},
			weight: []float64{70, 73, 77, 80, 82, 87, 90, 94, 98, 106, 110, 113, 115, 118, 120}, limit: 750, optimum: 1458,
		},
		{
			name: "P08", source: "Kreher and Stinson 1999; collection of J. Burkardt",
			profit: []float64{825594, 1677009, 1676628, 1523970, 943972, 97426, 69666, 1296457, 1679693, 1902996, 1844992, 1049289,
				1252836, 1319836, 953277, 2067538, 675367, 853655, 1826027, 65731, 901489, 577243, 466257, 369261},
			weight: []float64{382745, 799601, 909247, 729069, 467902, 44328, 34610, 698150, 823460, 903959, 853665, 551830,
				610856, 670702, 488960, 951111, 323046, 446298, 931161, 31385, 496951, 264724, 224916, 169684},
			limit: 6404180, optimum: 13549094,
		},
		{
			name: "WEING1", source: "Weingartner and Ness 1967, Operations Research 15, 83-103; OR-Library of J. E. Beasley, mknap2: two limits, 28 items",
			profit: []float64{1898, 440, 22507, 270, 14148, 3100, 4650, 30800, 615, 4975, 1160, 4225, 510, 11880, 479, 440, 490, 330, 110, 560, 24355, 2885, 11748, 4550, 750, 3720, 1950, 10500},
			weight: []float64{45, 0, 85, 150, 65, 95, 30, 0, 170, 0, 40, 25, 20, 0, 0, 25, 0, 0, 25, 0, 165, 0, 85, 0, 0, 0, 0, 100},
			second: []float64{30, 20, 125, 5, 80, 25, 35, 73, 12, 15, 15, 40, 5, 10, 10, 12, 10, 9, 0, 20, 60, 40, 50, 36, 49, 40, 19, 150},
			limit:  600, secondLimit: 600, optimum: 141278,
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			choices := make([]Choice, len(c.profit))
			for i := range choices {
				choices[i] = Choice{Cost: c.weight[i], Most: 1}
				if c.second != nil {
					choices[i].Space = c.second[i]
				}
			}
			room := Room{c.limit, c.secondLimit}
			l := searched(t.Context(), choices, room, func() tally { return sumWorth{c.profit} }, 5_000_000)
			assert.True(t, l.Exact, "it ends")
			assert.InDelta(t, c.optimum, l.Worth, 1e-6, "as %s says", c.source)
			assert.LessOrEqual(t, l.Cost, c.limit)
			g := bounded(choices, room, func() tally { return sumWorth{c.profit} })
			assert.LessOrEqual(t, g.Worth, c.optimum+1e-6)
			assert.GreaterOrEqual(t, g.Bound, c.optimum-1e-6)
		})
	}
}

// coverage draws choices that close some kinds of call-out, with limits.
func coverage(t *rapid.T, most int) ([]Choice, []Demand) {
	n := rapid.IntRange(1, most).Draw(t, "choices")
	choices := make([]Choice, n)
	for i := range choices {
		choices[i] = Choice{
			Cost: float64(rapid.IntRange(1, 9).Draw(t, "cost")), Space: float64(rapid.IntRange(1, 4).Draw(t, "space")),
			Most: rapid.IntRange(1, 2).Draw(t, "most"),
		}
	}
	demands := make([]Demand, rapid.IntRange(1, 8).Draw(t, "demands"))
	for d := range demands {
		demands[d].Rate = rapid.Float64Range(0.01, 5).Draw(t, "rate")
		for i := range n {
			if rapid.IntRange(0, 2).Draw(t, "closes") == 0 {
				demands[d].Options = append(demands[d].Options, i)
			}
		}
	}
	return choices, demands
}

// exhaustive is the worth of the best of all loads.
func exhaustive(choices []Choice, room Room, fresh func() tally) float64 {
	w := fresh()
	best := 0.0
	var try func(i int, worth float64, l Load)
	try = func(i int, worth float64, l Load) {
		best = max(best, worth)
		if i == len(choices) {
			return
		}
		c := choices[i]
		put := 0
		for {
			try(i+1, worth, l)
			if put == c.Most || !c.fits(room, l) {
				break
			}
			worth += w.gain(i)
			w.put(i)
			put++
			l.Cost += c.Cost
			l.Space += c.Space
		}
		for range put {
			w.take(i)
		}
	}
	try(0, 0, Load{})
	return best
}

func TestPlansAgainstAllPlans(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		choices, demands := coverage(t, 7)
		room := Room{float64(rapid.IntRange(0, 30).Draw(t, "budget")), float64(rapid.IntRange(0, 12).Draw(t, "slots"))}
		worth := NewVisitWorth(len(choices), demands)
		fresh := worth.nothingCarried
		want := exhaustive(choices, room, fresh)
		g := bounded(choices, room, fresh)
		require.LessOrEqual(t, g.Worth, want+1e-9)
		require.GreaterOrEqual(t, g.Bound, want-1e-9, "no load is worth more than the bound")
		require.LessOrEqual(t, g.Cost, room.Budget+1e-6)
		require.LessOrEqual(t, g.Space, room.Slots+1e-6)
		short := searched(t.Context(), choices, room, fresh, 1)
		require.LessOrEqual(t, short.Worth, want+1e-9)
		require.GreaterOrEqual(t, short.Bound, want-1e-9, "also where the search ends early")
		require.GreaterOrEqual(t, short.Worth, g.Worth-1e-9, "exchanges only help")
		l := searched(t.Context(), choices, room, fresh, 1_000_000)
		require.True(t, l.Exact)
		require.InDelta(t, want, l.Worth, 1e-9)
	})
}

// Where only the number of choices is bounded, taking the best again and again is
// worth at least 1 - 1/e of the best (Nemhauser, Wolsey and Fisher 1978, theorem
// 4.1).
func TestGreedyPlansKeepTheirGuarantee(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		choices, demands := coverage(t, 8)
		for i := range choices {
			choices[i].Cost, choices[i].Space = 0, 1
		}
		room := Room{1, float64(rapid.IntRange(1, 6).Draw(t, "slots"))}
		worth := NewVisitWorth(len(choices), demands)
		fresh := worth.nothingCarried
		want := exhaustive(choices, room, fresh)
		l := greedy(choices, room, fresh(), func(Choice, Load) float64 { return 1 })
		require.GreaterOrEqual(t, l.Worth, GreedyShare*want-1e-9)
	})
}

// The worth grows, and the less by a choice the more is carried.
func TestTheWorthOfALoadIsMonotoneAndSubmodular(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		choices, demands := coverage(t, 6)
		w := NewVisitWorth(len(choices), demands).fresh()
		asked := rapid.IntRange(0, len(choices)-1).Draw(t, "asked")
		last := w.gain(asked)
		total := 0.0
		for range rapid.IntRange(1, 12).Draw(t, "steps") {
			put := rapid.IntRange(0, len(choices)-1).Draw(t, "put")
			g := w.gain(put)
			require.GreaterOrEqual(t, g, 0.0)
			total += g
			w.put(put)
			now := w.gain(asked)
			require.LessOrEqual(t, now, last+1e-12)
			last = now
		}
		require.LessOrEqual(t, total, w.Total()+1e-9, "no more calls are closed than there are")
	})
}

// The bound of pieces that may be cut is the optimum of a linear programme, as
// the simplex method of gonum finds it.
func TestTheBoundIsTheOptimumOfTheLinearProgramme(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 7).Draw(t, "pieces")
		pieces := make([]piece, n)
		// max g x, cost x + s1 = 1, space x + s2 = 1, x + t = 1
		c := make([]float64, 2*n+2)
		a := mat.NewDense(n+2, 2*n+2, nil)
		b := make([]float64, n+2)
		for i := range pieces {
			pieces[i] = piece{float64(rapid.IntRange(1, 50).Draw(t, "gain")), float64(rapid.IntRange(1, 20).Draw(t, "cost")) / 20, float64(rapid.IntRange(1, 20).Draw(t, "space")) / 20}
			c[i] = -pieces[i].gain
			a.Set(0, i, pieces[i].cost)
			a.Set(1, i, pieces[i].space)
			a.Set(2+i, i, 1)
			a.Set(2+i, n+i, 1)
			b[2+i] = 1
		}
		a.Set(0, 2*n, 1)
		a.Set(1, 2*n+1, 1)
		b[0], b[1] = 1, 1
		want, _, err := lp.Simplex(c, a, b, 1e-10, nil)
		require.NoError(t, err)
		got, _ := fractional(pieces)
		require.GreaterOrEqual(t, got, -want-1e-6, "a bound is never too low")
		require.InEpsilon(t, -want, got, 0.01, "and near")
	})
}

// Poisson tails for the mean 2, from the table in Abramowitz and Stegun,
// Handbook of Mathematical Functions, 26.4 by its relation with chi-square:
// P(N >= 1) = 1 - e^-2, P(N >= 2) = 1 - 3 e^-2, P(N >= 3) = 1 - 5 e^-2.
func TestPoissonTails(t *testing.T) {
	t.Parallel()
	e := math.Exp(-2)
	for n, want := range map[int]float64{1: 1 - e, 2: 1 - 3*e, 3: 1 - 5*e} {
		assert.InDelta(t, want, atLeast(2, n), 1e-12)
	}
	assert.InDelta(t, 1e-3, atLeast(1e-3, 1), 1e-6)
	assert.InEpsilon(t, 1e-12/2, atLeast(1e-6, 2), 1e-5, "small tails are not lost in rounding")
	assert.Zero(t, atLeast(0, 1))
}

// Of N calls that come with a mean, carrying q of a part closes E[min(N, q)].
func TestOneOptionIsExact(t *testing.T) {
	t.Parallel()
	const mean, carried = 2.0, 3
	w := NewVisitWorth(1, []Demand{{Rate: mean, Options: []int{0}}})
	sum := 0.0
	for range carried {
		sum += w.gain(0)
		w.put(0)
	}
	want, p := 0.0, math.Exp(-mean)
	for n := range 60 {
		want += p * float64(min(n, carried))
		p *= mean / float64(n+1)
	}
	assert.InDelta(t, want, sum, 1e-12)
}
