package diagnose

import (
	"math"

	"kg/internal/portable"
)

// MaxDecibans bounds a weight of evidence that would be infinite.
const MaxDecibans = 100

// Weight is the weight of evidence of one finding for a cause: the change of
// its log odds when the finding joins all others, in decibans (I. J. Good 1950,
// "Probability and the Weighing of Evidence"; 10 decibans make odds ten times as
// high).
type Weight struct {
	Label    string
	Decibans float64
}

// weightOf is the weight of a finding that takes a cause from one probability to
// another.
func weightOf(label string, without, with float64) Weight {
	return Weight{label, bounded(decibans(with) - decibans(without))}
}

// decibans is the log odds of a probability.
func decibans(p float64) float64 { return float64(10 * portable.Log10(p/(1-p))) }

func bounded(db float64) float64 {
	if math.IsNaN(db) {
		return 0
	}
	return math.Max(-MaxDecibans, math.Min(MaxDecibans, db))
}
