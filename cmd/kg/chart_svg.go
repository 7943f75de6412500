package main

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"strings"

	"kg/internal/library"
)

// The page of a chart: A4 on its side, in millimetres.
const (
	sheetWidth, sheetHeight = 297.0, 210.0
	margin                  = 9.0
	headroom                = 16.0 // title
	footroom                = 16.0 // dangers
	largestType             = 3.2
	smallestType            = 1.7
	lineHeight              = 1.25 // of the size of the type
	letterWidth             = 0.52 // of the size of the type, on average
	boldWidth               = 0.60
	columnGap               = 5.0
)

// box is a step of a chart with its place on the page.
type box struct {
	step       *library.ChartStep
	result     string // outcome of the step before that leads here
	column     int
	next       []*box
	x, y, w, h float64
}

// boxes makes the boxes of a step and of all that follow, and says how many
// columns they take.
func boxes(s *library.ChartStep, result string, column int) (*box, int) {
	b := &box{step: s, result: result, column: column}
	columns := column + 1
	for _, branch := range s.Branches {
		next, n := boxes(branch.Step, fmt.Sprintf("%s (%s)", branch.Result, library.InWords(branch.Likely)), column+1)
		b.next = append(b.next, next)
		columns = max(columns, n)
	}
	return b, columns
}

// chartSVG draws a chart from left to right on one page.
func chartSVG(c library.Chart) []byte {
	out := &drawing{}
	out.open()
	title := c.Name
	if c.Of != "" {
		title += ", " + c.Of
	}
	out.text(margin, margin+5, 5, true, title)
	out.text(margin, margin+10, 2.6, false, "Only for those competent, and licensed where local rules ask for it; the maker's instructions come first.")
	for i, s := range c.StopWork {
		for k, line := range wrapped(fmt.Sprintf("%d  %s", i+1, s), sheetWidth-2*margin, 4, false) {
			out.text(margin, margin+headroom+12*float64(i)+5*float64(k), 4, false, line)
		}
	}
	if c.Start != nil {
		out.tree(c.Start)
	}
	out.dangers(c)
	if c.LeftOut > 0 {
		out.text(margin, sheetHeight-margin+3, 2.4, false, "Left out, as they hardly ever come: outcomes of "+library.InWords(c.LeftOut)+" together.")
	}
	return out.close()
}

// tree draws the boxes of a chart in the largest type with which they fit.
func (d *drawing) tree(start *library.ChartStep) {
	first, columns := boxes(start, "", 0)
	width := (sheetWidth - 2*margin + columnGap) / float64(columns)
	room := sheetHeight - 2*margin - headroom - footroom
	size := largestType
	for size > smallestType && first.place(width, size, 0) > room {
		size -= 0.1
	}
	spread := max(0, room-first.place(width, size, 0)) / float64(max(1, first.leaves()-1))
	first.place(width, size, min(spread, 3*size))
	d.connect(first)
	d.draw(first, size)
}

// dangers names what kills, at the foot of the page.
func (d *drawing) dangers(c library.Chart) {
	var names []string
	for _, a := range gravest(c.Caveats) {
		names = append(names, a.Name)
	}
	if len(names) == 0 {
		return
	}
	const size, lines = 2.6, 4
	text := wrapped("DANGER. "+strings.Join(names, ". ")+".", sheetWidth-2*margin, size, true)
	for i, line := range text[:min(len(text), lines)] {
		d.text(margin, sheetHeight-margin-footroom+4+size*lineHeight*float64(i+1), size, true, line)
	}
}

func (b *box) leaves() int {
	n := 0
	for _, next := range b.next {
		n += next.leaves()
	}
	return max(1, n)
}

// place gives a box and all that follow their places, from the top of the room
// for boxes on, with some space between, and returns how far down they reach.
func (b *box) place(width, size, spread float64) float64 {
	return b.placeFrom(0, width, size, spread)
}

func (b *box) placeFrom(top, width, size, spread float64) float64 {
	b.x, b.w = margin+float64(b.column)*width, width-columnGap
	b.h = float64(len(boxLines(b, b.w, size)))*size*lineHeight + size
	bottom := top
	for i, next := range b.next {
		if i > 0 {
			bottom += spread + size/2
		}
		bottom = next.placeFrom(bottom, width, size, spread)
	}
	if len(b.next) == 0 {
		b.y = margin + headroom + top
		return top + b.h
	}
	first, last := b.next[0], b.next[len(b.next)-1]
	middle := (first.y + first.h/2 + last.y + last.h/2) / 2
	b.y = max(middle-b.h/2, margin+headroom+top)
	return max(bottom, b.y+b.h-margin-headroom)
}

