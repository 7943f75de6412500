package main

import (
	"context"
	"fmt"
	"os"
	"strings"

	"kg/bench/sharing"
	"kg/internal/hear"
	"kg/internal/library"
	"kg/internal/library/bundle"
	"kg/internal/note"
)

// listener hears words with a library of its own.
type listener struct {
	ctx context.Context
	lib *library.Library
	hear.Hearing
}

// hear listens to words with nothing known beforehand but which tests were to be done.
func (l listener) hear(words string, waited ...note.ID) (hear.Heard, error) {
	h, err := l.Listen(l.ctx, l.lib, hear.Words{Text: words, Waited: waited}, nil)
	if err != nil {
		return h, fmt.Errorf("listening to %q: %w", words, err)
	}
	return h, nil
}

// crew are listeners that share the work; the first speaks for all of them about the
// library.
type crew []listener

// newCrew opens so many libraries of a bundle, at least one.
func newCrew(ctx context.Context, b bundle.Bundle, h hear.Hearing, count int) (crew, error) {
	var out crew
	for range max(1, count) {
		lib, err := b.Open()
		if err != nil {
			return nil, err
		}
		out = append(out, listener{ctx, lib, h})
	}
	return out, nil
}

// said is a sentence with what it should mean and what was heard.
type said struct {
	means []string // all columns of the file but the last
	text  string
	hear.Heard
}

// id is the entry that a sentence is about.
func (s said) id() note.ID { return note.ID(s.means[0]) }

// read listens to all sentences of a file.
func (c crew) read(file string, columns int) ([]said, error) {
	rows, err := sentences(file, columns)
	if err != nil {
		return nil, err
	}
	return c.listen(rows)
}

func (c crew) listen(sentences []said) ([]said, error) {
	return sharing.Map(c, sentences, func(l listener, s said) (_ said, err error) {
		s.Heard, err = l.hear(s.text)
		return s, err
	})
}

// sentences returns the rows of a file, which have so many columns parted by tabs.
func sentences(file string, columns int) ([]said, error) {
	text, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	var out []said
	for i, line := range strings.Split(strings.TrimSpace(string(text)), "\n") {
		row := strings.Split(line, "\t")
		if len(row) != columns {
			return nil, fmt.Errorf("%s:%d: there are %d columns, there should be %d", file, i+1, len(row), columns)
		}
		out = append(out, said{means: row[:columns-1], text: row[columns-1]})
	}
	return out, nil
}
