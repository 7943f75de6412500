package library

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"kg/internal/note"
	"kg/internal/term"
)

// Hit is an entry found by words.
type Hit struct {
	ID    note.ID   `json:"id"`
	Kind  note.Kind `json:"kind"`
	Name  string    `json:"name"`
	Score float64   `json:"score"`
	// Line is the line of the note that holds most of the words, Spans where they
	// stand in it.
	Line  string `json:"line"`
	Spans []Span `json:"spans,omitempty"`
	Note  string `json:"note"`
}

// Span is a stretch of bytes of a text.
type Span struct {
	Start int `json:"start"`
	End   int `json:"end"`
}

// Found is what a search found: the best hits, and how many entries of each kind
// there are in all.
type Found struct {
	Hits  []Hit             `json:"hits"`
	Kinds map[note.Kind]int `json:"kinds"`
}

// Find returns entries of some kinds, or of all, that share words with a text,
// the best first. The last word may be the beginning of one.
func (l *Library) Find(ctx context.Context, words string, kinds []note.Kind, limit int) (Found, error) {
	out := Found{Hits: []Hit{}}
	s := sought{term.List(l.Tokens(words)), begunWord(words)}
	located, err := read(l, func() (Located, error) { return l.finder.Find(ctx, s.terms, s.begun, kinds, limit) })
	if err != nil {
		return out, fmt.Errorf("finding %q: %w", term.Shortened(words), err)
	}
	out.Kinds = located.Kinds
	for _, m := range located.Entries {
		rec, err := l.Get(m.ID)
		if err != nil {
			return out, err
		}
		name, err := l.FullName(m.ID)
		if err != nil {
			return out, err
		}
		text, err := l.Text(m.ID)
		if err != nil {
			return out, err
		}
		hit := Hit{ID: m.ID, Kind: m.Kind, Name: name, Score: m.Score, Note: rec.Path}
		hit.Line, hit.Spans = l.tellingLine(text, s)
		out.Hits = append(out.Hits, hit)
	}
	return out, nil
}

// sought is what a search is for.
type sought struct {
	terms []string
	begun string
}

// begunWord is the last word of a text, if it may still be growing.
func begunWord(text string) string {
	words := strings.Fields(text)
	if len(words) == 0 || text != strings.TrimRight(text, " ") {
		return ""
	}
	const enough = 3
	if w := term.Fold(words[len(words)-1]); len(w) >= enough {
		return w
	}
	return ""
}

// tellingLine returns the line of a text in which most of what is sought stands,
// and where.
func (l *Library) tellingLine(text string, s sought) (best string, spans []Span) {
	for line := range strings.SplitSeq(text, "\n") {
		line = strings.TrimSpace(line)
		if found := l.spans(line, s); len(found) > len(spans) {
			best, spans = line, found
		}
	}
	return best, spans
}

// spans is where what is sought stands in a text, in order, without overlaps.
func (l *Library) spans(text string, s sought) []Span {
	var out []Span
	for _, t := range l.Tokens(text) {
		last := len(out) - 1
		if last >= 0 && out[last].End > t.Start {
			continue
		}
		if slices.Contains(s.terms, t.Term) || s.begun != "" && strings.HasPrefix(term.Fold(text[t.Start:t.End]), s.begun) {
			out = append(out, Span{t.Start, t.End})
		}
	}
	return out
}
