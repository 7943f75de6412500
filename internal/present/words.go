package present

import (
	"fmt"
)

// InWords gives a probability as people say it: "19 in 20", "1 in 50". It is
// within 2.5 in 100 of the figure, nearer at the ends.
func InWords(p float64) string {
	switch {
	case p >= 0.995:
		return "more than 99 in 100"
	case p < 0.005:
		return "less than 1 in 100"
	case p > 0.96:
		return fmt.Sprintf("%.0f in 100", 100*p)
	case p < 0.04:
		for _, under := range []float64{100, 50, 33} {
			if p < 1.25/under {
				return fmt.Sprintf("1 in %.0f", under)
			}
		}
		return "1 in 25"
	}
	twentieths := int(p*20 + 0.5)
	for _, under := range []int{2, 4, 5, 10} {
		if step := 20 / under; twentieths%step == 0 {
			return fmt.Sprintf("%d in %d", twentieths/step, under)
		}
	}
	return fmt.Sprintf("%d in 20", twentieths)
}
