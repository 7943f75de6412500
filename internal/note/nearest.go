package note

import "github.com/xrash/smetrics"

// Nearest returns the valid string that is most like s, and false if none is
// like it. Ties go to the first.
func Nearest(s string, valid []string) (string, bool) {
	const alike = 0.75
	best, bestScore := "", alike
	for _, v := range valid {
		if score := smetrics.JaroWinkler(s, v, 0.7, 4); score > bestScore {
			best, bestScore = v, score
		}
	}
	return best, best != ""
}
