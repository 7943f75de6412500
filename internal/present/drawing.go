package present

import (
	"bytes"
	"encoding/xml"
	"fmt"
)

// drawing is a sheet being drawn as SVG, in millimetres. It names no font but the
// reader's own and loads nothing. Writing to a buffer does not fail.
type drawing struct {
	bytes.Buffer
	width, height float64
}

// style is how a text of a drawing looks.
type style struct{ bold, faint, end bool }

// newDrawing begins a white sheet of a size. The title is what a reader's window
// is called, and may be empty.
func newDrawing(width, height float64, title string) *drawing {
	d := &drawing{width: width, height: height}
	fmt.Fprintf(d, `<svg xmlns="http://www.w3.org/2000/svg" width="%gmm" height="%gmm" viewBox="0 0 %g %g" font-family="sans-serif">`+"\n",
		width, height, width, height)
	if title != "" {
		fmt.Fprint(d, "<title>")
		d.escape(title)
		fmt.Fprint(d, "</title>")
	}
	fmt.Fprintf(d, `<rect width="%g" height="%g" fill="white"/>`+"\n", width, height)
	return d
}

func (d *drawing) close() []byte {
	fmt.Fprintln(d, "</svg>")
	return d.Bytes()
}

func (d *drawing) escape(s string) { xml.EscapeText(d, []byte(clean(s))) }

// text writes a line whose foot is at y, from x on, or up to x where it is to end
// there.
func (d *drawing) text(x, y, size float64, s style, text string) {
	fmt.Fprintf(d, `<text x="%.2f" y="%.2f" font-size="%.2f"`, x, y, size)
	if s.end {
		fmt.Fprint(d, ` text-anchor="end"`)
	}
	if s.bold {
		fmt.Fprint(d, ` font-weight="bold"`)
	}
	if s.faint {
		fmt.Fprint(d, ` font-style="italic"`)
	}
	fmt.Fprint(d, ">")
	d.escape(text)
	fmt.Fprintln(d, "</text>")
}

// box draws a white box with an edge.
func (d *drawing) box(x, y, w, h, corner, edge float64) {
	fmt.Fprintf(d, `<rect x="%.2f" y="%.2f" width="%.2f" height="%.2f" rx="%.2f" fill="white" stroke="black" stroke-width="%g"/>`+"\n",
		x, y, w, h, corner, edge)
}

// shade draws a grey box without an edge, to write on.
func (d *drawing) shade(x, y, w, h float64) {
	fmt.Fprintf(d, `<rect x="%.2f" y="%.2f" width="%.2f" height="%.2f" fill="#eee"/>`+"\n", x, y, w, h)
}

// line draws a straight line.
func (d *drawing) line(x1, y1, x2, y2, width float64) {
	fmt.Fprintf(d, `<path d="M%.2f %.2fL%.2f %.2f" stroke="black" stroke-width="%.2f"/>`+"\n", x1, y1, x2, y2, width)
}

// connect draws a line that leaves and arrives level.
func (d *drawing) connect(x1, y1, x2, y2 float64) {
	d.path(fmt.Sprintf("M%.2f %.2fH%.2fV%.2fH%.2f", x1, y1, (x1+x2)/2, y2, x2), 0.25)
}

// path draws a line of many pieces, written as SVG has it.
func (d *drawing) path(pieces string, width float64) {
	fmt.Fprintf(d, `<path d="%s" fill="none" stroke="black" stroke-width="%g"/>`+"\n", pieces, width)
}

// How wide and how high type is, by its size.
const (
	lineHeight  = 1.25
	letterWidth = 0.52 // on average
	boldWidth   = 0.60
)

// wrapped breaks a text so that its lines have about a width.
func wrapped(text string, width, size float64, bold bool) []string {
	letter := letterWidth
	if bold {
		letter = boldWidth
	}
	return wrap(clean(text), max(8, int(width/(size*letter))))
}

// The sheet of a chart or a curve: A4 on its side.
const (
	sheetWidth, sheetHeight = 297.0, 210.0
	margin                  = 9.0
)
