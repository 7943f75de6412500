package hear

import (
	"slices"
	"strings"
	"unicode"

	"kg/internal/classify"
	"kg/internal/term"
)

// The kinds of features that a text has for the learned part of hearing. Each sees
// through another way of writing: terms through inflections and synonyms, letters
// through slips, consonants through words without vowels, sorted letters through
// swapped ones.
const (
	ofTerm          = "t:"
	ofTermPair      = "T:"
	ofWord          = "w:"
	ofWordPair      = "W:"
	ofLetters       = "l:"
	ofConsonants    = "c:"
	ofConsonantPair = "C:"
	ofSorted        = "s:"
	ofTermAround    = "a:"
)

// Features are what the learned part of hearing knows of a text, without repetition, and
// of what is told around it.
func Features(text string, tokens, around []term.Token) []classify.Feature {
	var out []classify.Feature
	seen := map[classify.Feature]bool{}
	add := func(kind, name string) {
		f := classify.Named(kind + name)
		if !seen[f] {
			seen[f] = true
			out = append(out, f)
		}
	}
	said := words(text)
	terms := term.List(tokens)
	for i, t := range terms {
		add(ofTerm, t)
		if i > 0 {
			add(ofTermPair, terms[i-1]+" "+t)
		}
	}
	for _, t := range term.List(around) {
		add(ofTermAround, t)
	}
	last, lastBare := "^", "^"
	for _, w := range said {
		add(ofWord, w)
		add(ofWordPair, last+" "+w)
		bare := consonants(w)
		add(ofConsonants, bare)
		add(ofConsonantPair, lastBare+" "+bare)
		add(ofSorted, sortedLetters(w))
		last, lastBare = w, bare
	}
	add(ofWordPair, last+" $")
	joined := []rune(" " + strings.Join(said, " ") + " ")
	for n := 3; n <= 5; n++ {
		for i := 0; i+n <= len(joined); i++ {
			add(ofLetters, string(joined[i:i+n]))
		}
	}
	return out
}

// words are the words of a text as they were written, in lower case, without
// apostrophes.
func words(text string) []string {
	text = strings.Map(func(r rune) rune {
		if r == '\'' || r == '’' {
			return -1
		}
		return unicode.ToLower(r)
	}, text)
	return strings.FieldsFunc(text, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
}

// consonants is a word without its vowels; one of vowels alone stays as it is.
func consonants(w string) string {
	out := strings.Map(func(r rune) rune {
		if strings.ContainsRune("aeiou", r) {
			return -1
		}
		return r
	}, w)
	if out == "" {
		return w
	}
	return out
}

// sortedLetters is a word with all letters after the first in order: the same when
// two neighbours are swapped.
func sortedLetters(w string) string {
	r := []rune(w)
	if len(r) > 2 {
		slices.Sort(r[1:])
	}
	return string(r)
}
