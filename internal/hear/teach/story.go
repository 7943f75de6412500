package main

import (
	"fmt"
	"slices"
	"strings"

	"kg/internal/hear"
	"kg/internal/note"
	"kg/speech"
)

// widest is how many pieces of a story are heard together, beside the whole; it is what
// hearing listens to.
const widest = 3

// parts are what a story teaches: each few pieces of it that stand together, and the
// whole, with the one thing that they say, that they say nothing, or more than one.
func parts(s speech.Story, known map[hear.Meaning]bool) ([]lesson, error) {
	var out []lesson
	for i := range s.Pieces {
		for j := i + 1; j <= len(s.Pieces); j++ {
			if j-i > widest && j-i < len(s.Pieces) {
				continue
			}
			l, err := together(s.Pieces[i:j], known)
			if err != nil {
				return nil, fmt.Errorf("a story of %s: %w", s.Speaker, err)
			}
			l.around = strung(s.Pieces[:i]) + " " + strung(s.Pieces[j:])
			out = append(out, l)
		}
	}
	return out, nil
}

// together is what some pieces teach that stand together.
func together(pieces []speech.Piece, known map[hear.Meaning]bool) (lesson, error) {
	l := lesson{text: strung(pieces), story: true}
	for _, p := range pieces {
		if p.ID == speech.Nothing {
			continue
		}
		m := hear.Meaning{Says: hear.ThereSaid, ID: note.ID(p.ID)}
		if !known[m] {
			return l, fmt.Errorf("no note has %s, of which it is told %q", p.ID, p.Text)
		}
		if p.Absent {
			m.Says = hear.AbsentSaid
		}
		if !slices.Contains(l.of, m) {
			l.of = append(l.of, m)
		}
	}
	switch len(l.of) {
	case 0:
	case 1:
		l.means = l.of[0]
	default:
		l.means = hear.Meaning{Says: hear.SeveralSaid}
	}
	return l, nil
}

// strung are pieces strung together.
func strung(pieces []speech.Piece) string {
	var texts []string
	for _, p := range pieces {
		texts = append(texts, p.Text)
	}
	return strings.Join(texts, " ")
}
