package measure

import "strings"

// nearest returns the valid word that is most like s, and false if none is like
// it: at most a third of its letters, or two, have to be changed. Ties go to the
// first.
func nearest(s string, valid []string) (string, bool) {
	s = strings.ToLower(s)
	best, fewest := "", max(2, len(s)/3)+1
	for _, v := range valid {
		low := strings.ToLower(v)
		n := changes(s, low)
		if len(s) >= 3 && strings.HasPrefix(low, s) {
			n = 1
		}
		if n < fewest && n < max(len(s), len(low)) {
			best, fewest = v, n
		}
	}
	return best, best != ""
}

// longestWord bounds the work of comparing what someone typed.
const longestWord = 64

// changes counts the letters to put in, leave out, replace or swap with their
// neighbour to make one word of the other (optimal string alignment).
func changes(a, b string) int {
	if len(a) > longestWord || len(b) > longestWord {
		return max(len(a), len(b))
	}
	var before, last, now [longestWord + 1]int
	for j := range len(b) + 1 {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		now[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			now[j] = min(last[j]+1, now[j-1]+1, last[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				now[j] = min(now[j], before[j-2]+1)
			}
		}
		before, last = last, now
	}
	return last[len(b)]
}

// suggest ends an error with the nearest valid word, or with all of them.
func suggest(s string, valid []string, what string) string {
	if near, ok := nearest(s, valid); ok {
		return "did you mean " + near + "?"
	}
	return what + " " + strings.Join(valid, ", ")
}
