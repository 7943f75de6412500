package present

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"kg/internal/signal"
)

// How the terminal speaks. What is dangerous comes first and in words, never by
// colour alone. Answers go to standard output, everything about the running of
// the program to standard error. A line is as long as the terminal is wide. Colour is for
// terminals only, and not where NO_COLOR is set. An id stands in brackets, ready
// to be typed into `kg show`.

// Columns is how wide a page is that goes to no terminal; one for a terminal is as wide as
// that, between Narrowest and Widest: longer lines are hard to read.
const (
	Columns   = 80
	Narrowest = 40
	Widest    = 100
)

// Page lays out text for a person. Its methods are named for what they print.
type Page struct {
	w      io.Writer
	width  int
	colour bool
	blank  bool   // the line before was empty, or there is none yet
	job    string // the id of the job that the answer is about, if any
}

// NewPage is an empty page of so many columns, with colours or without. What
// cannot be written is lost: the writer has to remember that if it matters.
func NewPage(w io.Writer, width int, colour bool) *Page {
	return &Page{w: w, width: width, colour: colour, blank: true}
}

// Text prints a text, wrapped, so far from the left.
func (g *Page) Text(indent int, text string) { g.labelled(indent, "", 0, text) }

// Sentence prints a message as a sentence.
func (g *Page) Sentence(message string) { g.Text(0, sentence(message)) }

func (g *Page) line(s string) {
	fmt.Fprintln(g.w, strings.TrimRight(s, " "))
	g.blank = s == ""
}

// verbatim prints a line as it is, however long: where it is for other programs, or
// names a place in a file.
func (g *Page) verbatim(s string) {
	fmt.Fprintln(g.w, s)
	g.blank = false
}

// gap leaves one empty line, however often it is asked for.
func (g *Page) gap() {
	if !g.blank {
		g.line("")
	}
}

func (g *Page) heading(s string) {
	for _, line := range wrap(clean(s), g.width) {
		g.line(g.bold(line))
	}
}

// labelled prints a text after a label, wrapped under its own beginning.
func (g *Page) labelled(indent int, label string, width int, text string) {
	g.styled(indent, clean(label), width, clean(text))
}

// hanging prints a text whose first line stands out to the left.
func (g *Page) hanging(indent int, text string) {
	const hang = 3
	for i, line := range wrap(clean(text), g.width-indent-hang) {
		if i > 0 {
			line = strings.Repeat(" ", hang) + line
		}
		g.line(strings.Repeat(" ", indent) + line)
	}
}

// styled is labelled for a text that this program has put colours in.
func (g *Page) styled(indent int, label string, width int, text string) {
	label = pad(label, width)
	width = utf8.RuneCountInString(label)
	prefix := strings.Repeat(" ", indent) + label
	for i, line := range wrap(text, g.width-indent-width) {
		if i > 0 {
			prefix = strings.Repeat(" ", indent+width)
		}
		g.line(prefix + line)
	}
}

// alert prints a caveat after its signal word.
func (g *Page) alert(indent int, level signal.Word, text string) {
	const width = 9
	word := strings.ToUpper(string(level))
	styled := pad(word, width)
	if g.colour {
		styled = levelStyle(level) + word + reset + strings.Repeat(" ", width-len(word))
	}
	for i, line := range wrap(clean(text), g.width-indent-width) {
		if i > 0 {
			styled = strings.Repeat(" ", width)
		}
		g.line(strings.Repeat(" ", indent) + styled + line)
	}
}

// closing says whom all of it is for.
func (g *Page) closing() {
	g.gap()
	g.Text(0, forWhom)
}

// forWhom stands under every answer and on every sheet about work on a system.
const forWhom = "Only for those competent, and licensed where local rules ask for it; the maker's instructions come first."

const reset = "\x1b[0m"

func levelStyle(l signal.Word) string {
	switch l {
	case signal.Danger:
		return "\x1b[1;37;41m"
	case signal.Warning:
		return "\x1b[1;30;43m"
	case signal.Caution:
		return "\x1b[1;33m"
	}
	return "\x1b[1;36m"
}

func (g *Page) bold(s string) string {
	if !g.colour {
		return s
	}
	return "\x1b[1m" + s + reset
}

// bar draws a share as up to 20 marks; every share above nothing has one.
func (g *Page) bar(p float64) string {
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
