package present

import (
	"strings"

	"kg/internal/measure"
)

// Paper in millimetres.
var papers = map[string][2]float64{"A4": {210, 297}, "A5": {148, 210}}

// IsPaper reports whether there are cards of a size.
func IsPaper(size string) bool {
	_, known := papers[size]
	return known
}

// Layout of a card, in millimetres.
const (
	cardMargin = 10.0
	cardHead   = 26.0 // title, and what the columns are
	cardFoot   = 34.0 // caveats and sources
)

// CardSheet draws a card on a sheet of paper, A4 or A5.
func CardSheet(c *measure.Card, title, paper string) []byte {
	size := papers[paper]
	d := newDrawing(size[0], size[1], title)
	y := cardMargin + 3
	for _, line := range d.cardLines(title, 2.4) {
		d.text(cardMargin, y, 4.2, style{bold: true}, line)
		y += 5
	}
	for _, line := range d.cardLines(c.Model.About+"; "+cardExplains(c), 1.5) {
		d.text(cardMargin, y, 2.8, style{}, line)
		y += 3.6
	}
	d.cardRows(c, max(y, cardHead)+2)
	d.cardNotes(c)
	return d.close()
}

// cardLines breaks a text into lines as wide as the card, by the width of a letter.
func (d *drawing) cardLines(text string, letter float64) []string {
	return wrap(clean(text), int((d.width-2*cardMargin)/letter))
}

// cardRows draws the figures. More rows than fit below each other stand in columns.
func (d *drawing) cardRows(c *measure.Card, top float64) {
	const tight, most, gap = 2.7, 4, 6.0
	const least, usual, shrink = 1.9, 5.2, 0.68
	columns := 1
	room := d.height - cardHead - cardFoot - cardMargin
	per := len(c.Rows)
	for columns < most && float64(per+1)*tight > room {
		columns++
		per = (len(c.Rows) + columns - 1) / columns
	}
	step := min(usual, max(least, room/float64(per+1)))
	wide := (d.width - 2*cardMargin - float64(columns-1)*gap) / float64(columns)
	letters := min(step*shrink, wide/4/3.6) // six or seven fit into a cell
	for col := range columns {
		x := cardMargin + float64(col)*(wide+gap)
		at := func(i int) float64 { return x + wide*float64(i+1)/4 }
		for i, h := range heads(c) {
			d.text(at(i), top, min(letters, 2.9, wide/4/float64(len(h))*1.7), style{end: true, bold: true}, h)
		}
		for n := col * per; n < min((col+1)*per, len(c.Rows)); n++ {
			line := top + step*float64(n-col*per+1)
			if (n-col*per)%2 == 0 {
				d.shade(x, line-step*0.75, wide, step)
			}
			for i, cell := range cells(c.Rows[n]) {
				d.text(at(i), line, letters, style{end: true, bold: i == 1}, cell)
			}
		}
	}
}

// cardNotes writes at the foot what has to be known with the figures.
func (d *drawing) cardNotes(c *measure.Card) {
	var notes []string
	for _, caution := range c.Cautions {
		notes = append(notes, strings.ToUpper(string(caution.Level))+" "+caution.Text)
	}
	if len(c.Assumed) > 0 {
		notes = append(notes, "Assumed: "+strings.Join(c.Assumed, ", "))
	}
	notes = append(notes, "Source: "+c.Source)
	if c.Edition != "" {
		notes = append(notes, inForce(c.Edition))
	}
	var lines []string
	for _, n := range notes {
		lines = append(lines, d.cardLines(n, 1.15)...)
	}
	y := d.height - cardMargin - float64(len(lines)-1)*2.8
	for _, line := range lines {
		d.text(cardMargin, y, 2.1, style{}, line)
		y += 2.8
	}
}
