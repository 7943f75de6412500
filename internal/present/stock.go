package present

import (
	"fmt"
	"strings"

	"kg/internal/advise"
	"kg/internal/catalogue"
	"kg/internal/parts"
	"kg/internal/place"
	"kg/internal/stock"
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

// StockImport is the JSON form of what became of a table of stock.
type StockImport struct {
	Lines    int             `json:"lines"`
	Problems []place.Problem `json:"problems"`
	Written  bool            `json:"written"`
}

// StockImport says what became of a table of stock.
func (g *Page) StockImport(r StockImport) {
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

// Shelf is the stock as it is seen from one van.
type Shelf struct {
	Lines []stock.Line
	Van   string
}

// where says where a part is: on your van, on a colleague's, or to be ordered; ""
// where no stock is kept.
func (s Shelf) where(id parts.ID) string {
	if len(s.Lines) == 0 {
		return ""
	}
	var others []string
	for _, l := range s.Lines {
		switch {
		case l.ID != id:
		case s.Van != "" && strings.EqualFold(l.Van, s.Van):
			return fmt.Sprintf("on your van (%d)", l.Count)
		default:
			others = append(others, fmt.Sprintf("%s (%d)", l.Van, l.Count))
		}
	}
	switch {
	case len(others) > 0 && s.Van != "":
		return "on a colleague's van: " + strings.Join(others, ", ")
	case len(others) > 0:
		return "on van " + strings.Join(others, ", ")
	}
	return "order"
}

// InCauses says where the parts of causes are.
func (s Shelf) InCauses(a *advise.Answer) {
	for i := range a.Causes {
		for k := range a.Causes[i].Parts {
			a.Causes[i].Parts[k].Stock = s.where(a.Causes[i].Parts[k].ID)
		}
	}
}

// InPart says where the parts of a look-up are.
func (s Shelf) InPart(a *catalogue.PartAnswer) {
	for i := range a.Today {
		a.Today[i].Stock = s.where(a.Today[i].ID)
	}
	for _, f := range a.Found {
		for _, set := range f.Today {
			for k := range set.Items {
				set.Items[k].Stock = s.where(set.Items[k].ID)
			}
		}
	}
}
