package present

import (
	"fmt"
	"strings"

	"kg/internal/advise"
)

// Chart prints a chart as numbered steps: each outcome says where to go on.
func (g *Page) Chart(c advise.Chart) {
	for _, a := range gravest(c.Caveats) {
		g.alert(0, a.Level, a.Text)
	}
	g.gap()
	g.heading(chartTitle(c))
	if len(c.StopWork) > 0 {
		g.Text(1, "This stops the work. There is nothing to find out before:")
		for i, s := range c.StopWork {
			g.labelled(1, fmt.Sprintf("%d", i+1), 3, s)
		}
		return
	}
	steps := numbered(c.Start)
	for i, s := range steps {
		g.gap()
		g.labelled(0, fmt.Sprintf("%2d", i+1), 4, boxText(s))
		for _, b := range s.Branches {
			g.Text(4, fmt.Sprintf("%s (%s): %s", b.Result, InWords(b.Likely), ending(b.Step, steps)))
		}
	}
	g.gap()
	if c.LeftOut > 0 {
		g.Text(0, fmt.Sprintf("Left out, as they hardly ever come: outcomes of %s together.", InWords(c.LeftOut)))
	}
	g.Text(0, "Steps in full: `kg show ID`.")
	g.closing()
}

func chartTitle(c advise.Chart) string {
	if c.Of == "" {
		return c.Name
	}
	return c.Name + ", " + c.Of
}

// numbered are the steps that go on, in the order in which they are printed.
func numbered(start *advise.ChartStep) []*advise.ChartStep {
	var out []*advise.ChartStep
	level := []*advise.ChartStep{start}
	for len(level) > 0 {
		var next []*advise.ChartStep
		for _, s := range level {
			if (s.ID == "" || s.Kind == advise.StepCall) && s != start {
				continue
			}
			out = append(out, s)
			for _, b := range s.Branches {
				next = append(next, b.Step)
			}
		}
		level = next
	}
	return out
}

func boxText(s *advise.ChartStep) string {
	return step(s.Name, s.Minutes, s.Who, s.ID)
}

// ending says where an outcome leads.
func ending(s *advise.ChartStep, steps []*advise.ChartStep) string {
	suspect := ""
	if s.CauseName != "" {
		suspect = fmt.Sprintf("%s, %s", s.CauseName, InWords(s.Probability))
	}
	for i, known := range steps {
		if known == s {
			return strings.TrimSpace(fmt.Sprintf("go to %d. %s", i+1, suspect))
		}
	}
	switch {
	case s.Kind == advise.StepCall && s.ID != "":
		return boxText(s) + ". " + suspect
	case s.Kind == advise.StepCall:
		return strings.TrimSpace("call for help. " + suspect)
	}
	return suspect
}
