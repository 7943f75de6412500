package hear

import (
	"slices"

	"kg/internal/library"
	"kg/internal/note"
	"kg/internal/term"
)

// ear listens to the words of one question.
type ear struct {
	*library.Library
	learned     *Learned
	not         []note.ID
	waited      []note.ID
	kinds       []note.Kind
	read        map[string][]term.Token // of what was listened to
	guessed     map[listened]understood
	frequencies map[string]int
	weights     map[string]float64
	corrected   map[string]string
	averages    [2]float64 // length of an entry in each field, over entries of all kinds
}

func listener(lib *library.Library, kinds ...note.Kind) *ear {
	e := &ear{
		Library: lib, learned: &Learned{}, kinds: kinds, read: map[string][]term.Token{}, guessed: map[listened]understood{},
		frequencies: map[string]int{}, weights: map[string]float64{}, corrected: map[string]string{},
	}
	var sums [2]int
	for _, l := range lib.Lengths() {
		if slices.Contains(kinds, l.Kind) {
			sums[sayings] += l.InSayings
			sums[whole] += l.Note
		}
	}
	for f, sum := range sums {
		e.averages[f] = max(1, float64(sum)) / max(1, float64(lib.Entries()))
	}
	return e
}

// tokens are the tokens of a text, taken apart once.
func (e *ear) tokens(text string) []term.Token {
	t, done := e.read[text]
	if !done {
		t = e.Tokens(text)
		e.read[text] = t
	}
	return t
}

// cut notes the tokens of a part of a text, which were taken apart with the whole.
func (e *ear) cut(part string, tokens []term.Token, from, to int) {
	if _, done := e.read[part]; !done {
		e.read[part] = between(tokens, from, to)
	}
}

// between are the tokens of a part of a text.
func between(tokens []term.Token, from, to int) []term.Token {
	var out []term.Token
	for _, t := range tokens {
		if t.Start >= from && t.End <= to {
			out = append(out, term.Token{Term: t.Term, Start: t.Start - from, End: t.End - from})
		}
	}
	return out
}
