package hear

import (
	"slices"
	"strings"

	"kg/internal/spell"
	"kg/internal/term"
)

// maxCorrected bounds how many unknown terms of a text are looked up among those
// like them, which takes far longer than to look up a known one.
const maxCorrected = 50

// shortest is how many letters a word has that is taken for a slip of the finger;
// from long on there may be two slips in it.
const (
	shortest = 4
	long     = 7
)

// mayBeMisspelt reports whether a term is a word that can be told from others by
// its letters.
func mayBeMisspelt(t string) bool { return len(t) >= shortest && !strings.ContainsAny(t, "0123456789") }

// spelled replaces terms that stand nowhere in the notes by the terms of sayings
// most like them, so that spelling mistakes are forgiven. A term that stands in
// some note is a word and no mistake, even where no saying has it.
func (e *ear) spelled(tokens []term.Token) ([]term.Token, error) {
	out := slices.Clone(tokens)
	corrected := 0
	for i, t := range out {
		found, err := e.Term(t.Term)
		if err != nil {
			return nil, err
		}
		if found.Entries > 0 || !mayBeMisspelt(t.Term) {
			continue
		}
		near, done := e.corrected[t.Term]
		if !done && corrected < maxCorrected {
			corrected++
			if near, err = e.near(t.Term); err != nil {
				return nil, err
			}
			e.corrected[t.Term] = near
		}
		if near != "" {
			out[i].Term = near
		}
	}
	return out, nil
}

// near returns the most frequent term of sayings within one mistake of a term, or
// two for long ones, that begins with the same letter; empty if there is none.
func (e *ear) near(t string) (string, error) {
	mistakes := 1
	if len(t) >= long {
		mistakes = 2
	}
	best, bestCount, fewest := "", 0, mistakes+1
	var failed error
	err := e.Begun(t[:1], func(other string) bool {
		if other == t || abs(len(other)-len(t)) > fewest {
			return true
		}
		changes := spell.Changes(t, other)
		if changes > fewest || changes > mistakes {
			return true
		}
		var n int
		if n, failed = e.frequency(other); failed != nil {
			return false
		}
		if n > 0 && (changes < fewest || n > bestCount) { // equal ones come in order
			best, bestCount, fewest = other, n, changes
		}
		return true
	})
	if err != nil {
		return "", err
	}
	return best, failed
}

func abs(n int) int { return max(n, -n) }
