package library

import (
	"context"
	"fmt"
	"strings"

	"kg/internal/note"
	"kg/internal/search"
)

// Hit is an entry found by words.
type Hit struct {
	ID    note.ID   `json:"id"`
	Kind  note.Kind `json:"kind"`
	Name  string    `json:"name"`
	Score float64   `json:"score"`
	// Line is the line of the note that holds most of the words, Spans where they
	// stand in it, in bytes.
	Line  string        `json:"line"`
	Spans []search.Span `json:"spans,omitempty"`
	Note  string        `json:"note"`
}

// Finding is what a search found: the best hits, and how many entries of each
// kind there are in all.
type Finding struct {
	Hits  []Hit             `json:"hits"`
	Kinds map[note.Kind]int `json:"kinds"`
}

// Find returns entries of some kinds, or of all, that share words with a text,
// the best first.
func (l *Library) Find(ctx context.Context, words string, kinds []note.Kind, limit int) (out Finding, err error) {
	err = guard(func() error {
		found, err := l.index.Find(ctx, words, kinds, limit)
		if err != nil {
			return err
		}
		out = Finding{Hits: []Hit{}, Kinds: found.Kinds}
		for _, h := range found.Hits {
			rec, err := l.archive.Get(h.ID)
			if err != nil {
				return err
			}
			name, err := l.modeName(h.ID)
			if err != nil {
				return err
			}
			text, err := l.archive.Text(h.ID)
			if err != nil {
				return err
			}
			hit := Hit{ID: h.ID, Kind: h.Kind, Name: name, Score: h.Score, Note: rec.Path}
			hit.Line, hit.Spans = l.tellingLine(text, words)
			out.Hits = append(out.Hits, hit)
		}
		return nil
	})
	if err != nil {
		return Finding{}, fmt.Errorf("finding %q: %w", shortened(words), err)
	}
	return out, nil
}

// tellingLine returns the line of a text in which most of the words stand, and
// where.
func (l *Library) tellingLine(text, words string) (best string, spans []search.Span) {
	for _, line := range strings.Split(text, "\n") {
		line = strings.TrimSpace(line)
		if found := l.index.Highlight(line, words); len(found) > len(spans) {
			best, spans = line, found
		}
	}
	return best, spans
}
