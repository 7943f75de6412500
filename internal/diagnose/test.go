package diagnose

import (
	"math"
	"slices"
)

// Test is a test method: for each of its results, how likely it is under each
// cause that the test speaks of, and with none of them.
type Test struct {
	ID      ID
	Results []Result
}

// Result is one thing that a test can find. Given holds the probability of the
// result when a cause is there, Otherwise that when none of the causes is that
// the test speaks of.
type Result struct {
	Name      string
	Given     map[ID]float64
	Otherwise float64
}

// Causes are the causes that a test speaks of, in order.
func (t Test) Causes() []ID {
	named := map[ID]float64{}
	for _, r := range t.Results {
		for id, p := range r.Given {
			named[id] = p
		}
	}
	return sortedKeys(named)
}

// Complete fills what the notes leave open in the results of a test. For each
// cause that some result names, and for all others together, the results share
// out 1; what is left over goes in equal parts to the results that say nothing.
func Complete(results []Result, said func(result int, cause ID) (float64, bool), causes []ID, otherwise func(result int) (float64, bool)) []Result {
	out := slices.Clone(results)
	for i := range out {
		out[i].Given = map[ID]float64{}
	}
	for _, c := range causes {
		for i, p := range shareOut(len(out), func(i int) (float64, bool) { return said(i, c) }) {
			out[i].Given[c] = p
		}
	}
	for i, p := range shareOut(len(out), otherwise) {
		out[i].Otherwise = p
	}
	return out
}

func shareOut(n int, said func(int) (float64, bool)) []float64 {
	out := make([]float64, n)
	rest, open := 1.0, 0
	for i := range out {
		if p, ok := said(i); ok {
			out[i] = p
			rest -= p
		} else {
			open++
		}
	}
	for i := range out {
		if _, ok := said(i); !ok {
			out[i] = math.Max(rest, 0) / float64(open)
		}
	}
	sum := 0.0
	for _, p := range out {
		sum += p
	}
	if sum > 0 {
		for i := range out {
			out[i] /= sum // figures that do not share out 1 are taken in proportion
		}
	}
	return out
}
