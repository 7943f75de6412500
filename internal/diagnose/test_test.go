package diagnose

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func drawBeliefs(t *rapid.T) Beliefs {
	s := drawSmall(t)
	return s.Posterior(s.findings)
}

// drawTest draws a test whose results share out 1 under each cause.
func drawTest(t *rapid.T, id ID) Test {
	test := Test{ID: id, Minutes: float64(rapid.IntRange(0, 90).Draw(t, "minutes"))}
	n := rapid.IntRange(1, 4).Draw(t, "results")
	for i, p := range drawShares(t, n) {
		test.Results = append(test.Results, Result{Name: string(rune('A' + i)), Otherwise: p, Given: map[ID]float64{}})
	}
	for _, c := range smallCauses {
		if !rapid.Bool().Draw(t, "named") {
			continue
		}
		for i, p := range drawShares(t, n) {
			test.Results[i].Given[c] = p
		}
	}
	return test
}

// each calls f with every cause and something else (""), their probability and
// that of a result under them.
func each(b Beliefs, r Result, f func(id ID, p, given float64)) {
	f("", b.Other, r.Otherwise)
	for _, c := range b.Causes {
		given, named := r.Given[c.ID]
		if !named {
			given = r.Otherwise
		}
		f(c.ID, c.Probability, given)
	}
}

// entropy of the cause, in bits.
func entropy(b Beliefs) float64 {
	h := 0.0
	each(b, Result{}, func(_ ID, p, _ float64) {
		if p > 0 {
			h -= p * math.Log2(p)
		}
	})
	return h
}

func TestInformationIsTheMutualInformation(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		b, test := drawBeliefs(t), drawTest(t, "t")
		// Over all pairs: sum of P(c,r) log2 P(c,r) / P(c) P(r).
		mutual, left := 0.0, 0.0
		for _, r := range test.Results {
			chance := 0.0
			each(b, r, func(_ ID, p, given float64) { chance += p * given })
			each(b, r, func(_ ID, p, given float64) {
				if p*given > 0 {
					mutual += p * given * math.Log2(p*given/(p*chance))
				}
			})
			left += chance * entropy(b.After(r))
		}
		got := b.information(test)
		assert.InDelta(t, mutual, got, 1e-9)
		assert.InDelta(t, entropy(b)-left, got, 1e-9, "what the doubt is expected to fall by")
		assert.GreaterOrEqual(t, got, 0.0)
		assert.LessOrEqual(t, got, entropy(b)+1e-9, "no test tells more than there is doubt")
	})
}

func TestPerfectTestOfEvenChancesTellsOneBit(t *testing.T) {
	t.Parallel()
	m := Model{Causes: []Cause{{"a", 0.5}}}
	perfect := Test{ID: "perfect", Minutes: 4, Results: []Result{
		{Name: "yes", Given: map[ID]float64{"a": 1}, Otherwise: 0},
		{Name: "no", Given: map[ID]float64{"a": 0}, Otherwise: 1},
	}}
	got := m.Posterior(nil).Rank([]Test{perfect})
	assert.Equal(t, []Value{{Test: "perfect", Bits: 1, PerMinute: 0.25}}, got)
}

func TestRankPutsWhatTellsMostForItsMinutesFirst(t *testing.T) {
	t.Parallel()
	m := Model{Causes: []Cause{{"a", 0.3}, {"b", 0.3}}}
	telling := func(id ID, minutes, p float64) Test {
		return Test{ID: id, Minutes: minutes, Results: []Result{
			{Name: "yes", Given: map[ID]float64{"a": p}, Otherwise: 1 - p},
			{Name: "no", Given: map[ID]float64{"a": 1 - p}, Otherwise: p},
		}}
	}
	values := m.Posterior(nil).Rank([]Test{
		telling("sure but slow", 100, 1), telling("says nothing", 1, 0.5), telling("twin b", 5, 0.9), telling("twin a", 5, 0.9),
		telling("no minutes", 0, 0.9), telling("one minute", 1, 0.9), {ID: "no results", Minutes: 1},
	})
	var order []ID
	for _, v := range values {
		order = append(order, v.Test)
		assert.False(t, math.IsInf(v.PerMinute, 0))
	}
	assert.Equal(t, []ID{"no minutes", "one minute", "twin a", "twin b", "sure but slow"}, order,
		"equal ones by id; less than a minute counts as one; what says nothing is left out")
}

