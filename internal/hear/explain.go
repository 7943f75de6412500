package hear

import (
	"slices"
	"strings"

	"kg/internal/portable"
)

// Word is how much a word speaks for what was heard, in decibans: ten times the
// decimal logarithm of how many times the odds fall when the word is left out.
type Word struct {
	Word     string  `json:"word"`
	Decibans float64 `json:"decibans"`
}

// words are the parts that the words of a text have in its meaning something.
func (e *ear) words(text string, m Meaning) ([]Word, error) {
	said := strings.Fields(text)
	all, err := e.odds(text, m)
	if err != nil {
		return nil, err
	}
	var out []Word
	for i, w := range said {
		without, err := e.odds(strings.Join(slices.Delete(slices.Clone(said), i, i+1), " "), m)
		if err != nil {
			return nil, err
		}
		out = append(out, Word{w, (all - without) * decibansOfNat})
	}
	return out, nil
}

// odds are the logarithm of the odds that a text means something.
func (e *ear) odds(text string, m Meaning) (float64, error) {
	if strings.TrimSpace(text) == "" {
		return portable.Log(faint), nil
	}
	u, err := e.guess(listened{text: text, nearest: true})
	if err != nil {
		return 0, err
	}
	return logOdds(max(faint, u.meaning.of(m))), nil
}

// certainly is what is left of the probability of what is heard for certain.
const certainly = 1e-6

// decibansOfNat is how many decibans one natural unit of log odds is: 10/ln 10.
const decibansOfNat = 4.342944819032518
