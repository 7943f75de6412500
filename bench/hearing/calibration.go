package main

import (
	"fmt"
	"math"

	"kg/internal/hear"
)

// judged is how probable the first thing that was heard was said to be, and whether it
// was right.
type judged struct {
	p     float64
	right bool
}

// calibrationRows say how far the probabilities of what is heard first are from how
// often it is right.
func calibrationRows(symptoms, dangers, results []said) table {
	var all []judged
	silent := 0
	for _, some := range [][]said{symptoms, dangers, results} {
		for _, s := range some {
			j, ok := judge(s)
			if !ok {
				silent++
				continue
			}
			all = append(all, j)
		}
	}
	e := resampled(all, calibrationError)
	e.over += fmt.Sprintf(", %d without any", silent)
	return table{{"expected calibration error", e, goalCalibration}}
}

// judge judges the likelier of the first finding and the first result that were heard;
// without any, the first thing that is asked about. It is false where there is nothing.
func judge(s said) (judged, bool) {
	var best judged
	heard := false
	take := func(p float64, right bool) {
		if !heard || p > best.p {
			best, heard = judged{p, right}, true
		}
	}
	if len(s.Findings) > 0 {
		f := s.Findings[0]
		take(f.Senses[0].Score, f.Present && s.meant(f.Senses[0]))
	}
	if len(s.Told) > 0 {
		t := s.Told[0]
		take(t.Results[0].Score, len(s.means) > 1 && t.Test == s.id() && t.Results[0].Result == s.means[1])
	}
	if !heard && len(s.Unsure) > 0 {
		take(s.Unsure[0].Score, s.meant(s.Unsure[0]))
	}
	return best, heard
}

// meant reports whether a symptom is the one that is meant.
func (s said) meant(x hear.Sense) bool { return len(s.means) == 1 && x.ID == s.id() }

// calibrationError is the expected calibration error over ten bins of equal width
// (Guo, C. et al. 2017. On calibration of modern neural networks. Proceedings of the
// 34th International Conference on Machine Learning, equation 3).
func calibrationError(all []judged) float64 {
	const bins = 10
	var sums [bins]float64 // of what was right less what was said
	for _, j := range all {
		right := 0.0
		if j.right {
			right = 1
		}
		sums[min(bins-1, int(j.p*bins))] += right - j.p
	}
	off := 0.0
	for _, sum := range sums {
		off += math.Abs(sum)
	}
	return off / float64(len(all))
}
