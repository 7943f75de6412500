package main

import (
	"fmt"
	"strings"

	"kg/internal/measure"
)

// Paper in millimetres.
var papers = map[string][2]float64{"A4": {210, 297}, "A5": {148, 210}}

// cardSVG draws a card as a page in millimetres. It names no font but the
// reader's own and loads nothing.
func cardSVG(c *measure.Card, title, paper string) string {
	size := papers[paper]
	const margin, foot, head, least, usual, shrink = 10.0, 34.0, 26.0, 1.9, 5.2, 0.68
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" width="%gmm" height="%gmm" viewBox="0 0 %g %g" font-family="sans-serif">`+"\n",
		size[0], size[1], size[0], size[1])
	fmt.Fprintf(&b, `<title>%s</title><rect width="100%%" height="100%%" fill="white"/>`+"\n", escape(title))
	text := func(x, y, high float64, style, s string) {
		fmt.Fprintf(&b, `<text x="%.2f" y="%.2f" font-size="%.2f"%s>%s</text>`+"\n", x, y, high, style, escape(s))
	}
	const bold = ` font-weight="bold"`
	const end = ` text-anchor="end"`
	y := margin + 3
	for _, line := range wrap(clean(title), int((size[0]-2*margin)/2.4)) {
		text(margin, y, 4.2, bold, line)
		y += 5
	}
	for _, line := range wrap(clean(c.Model.About+"; "+cardExplains(c)), int((size[0]-2*margin)/1.5)) {
		text(margin, y, 2.8, "", line)
		y += 3.6
	}
	// More rows than fit below each other stand in columns.
	const tight, most, gap = 2.7, 4, 6.0
	columns := 1
	room := size[1] - head - foot - margin
	per := len(c.Rows)
	for columns < most && float64(per+1)*tight > room {
		columns++
		per = (len(c.Rows) + columns - 1) / columns
	}
	step := min(usual, max(least, room/float64(per+1)))
	top := max(y, head) + 2
	wide := (size[0] - 2*margin - float64(columns-1)*gap) / float64(columns)
	letters := min(step*shrink, wide/4/3.6) // six or seven fit into a cell
	for col := range columns {
		x := margin + float64(col)*(wide+gap)
		at := func(i int) float64 { return x + wide*float64(i+1)/4 }
		for i, h := range heads(c) {
			text(at(i), top, min(letters, 2.9, wide/4/float64(len(h))*1.7), end+bold, h)
		}
		for n := col * per; n < min((col+1)*per, len(c.Rows)); n++ {
			line := top + step*float64(n-col*per+1)
			if (n-col*per)%2 == 0 {
				fmt.Fprintf(&b, `<rect x="%.2f" y="%.2f" width="%.2f" height="%.2f" fill="#eee"/>`+"\n", x, line-step*0.75, wide, step)
			}
			for i, cell := range cells(c.Rows[n]) {
				style := end
				if i == 1 {
					style += bold
				}
				text(at(i), line, letters, style, cell)
			}
		}
	}
	var notes []string
	for _, caution := range c.Cautions {
		notes = append(notes, strings.ToUpper(caution.Level)+" "+caution.Text)
	}
	if len(c.Assumed) > 0 {
		notes = append(notes, "Assumed: "+strings.Join(c.Assumed, ", "))
	}
	notes = append(notes, "Source: "+c.Source)
	if c.Edition != "" {
		notes = append(notes, c.Edition+": check the edition in force; local rules decide")
	}
	var lines []string
	for _, n := range notes {
		lines = append(lines, wrap(clean(n), int((size[0]-2*margin)/1.15))...)
	}
	y = size[1] - margin - float64(len(lines)-1)*2.8
	for _, line := range lines {
		text(margin, y, 2.1, "", line)
		y += 2.8
	}
	b.WriteString("</svg>\n")
	return b.String()
}

var escaper = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;")

func escape(s string) string { return escaper.Replace(clean(s)) }
