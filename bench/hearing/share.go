package main

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
)

// tally counts what came out as it should.
type tally struct{ hits, of int }

func (t *tally) add(hit bool) {
	t.of++
	if hit {
		t.hits++
	}
}

// counted is the tally of some things.
func counted[T any](things []T, hit func(T) bool) tally {
	var t tally
	for _, x := range things {
		t.add(hit(x))
	}
	return t
}

// share is the part that came out as it should, with its score interval (Wilson, E. B.
// 1927. Probable inference, the law of succession, and statistical inference. Journal
// of the American Statistical Association 22: 209-212). Of nothing it is 0, and
// anything from 0 to 1.
func (t tally) share() estimate {
	const z = 1.959964 // of the standard normal distribution at 97.5 per cent
	if t.of == 0 {
		return estimate{0, 0, 1, "none"}
	}
	n, p := float64(t.of), float64(t.hits)/float64(t.of)
	middle := (p + z*z/(2*n)) / (1 + z*z/n)
	half := z / (1 + z*z/n) * math.Sqrt(p*(1-p)/n+z*z/(4*n*n))
	return estimate{p, max(0, middle-half), min(1, middle+half), fmt.Sprintf("%d of %d", t.hits, t.of)}
}

// resampled is a figure over sentences that is not a share of them, with the percentile
// interval of the same figure over as many sentences that are drawn from them again and
// again (Efron, B. and Tibshirani, R. J. 1993. An Introduction to the Bootstrap,
// chapter 13). The draws are the same ones every time.
func resampled[T any](sample []T, figure func([]T) float64) estimate {
	const draws = 2000
	rng := rand.New(rand.NewPCG(1, 1))
	drawn := make([]T, len(sample))
	values := make([]float64, draws)
	for d := range values {
		for i := range drawn {
			drawn[i] = sample[rng.IntN(len(sample))]
		}
		values[d] = figure(drawn)
	}
	slices.Sort(values)
	const tail = draws / 40 // 2.5 per cent
	return estimate{figure(sample), values[tail], values[draws-1-tail], fmt.Sprintf("%d drawn again", len(sample))}
}