func (d *drawing) connect(b *box) {
	for _, next := range b.next {
		d.line(b.x+b.w, b.y+b.h/2, next.x, next.y+next.h/2)
		d.connect(next)
	}
}

func (d *drawing) draw(b *box, size float64) {
	d.box(b, boxLines(b, b.w, size), size)
	for _, next := range b.next {
		d.draw(next, size)
	}
}

// boxLines are the lines of a box: what leads to it, what is done, what is
// suspected.
func boxLines(b *box, width, size float64) []textLine {
	var out []textLine
	add := func(text string, bold, faint bool) {
		for _, line := range wrapped(text, width-size, size, bold) {
			out = append(out, textLine{line, bold, faint})
		}
	}
	if b.result != "" {
		add("if "+b.result, false, true)
	}
	s := b.step
	switch {
	case s.ID != "":
		add(s.Name, true, false)
		if s.Minutes > 0 {
			add(fmt.Sprintf("%d min, %s", s.Minutes, s.Who), false, false)
		} else {
			add(string(s.Who), false, false)
		}
	case s.Kind == "call":
		add("Call for help", true, false)
	}
	if s.CauseName != "" && (s.Kind != "test" || len(s.Branches) == 0) {
		add(fmt.Sprintf("%s, %s", s.CauseName, library.InWords(s.Probability)), s.ID == "" && s.Kind != "call", false)
	}
	return out
}

type textLine struct {
	text        string
	bold, faint bool
}

// wrapped breaks a text so that its lines have about a width.
func wrapped(text string, width, size float64, bold bool) []string {
	letter := letterWidth
	if bold {
		letter = boldWidth
	}
	return wrap(clean(text), max(8, int(width/(size*letter))))
}

// drawing is an SVG being written. Writing to a buffer does not fail.
type drawing struct{ bytes.Buffer }

func (d *drawing) open() {
	fmt.Fprintf(d, `<svg xmlns="http://www.w3.org/2000/svg" width="%gmm" height="%gmm" viewBox="0 0 %g %g" font-family="sans-serif">`+"\n",
		sheetWidth, sheetHeight, sheetWidth, sheetHeight)
	fmt.Fprintf(d, `<rect width="%g" height="%g" fill="white"/>`+"\n", sheetWidth, sheetHeight)
}

func (d *drawing) close() []byte {
	fmt.Fprintln(d, "</svg>")
	return d.Bytes()
}

func (d *drawing) text(x, y, size float64, bold bool, text string) {
	weight := ""
	if bold {
		weight = ` font-weight="bold"`
	}
	fmt.Fprintf(d, `<text x="%.2f" y="%.2f" font-size="%.2f"%s>`, x, y, size, weight)
	xml.EscapeText(d, []byte(clean(text)))
	fmt.Fprintln(d, "</text>")
}

// line draws a connection that leaves and arrives level.
func (d *drawing) line(x1, y1, x2, y2 float64) {
	middle := (x1 + x2) / 2
	fmt.Fprintf(d, `<path d="M%.2f %.2fH%.2fV%.2fH%.2f" fill="none" stroke="black" stroke-width="0.25"/>`+"\n", x1, y1, middle, y2, x2)
}

func (d *drawing) box(b *box, lines []textLine, size float64) {
	edge, corner := "0.3", 0.0
	if b.step.Kind == "repair" || b.step.ID == "" {
		edge, corner = "0.6", size
	}
	fmt.Fprintf(d, `<rect x="%.2f" y="%.2f" width="%.2f" height="%.2f" rx="%.2f" fill="white" stroke="black" stroke-width="%s"/>`+"\n",
		b.x, b.y, b.w, b.h, corner, edge)
	for i, l := range lines {
		style := ""
		if l.bold {
			style = ` font-weight="bold"`
		}
		if l.faint {
			style = ` font-style="italic"`
		}
		fmt.Fprintf(d, `<text x="%.2f" y="%.2f" font-size="%.2f"%s>`, b.x+size/2, b.y+size*(0.4+lineHeight*float64(i)+1), size, style)
		xml.EscapeText(d, []byte(l.text))
		fmt.Fprintln(d, "</text>")
	}
}
