package present

import (
	"fmt"
	"math"
	"strings"

	"kg/internal/measure"
	"kg/internal/signal"
)

// Card prints a table of readings.
func (g *Page) Card(c *measure.Card, title string) {
	g.cautions(c.Cautions, signal.Danger)
	g.heading(title)
	g.Text(0, c.Model.About)
	g.Text(0, cardExplains(c))
	g.gap()
	const column = 16
	row := func(cells [4]string) string {
		var b strings.Builder
		for _, cell := range cells {
			fmt.Fprintf(&b, "%*s", column, cell)
		}
		return b.String()
	}
	g.line(g.bold(row(heads(c))))
	for _, r := range c.Rows {
		g.line(row(cells(r)))
	}
	g.gap()
	if len(c.Assumed) > 0 {
		g.labelled(0, "assumed", readingLabel, strings.Join(c.Assumed, ", "))
	}
	g.origin(c.Source, c.Edition)
	g.gap()
	g.cautions(c.Cautions, signal.Warning, signal.Caution, signal.Notice)
}

// cells are the columns of a row.
func cells(r measure.Row) [4]string {
	width := math.Abs(r.High-r.Low) / 2
	if known(width) == nil || width == 0 {
		width = math.Abs(r.Expected)
	}
	width = min(width, math.Abs(r.Expected)) / 2 // one digit more than it tells
	text := func(x float64) string {
		if known(x) == nil {
			return "-"
		}
		return digits(x, width)
	}
	return [4]string{digits(math.Round(r.At*1e9)/1e9, 0), text(r.Expected), text(r.Low), text(r.High)}
}

func heads(c *measure.Card) [4]string {
	what := "healthy"
	if c.Model.Derived() {
		what = "about"
	}
	return [4]string{c.Key + spaced(c.KeyUnit), what + spaced(c.Unit), "from", "to"}
}

// cardExplains says what the columns are.
func cardExplains(c *measure.Card) string {
	if c.Model.Derived() {
		return "from and to are its expanded uncertainty (k = 2)"
	}
	return "from and to are what a good part and a good meter leave when " + c.Key + " is exactly that"
}
