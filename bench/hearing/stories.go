package main

import (
	"slices"
	"strings"
)

// retold is how the findings of one story were heard.
type retold struct{ right, heard, labelled int }

// storyRows say how many findings of stories are heard with their sign, and how many
// of those that are heard stand in the story. What is heard as the result of a test
// stands in none.
func storyRows(heard []said) table {
	var precision, recall tally
	var all []retold
	for _, s := range heard {
		r := s.retold()
		all = append(all, r)
		precision.hits, precision.of = precision.hits+r.right, precision.of+r.heard
		recall.hits, recall.of = recall.hits+r.right, recall.of+r.labelled
	}
	return table{
		{"stories: findings right, with their sign (F1)", resampled(all, f1), goalStories},
		{"  of those in the story (recall)", recall.share(), goal{}},
		{"  of those that are heard (precision)", precision.share(), goal{}},
	}
}

// retold compares what was heard of a story with its findings: `+id` for one that is
// there and `-id` for one that is not, parted by commas.
func (s said) retold() retold {
	labels := strings.Split(s.means[0], ",")
	r := retold{heard: len(s.Findings) + len(s.Told), labelled: len(labels)}
	for _, f := range s.Findings {
		sign := "-"
		if f.Present {
			sign = "+"
		}
		if slices.Contains(labels, sign+string(f.Senses[0].ID)) {
			r.right++
		}
	}
	return r
}

// f1 is the harmonic mean of precision and recall.
func f1(all []retold) float64 {
	var sum retold
	for _, r := range all {
		sum.right, sum.heard, sum.labelled = sum.right+r.right, sum.heard+r.heard, sum.labelled+r.labelled
	}
	return 2 * float64(sum.right) / float64(sum.heard+sum.labelled)
}
