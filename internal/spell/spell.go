// Package spell owns how far words are apart, and which of some words is meant.
package spell

import "strings"

// longest is the length in bytes of what is compared with words that are known: no
// slip of the finger is longer, and comparing takes the product of two lengths.
const longest = 256

// Nearest returns the valid word that is most like s, whatever the case, and false
// if none is like it: at most a third of the letters, or two, have to be changed, or
// s is the beginning of the word, three letters at least. Ties go to the first.
func Nearest(s string, valid []string) (string, bool) {
	const enough = 3
	if len(s) > longest {
		return "", false
	}
	s = strings.ToLower(s)
	best, fewest := "", max(2, len(s)/3)+1
	for _, v := range valid {
		low := strings.ToLower(v)
		n := Changes(s, low)
		if len(s) >= enough && strings.HasPrefix(low, s) {
			n = min(n, 1)
		}
		if n < fewest && n < max(len(s), len(low)) { // something is left of the word
			best, fewest = v, n
		}
	}
	return best, best != ""
}

// Changes counts the characters to put in, leave out or replace to make one word
// of another (Levenshtein 1966).
func Changes(a, b string) int {
	x, y := []rune(a), []rune(b)
	row := make([]int, len(y)+1)
	for j := range row {
		row[j] = j
	}
	for i := range x {
		last := row[0]
		row[0] = i + 1
		for j := range y {
			cost := 1
			if x[i] == y[j] {
				cost = 0
			}
			last, row[j+1] = row[j+1], min(row[j+1]+1, row[j]+1, last+cost)
		}
	}
	return row[len(y)]
}
