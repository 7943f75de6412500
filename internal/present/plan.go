package present

import (
	"fmt"
	"strings"

	"kg/internal/catalogue"
	"kg/internal/parts"
)

// Plan prints what to carry, and what that closes.
func (g *Page) Plan(s catalogue.StockPlan) {
	g.heading(fmt.Sprintf("What to carry for %d call-outs", s.Jobs))
	var after []string
	for _, a := range s.LookAfter {
		after = append(after, fmt.Sprintf("%d %s", a.Count, a.Appliance))
	}
	g.Text(0, "on "+strings.Join(after, ", "))
	g.gap()
	for _, c := range s.Carry {
		var items []string
		for _, t := range c.Items {
			items = append(items, fmt.Sprintf("%s %s, %s", t.Maker, t.Number, strings.ToLower(t.Name)))
		}
		g.labelled(0, fmt.Sprintf("%3d", c.Count), 5, fmt.Sprintf("%s (asked for %.1f times)", strings.Join(items, " with "), c.Closes))
	}
	if len(s.Carry) == 0 {
		g.Text(0, "Nothing: no part in the lists fits into that.")
	}
	g.gap()
	g.labelled(0, "takes", 12, fmt.Sprintf("%.0f of %d minutes of paid work, %.0f of %d slots", s.Cost, s.Budget, s.Space, s.Slots))
	g.labelled(0, "closes", 12, fmt.Sprintf("%.1f of %d call-outs at the first visit: %s", s.FirstVisit, s.Jobs, percent(s.Share)))
	g.labelled(0, "", 12, fmt.Sprintf("%s need no part; %s need one that no list has%s", percent(s.NoPart), percent(s.Unknown), missingTypes(s.Missing)))
	if s.Exact {
		g.labelled(0, "best there is", 12, "yes: every other load was ruled out")
	} else {
		g.labelled(0, "at most", 12, fmt.Sprintf("%s for any load of this size: what the parts add is within %.2g %% of the best there is. (Taking the best again and again is sure of %.0f %% where slots alone bind.)",
			percent(s.Bound), max(0.01, 100*s.Gap), 100*parts.GreedyShare))
	}
	g.gap()
	g.heading("First visits by budget, minutes of paid work")
	for _, point := range s.Curve {
		g.line(fmt.Sprintf("%9.0f  %7s %s", point.Budget, percent(point.Share), g.wideBar(point.Share)))
	}
	g.gap()
	g.Text(0, "Rates are those of the notes. Calls are taken to come by chance, each with one cause that is known when the part is chosen.")
}

func percent(share float64) string { return fmt.Sprintf("%.1f %%", 100*share) }

// wideBar draws a share as up to 50 marks.
func (g *Page) wideBar(share float64) string {
	const cells = 50
	mark := "="
	if g.colour {
		mark = "▬"
	}
	return strings.Repeat(mark, int(share*cells+0.5))
}

func missingTypes(list []catalogue.PartType) string {
	const some = 5
	if len(list) == 0 {
		return ""
	}
	var names []string
	for _, t := range list[:min(some, len(list))] {
		names = append(names, string(t.Component))
	}
	more := ""
	if len(list) > some {
		more = fmt.Sprintf(" and %d more", len(list)-some)
	}
	return " (" + strings.Join(names, ", ") + more + ")"
}
