package present

import (
	"fmt"

	"kg/internal/cost"
)

// Costs prints what a plan assumes about work and being wrong, with what a team sets
// itself.
func (g *Page) Costs(all []cost.Item) {
	g.heading("Minutes of paid work")
	for _, i := range all {
		g.labelled(0, fmt.Sprintf("%5.4g", i.Minutes), 7, fmt.Sprintf("%s: %s", i.Name, i.About))
		if i.Reason != "" {
			g.Text(7, fmt.Sprintf("your own figure, usually %.4g: %s", i.Usual, clean(i.Reason)))
		}
	}
}
