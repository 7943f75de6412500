package main

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"strings"
	"unicode/utf8"

	"golang.org/x/term"

	"kg/internal/note"
)

// How the terminal speaks. What is dangerous comes first and in words, never by
// colour alone. Answers go to standard output, everything about the running of
// the program to standard error. A line has at most 80 columns. Colour is for
// terminals only, and not where NO_COLOR is set. An id stands in brackets, ready
// to be typed into `kg show`.

const columns = 80

// page lays out text for a person.
type page struct {
	w      io.Writer
	colour bool
	blank  bool // the line before was empty, or there is none yet
}

func (p *program) page() *page {
	return &page{w: p.out, blank: true, colour: terminal(p.out) && os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"}
}

func isTerminal(f *os.File) bool { return term.IsTerminal(int(f.Fd())) }

func (g *page) line(s string) {
	fmt.Fprintln(g.w, strings.TrimRight(s, " "))
	g.blank = s == ""
}

// gap leaves one empty line, however often it is asked for.
func (g *page) gap() {
	if !g.blank {
		g.line("")
	}
}

func (g *page) heading(s string) {
	for _, line := range wrap(clean(s), columns) {
		g.line(g.bold(line))
	}
}

// labelled prints a text after a label, wrapped under its own beginning.
func (g *page) labelled(indent int, label string, width int, text string) {
	g.styled(indent, clean(label), width, clean(text))
}

// hanging prints a text whose first line stands out to the left.
func (g *page) hanging(indent int, text string) {
	const hang = 3
	for i, line := range wrap(clean(text), columns-indent-hang) {
		if i > 0 {
			line = strings.Repeat(" ", hang) + line
		}
		g.line(strings.Repeat(" ", indent) + line)
	}
}

// styled is labelled for a text that this program has put colours in.
func (g *page) styled(indent int, label string, width int, text string) {
	label = pad(label, width)
	width = utf8.RuneCountInString(label)
	prefix := strings.Repeat(" ", indent) + label
	for i, line := range wrap(text, columns-indent-width) {
		if i > 0 {
			prefix = strings.Repeat(" ", indent+width)
		}
		g.line(prefix + line)
	}
}

// alert prints a caveat after its signal word.
func (g *page) alert(indent int, level note.Level, text string) {
	const width = 9
	word := strings.ToUpper(string(level))
	styled := pad(word, width)
	if g.colour {
		styled = levelStyle(level) + word + reset + strings.Repeat(" ", width-len(word))
	}
	for i, line := range wrap(clean(text), columns-indent-width) {
		if i > 0 {
			styled = strings.Repeat(" ", width)
		}
		g.line(strings.Repeat(" ", indent) + styled + line)
	}
}

const reset = "\x1b[0m"

func levelStyle(l note.Level) string {
	switch l {
	case note.Danger:
		return "\x1b[1;37;41m"
	case note.Warning:
		return "\x1b[1;30;43m"
	case note.Caution:
		return "\x1b[1;33m"
	}
	return "\x1b[1;36m"
}

func (g *page) bold(s string) string {
	if !g.colour {
		return s
	}
	return "\x1b[1m" + s + reset
}

// bar draws a share as up to 20 marks; every share above nothing has one.
func (g *page) bar(p float64) string {
	const cells = 20
	n := int(p*cells + 0.5)
	if n == 0 && p > 0 {
		n = 1
	}
	mark := "="
	if g.colour {
		mark = "▬"
	}
	return strings.Repeat(mark, n)
}

// pad fills a label up to a width; one that is as wide gets one space after it.
func pad(s string, width int) string {
	n := utf8.RuneCountInString(s)
	if n > 0 {
		width = max(width, n+1)
	}
	return s + strings.Repeat(" ", max(width-n, 0))
}

// wrap breaks a text at spaces into lines of at most width characters; a longer
// word has a line of its own.
func wrap(text string, width int) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(text) {
		switch {
		case line == "":
			line = word
		case utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) <= width:
			line += " " + word
		default:
			lines = append(lines, line)
			line = word
		}
	}
	if line != "" || len(lines) == 0 {
		lines = append(lines, line)
	}
	return lines
}

// orEmpty makes a list that is not there an empty one: [] in JSON, not null.
func orEmpty[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}

// printJSON writes a value for other programs.
func (p *program) printJSON(v any) error {
	e := json.NewEncoder(p.out)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(v); err != nil {
		return fmt.Errorf("printing JSON: %w", err)
	}
	return nil
}

// clean makes a text from outside safe to print: no control characters.
func clean(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r >= 0x80 && r < 0xa0 {
			return ' '
		}
		return r
	}, s)
}
