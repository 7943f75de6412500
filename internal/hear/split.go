package hear

import (
	"math"
	"strings"
)

// perFinding is what one more finding costs, in words that are heard for sure.
const perFinding = 0.1

// clearest splits a text into the windows that are heard most clearly together: the
// sum over its words of how probable it is that they say what they most probably say,
// less a price for each split.
func clearest(windows [][]window) []window {
	n := len(windows)
	best := make([]float64, n+1)
	from := make([]*window, n+1)
	for i := n - 1; i >= 0; i-- {
		best[i] = math.Inf(-1)
		for k := range windows[i] {
			w := &windows[i][k]
			value := float64(float64(len(strings.Fields(w.text)))*w.clarity()) - perFinding + best[i+len(w.clauses)]
			if value > best[i] {
				best[i], from[i] = value, w
			}
		}
	}
	var out []window
	for i := 0; i < n; i += len(from[i].clauses) {
		out = append(out, *from[i])
	}
	return out
}

// clarity is the probability of what is most probably said, and that nothing else is.
func (w window) clarity() float64 {
	p := w.guesses.nothing()
	if len(w.guesses) > 0 {
		p = max(p, w.guesses[0].p)
	}
	return float64((1 - w.several) * p)
}
