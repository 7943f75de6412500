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

// A rare word that is one mistake away from one that is this many times as
// frequent may be that one, misspelt.
const (
	rareWord     = 3
	muchCommoner = 20
)

// respelled returns a text with rare words exchanged for much commoner ones that
// they may be meant for, and whether there was one: "gass" is a form of "gassed",
// and most likely gas. Such a reading is one to be warned by, not to rely on.
func (e *ear) respelled(text string) (string, bool, error) {
	tokens := term.Tokens(text)
	changed := false
	for i := len(tokens) - 1; i >= 0; i-- { // from the end, so that offsets hold
		t := tokens[i]
		if !mayBeMisspelt(t.Term) || t.Start < 0 || t.End > len(text) {
			continue
		}
		found, err := e.Term(t.Term)
		if err != nil {
			return "", false, err
		}
		if found.Entries > rareWord {
			continue
		}
		near, err := e.near(t.Term)
		if err != nil {
			return "", false, err
		}
		if near == "" {
			continue
		}
		common, err := e.Term(near)
		if err != nil {
			return "", false, err
		}
		if common.Entries >= muchCommoner*max(found.Entries, 1) {
			text = text[:t.Start] + near + text[t.End:]
			changed = true
		}
	}
	return text, changed, nil
}
