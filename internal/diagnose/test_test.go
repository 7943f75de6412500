package diagnose

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// drawTest draws a test whose results share out 1 under each cause.
func drawTest(t *rapid.T, id ID, causes []Cause) Test {
	test := Test{ID: id}
	n := rapid.IntRange(1, 4).Draw(t, "results")
	for i, p := range drawShares(t, n) {
		test.Results = append(test.Results, Result{Name: string(rune('A' + i)), Otherwise: p, Given: map[ID]float64{}})
	}
	for _, c := range causes {
		if !rapid.Bool().Draw(t, "named") {
			continue
		}
		for i, p := range drawShares(t, n) {
			test.Results[i].Given[c.ID] = p
		}
	}
	return test
}

// drawShares draws n shares of 1.
func drawShares(t *rapid.T, n int) []float64 {
	out := make([]float64, n)
	sum := 0.0
	for i := range out {
		out[i] = rapid.Float64Range(0.01, 1).Draw(t, "share")
		sum += out[i]
	}
	for i := range out {
		out[i] /= sum
	}
	return out
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
		{"more than all is said", []float64{0.8, 0.4, open}, []float64{2.0 / 3, 1.0 / 3, 0}},
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
	assert.InDelta(t, 0.95, out[0].Given["stuck"], near)
	assert.InDelta(t, 0.05, out[1].Given["stuck"], near)
	assert.InDelta(t, 0.6, out[0].Given["blocked"], near)
	assert.InDelta(t, 0.4, out[1].Given["blocked"], near)
	assert.InDelta(t, 0.005, out[0].Otherwise, near)
	assert.InDelta(t, 0.995, out[1].Otherwise, near)
	assert.Nil(t, in[0].Given, "the results given are not changed")
}
