// Package classify owns the choice among classes that was learned from examples: a
// multinomial logistic regression over sparse features, read where its weights lie. It
// knows nothing of what the features and the classes are. Package fit below learns.
//
// The probability of class c for features x is exp(s_c) / sum exp(s_k) with
// s_c = b_c + sum w_cf x_f (Bishop, Pattern Recognition and Machine Learning, 2006,
// section 4.3.4): the score is a sum, so that what each feature speaks for can be shown.
package classify

import (
	"hash/fnv"
	"math"

	"kg/internal/portable"
)

// Feature is a feature by the hash of its name. Two names in some thousand million
// share one, which costs less than to keep the names.
type Feature uint32

// Named is the feature of a name.
func Named(name string) Feature {
	h := fnv.New32a()
	h.Write([]byte(name)) // never fails
	return Feature(h.Sum32())
}

// Probabilities turns scores into probabilities, in place. The sum is taken in order.
func Probabilities(scores []float64) {
	if len(scores) == 0 {
		return
	}
	most := scores[0]
	for _, s := range scores {
		most = max(most, s)
	}
	sum := 0.0
	for i, s := range scores {
		scores[i] = portable.Exp(s - most)
		sum += scores[i]
	}
	for i := range scores {
		scores[i] /= sum
	}
}

// Share is the value that each of n features has: a long text weighs no more than a
// short one.
func Share(n int) float64 { return 1 / math.Sqrt(float64(max(n, 1))) }
