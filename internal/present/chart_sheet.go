package present

import (
	"fmt"
	"strings"

	"kg/internal/advise"
)

// Layout of a chart, in millimetres.
const (
	headroom     = 16.0 // title
	footroom     = 16.0 // dangers
	largestType  = 3.2
	smallestType = 1.7
	columnGap    = 5.0
)

// box is a step of a chart with its place on the page.
type box struct {
	step       *advise.ChartStep
	result     string // outcome of the step before that leads here
	column     int
	next       []*box
	x, y, w, h float64
}

// boxes makes the boxes of a step and of all that follow, and says how many
// columns they take.
func boxes(s *advise.ChartStep, result string, column int) (*box, int) {
	b := &box{step: s, result: result, column: column}
	columns := column + 1
	for _, branch := range s.Branches {
		next, n := boxes(branch.Step, fmt.Sprintf("%s (%s)", branch.Result, InWords(branch.Likely)), column+1)
		b.next = append(b.next, next)
		columns = max(columns, n)
	}
	return b, columns
}

// ChartSheet draws a chart from left to right on one sheet.
func ChartSheet(c advise.Chart) []byte {
	out := newDrawing(sheetWidth, sheetHeight, "")
	out.text(margin, margin+5, 5, style{bold: true}, chartTitle(c))
	out.text(margin, margin+10, 2.6, style{}, forWhom)
	for i, s := range c.StopWork {
		for k, line := range wrapped(fmt.Sprintf("%d  %s", i+1, s), sheetWidth-2*margin, 4, false) {
			out.text(margin, margin+headroom+12*float64(i)+5*float64(k), 4, style{}, line)
		}
	}
	if c.Start != nil {
		out.tree(c.Start)
	}
	out.dangers(c)
	if c.LeftOut > 0 {
		out.text(margin, sheetHeight-margin+3, 2.4, style{}, "Left out, as they hardly ever come: outcomes of "+InWords(c.LeftOut)+" together.")
	}
	return out.close()
}

// tree draws the boxes of a chart in the largest type with which they fit.
func (d *drawing) tree(start *advise.ChartStep) {
	first, columns := boxes(start, "", 0)
	width := (sheetWidth - 2*margin + columnGap) / float64(columns)
	room := sheetHeight - 2*margin - headroom - footroom
	size := largestType
	for size > smallestType && first.place(width, size, 0) > room {
		size -= 0.1
	}
	spread := max(0, room-first.place(width, size, 0)) / float64(max(1, first.leaves()-1))
	first.place(width, size, min(spread, 3*size))
	d.connections(first)
	d.boxes(first, size)
}

// dangers names what kills, at the foot of the page.
func (d *drawing) dangers(c advise.Chart) {
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
		d.text(margin, sheetHeight-margin-footroom+4+size*lineHeight*float64(i+1), size, style{bold: true}, line)
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

func (d *drawing) connections(b *box) {
	for _, next := range b.next {
		d.connect(b.x+b.w, b.y+b.h/2, next.x, next.y+next.h/2)
		d.connections(next)
	}
}

func (d *drawing) boxes(b *box, size float64) {
	edge, corner := 0.3, 0.0
	if b.step.Kind == advise.StepRepair || b.step.ID == "" {
		edge, corner = 0.6, size
	}
	d.box(b.x, b.y, b.w, b.h, corner, edge)
	for i, l := range boxLines(b, b.w, size) {
		d.text(b.x+size/2, b.y+size*(0.4+lineHeight*float64(i)+1), size, l.style, l.text)
	}
	for _, next := range b.next {
		d.boxes(next, size)
	}
}

// boxLines are the lines of a box: what leads to it, what is done, what is
// suspected.
func boxLines(b *box, width, size float64) []textLine {
	var out []textLine
	add := func(text string, s style) {
		for _, line := range wrapped(text, width-size, size, s.bold) {
			out = append(out, textLine{line, s})
		}
	}
	if b.result != "" {
		add("if "+b.result, style{faint: true})
	}
	s := b.step
	switch {
	case s.ID != "":
		add(s.Name, style{bold: true})
		if s.Minutes > 0 {
			add(fmt.Sprintf("%d min, %s", s.Minutes, s.Who), style{})
		} else {
			add(s.Who.String(), style{})
		}
	case s.Kind == advise.StepCall:
		add("Call for help", style{bold: true})
	}
	if s.CauseName != "" && (s.Kind != advise.StepTest || len(s.Branches) == 0) {
		add(fmt.Sprintf("%s, %s", s.CauseName, InWords(s.Probability)), style{bold: s.ID == "" && s.Kind != advise.StepCall})
	}
	return out
}

type textLine struct {
	text  string
	style style
}
