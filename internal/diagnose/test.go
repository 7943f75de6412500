package diagnose

import (
	"cmp"
	"math"
	"slices"
)

// Test is a test method: for each of its results, how likely it is under some
// causes and under all others.
type Test struct {
	ID      ID
	Minutes float64
	Results []Result
}

// Result is one thing that a test can find. Given holds the probability of the
// result under the causes that are named; Otherwise that under all others.
type Result struct {
	Name      string
	Given     map[ID]float64
	Otherwise float64
}

// Value is what a test is expected to tell.
type Value struct {
	Test ID
	// Bits is the expected drop of uncertainty about the cause, the mutual
	// information of the cause and the result (Shannon 1948).
	Bits float64
	// PerMinute is Bits over the minutes of the test.
	PerMinute float64
}

// Rank values tests by what they tell about the beliefs for each minute, the
// best first, equal ones by id. Tests that tell nothing are left out. It looks
// one test ahead.
func (b Beliefs) Rank(tests []Test) []Value {
	var out []Value
	for _, t := range tests {
		bits := b.information(t)
		if bits < 1e-6 {
			continue
		}
		out = append(out, Value{Test: t.ID, Bits: bits, PerMinute: bits / math.Max(t.Minutes, 1)})
	}
	slices.SortFunc(out, func(x, y Value) int {
		return cmp.Or(cmp.Compare(y.PerMinute, x.PerMinute), cmp.Compare(x.Test, y.Test))
	})
	return out
}

// information is the mutual information of the cause and the result of a test,
// in bits: the sum over results of P(result) log2 of what it does to each cause.
func (b Beliefs) information(t Test) float64 {
	bits := 0.0
	for _, r := range t.Results {
		total := b.Other * r.Otherwise
		for _, c := range b.Causes {
			total += c.Probability * r.under(c.ID)
		}
		if total <= 0 {
			continue
		}
		bits += gain(b.Other, r.Otherwise, total)
		for _, c := range b.Causes {
			bits += gain(c.Probability, r.under(c.ID), total)
		}
	}
	return math.Max(bits, 0)
}

func gain(p, given, total float64) float64 {
	if p <= 0 || given <= 0 {
		return 0
	}
	return p * given * math.Log2(given/total)
}

func (r Result) under(cause ID) float64 {
	if p, ok := r.Given[cause]; ok {
		return p
	}
	return r.Otherwise
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
	return out
}

// After returns the beliefs once a test has had a result, the most probable
// first. A result that nothing could have given leaves them as they were.
func (b Beliefs) After(r Result) Beliefs {
	out := Beliefs{Other: b.Other * r.Otherwise}
	total := out.Other
	for _, c := range b.Causes {
		c.Probability *= r.under(c.ID)
		c.Weights = nil
		total += c.Probability
		out.Causes = append(out.Causes, c)
	}
	if total <= 0 {
		return b
	}
	out.Other /= total
	for i := range out.Causes {
		out.Causes[i].Probability /= total
	}
	out.sort()
	return out
}
