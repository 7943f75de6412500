package present

import (
	"fmt"

	"kg/internal/catalogue/stock"
)

// Stock prints what is on the vans, or on one. Where nothing is to be shown it says
// whether any stock is kept.
func (g *Page) Stock(lines []stock.Line, kept bool, of string) {
	van := ""
	for _, l := range lines {
		if l.Van != van {
			g.gap()
			g.heading(clean(l.Van))
			van = l.Van
		}
		g.labelled(0, fmt.Sprintf("%5d", l.Count), 7, l.Maker+" "+l.Number)
	}
	switch {
	case len(lines) > 0:
	case kept:
		g.Text(0, fmt.Sprintf("Nothing is on van %s: `kg stock` says what is on the others.", clean(of)))
	default:
		g.Text(0, "No stock is kept yet: `kg stock put NUMBER --van NAME` begins it.")
	}
}

// StockLine says how many of a part a van has now.
func (g *Page) StockLine(l stock.Line) {
	g.Text(0, fmt.Sprintf("van %s has %d %s %s", clean(l.Van), l.Count, l.Maker, l.Number))
}

// StockImport says what became of a table of stock.
func (g *Page) StockImport(r stock.Taken) {
	counts := count(r.Lines, "count", "counts")
	switch n := len(r.Problems); {
	case r.Written:
		g.Text(0, counts+" taken in")
	case n > 0:
		g.Text(0, fmt.Sprintf("nothing was changed: %s cannot be used", count(n, "row", "rows")))
	default:
		g.Text(0, counts+" would be taken in; nothing was changed")
	}
}