func TestTestThatSaysTheSameUnderAllCausesTellsNothing(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		b, test := drawBeliefs(t), drawTest(t, "t")
		for i := range test.Results {
			clear(test.Results[i].Given)
		}
		assert.InDelta(t, 0, b.information(test), 1e-9)
		assert.Empty(t, b.Rank([]Test{test}))
	})
}

func TestAfterIsBayesRule(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		b, test := drawBeliefs(t), drawTest(t, "t")
		r := test.Results[0]
		sum := 0.0
		each(b, r, func(_ ID, p, given float64) { sum += p * given })
		after := b.After(r)
		each(b, r, func(id ID, p, given float64) {
			got := after.Other
			if id != "" {
				got = of(t, after, id).Probability
			}
			assert.InDelta(t, p*given/sum, got, near)
		})
		assert.InDelta(t, 1, total(after), near)
	})
}

func TestOrderOfTestsDoesNotMatter(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		b := drawBeliefs(t)
		r, s := drawTest(t, "t").Results[0], drawTest(t, "u").Results[0]
		one, other := b.After(r).After(s), b.After(s).After(r)
		for _, c := range one.Causes {
			assert.InDelta(t, c.Probability, of(t, other, c.ID).Probability, near)
		}
	})
}

func TestResultThatNothingCouldGiveChangesNothing(t *testing.T) {
	t.Parallel()
	m := Model{Causes: []Cause{{"a", 0.3}}}
	b := m.Posterior(nil)
	assert.Equal(t, b, b.After(Result{Given: map[ID]float64{"a": 0}, Otherwise: 0}))
}

func TestAfterLeavesTheBeliefsBeforeAsTheyWere(t *testing.T) {
	t.Parallel()
	m := Model{Causes: []Cause{{"a", 0.3}, {"b", 0.2}}}
	b, same := m.Posterior(nil), m.Posterior(nil)
	after := b.After(Result{Given: map[ID]float64{"b": 1}, Otherwise: 0.1})
	assert.Equal(t, ID("b"), after.Causes[0].ID)
	assert.Equal(t, same, b)
}

// open stands for a figure that the note leaves out.
const open = -1

func said(figures []float64) func(int) (float64, bool) {
	return func(i int) (float64, bool) { return figures[i], figures[i] != open }
}

func TestWhatANoteLeavesOpenIsSharedOut(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name      string
		said, out []float64
	}{
		{"all said", []float64{0.9, 0.1}, []float64{0.9, 0.1}},
		{"of two, one needs the figure", []float64{0.9, open}, []float64{0.9, 0.1}},
		{"the rest in equal parts", []float64{0.4, open, open, open}, []float64{0.4, 0.2, 0.2, 0.2}},
		{"nothing said", []float64{open, open}, []float64{0.5, 0.5}},
		{"one result", []float64{open}, []float64{1}},
		{"all is said already", []float64{0.7, 0.3, open}, []float64{0.7, 0.3, 0}},
		{"more than all is said", []float64{0.8, 0.4, open}, []float64{0.8, 0.4, 0}},
		{"no results", []float64{}, []float64{}},
	} {
		assert.InDeltaSlice(t, c.out, shareOut(len(c.said), said(c.said)), near, c.name)
	}
}

func TestCompleteFillsEachCauseAndTheOthers(t *testing.T) {
	t.Parallel()
	figures := map[ID][]float64{"stuck": {0.95, open}, "blocked": {open, 0.4}, "": {0.005, open}}
	in := []Result{{Name: "above zero"}, {Name: "zero"}}
	out := Complete(in,
		func(i int, cause ID) (float64, bool) { return said(figures[cause])(i) },
		[]ID{"stuck", "blocked"},
		said(figures[""]))

	assert.Equal(t, "above zero", out[0].Name)
	assert.InDelta(t, 0.95, out[0].under("stuck"), near)
	assert.InDelta(t, 0.05, out[1].under("stuck"), near)
	assert.InDelta(t, 0.6, out[0].under("blocked"), near)
	assert.InDelta(t, 0.4, out[1].under("blocked"), near)
	assert.InDelta(t, 0.005, out[0].under("anything else"), near)
	assert.InDelta(t, 0.995, out[1].under("anything else"), near)
	assert.Nil(t, in[0].Given, "the results given are not changed")
}
