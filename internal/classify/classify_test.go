package classify

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestProbabilitiesShareOutOne(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		scores := rapid.SliceOfN(rapid.Float64Range(-800, 800), 1, 20).Draw(t, "scores")
		was := append([]float64(nil), scores...)
		Probabilities(scores)
		sum := 0.0
		for i, p := range scores {
			sum += p
			for j := range scores {
				if was[i] > was[j] && p < scores[j] {
					t.Fatalf("a higher score has a lower probability: %v, %v", was, scores)
				}
			}
		}
		if math.Abs(sum-1) > 1e-9 {
			t.Fatalf("they add up to %v", sum)
		}
	})
}
