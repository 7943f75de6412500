package present

import (
	"fmt"
	"strings"

	"kg/internal/advise"
	"kg/internal/library"
	"kg/internal/note"
	"kg/internal/signal"
)

// cause prints a cause with all that is known of it.
func (g *Page) cause(n int, c advise.Cause, why bool, shown []library.Alert) {
	g.causeTitle(n, fmt.Sprintf("%s: %s", c.ComponentName, c.Name), c.Probability)
	label := func(name, text string) {
		if text != "" {
			g.labelled(4, name, 10, text)
		}
	}
	label("chain", chain(c))
	if why {
		label("weighing", weighing(c))
	}
	for i, t := range c.Tests {
		name := ""
		if i == 0 {
			name = "settle"
		}
		label(name, fmt.Sprintf("%s, %s [%s]", t.Name, effort(t.Minutes, t.Who), t.Test))
		label("", notWhile(t.Bars))
		g.method(t)
	}
	label("part type", partTypes(c))
	g.causeParts(4, 10, c)
	if r := c.Repair; r != nil {
		label("repair", fmt.Sprintf("%s, %s [%s]", r.Name, effort(r.Minutes, r.Who), r.Remedy))
		label("", notWhile(r.Bars))
		label("", "checked afterwards: "+listed(r.Checks))
	}
	if s := c.StopGap; s != nil {
		label("stop-gap", fmt.Sprintf("%s [%s]: no repair", s.Name, s.Remedy))
		label("", notWhile(s.Bars))
		label("", listed(s.Limits))
	}
	if len(c.MayComeFrom) > 0 {
		label("behind it", "may be "+consequences(c.MayComeFrom, ""))
	}
	label("if left", consequences(c.LeadsTo, c.IfLeft))
	g.remarks(4, 10, c.Field)
	g.causeAlerts(4, c.Caveats, shown)
	label("notes", strings.Join(c.Notes, ", "))
}

// causeLine prints a cause in a line. With the first one stands what gets it going
// meanwhile, what comes of leaving it, and its parts where they are few.
func (g *Page) causeLine(n int, c advise.Cause, why bool) {
	const odds = 10
	g.labelled(0, fmt.Sprintf("%2d  %s", n, odd(c.Probability)), 4+odds, fmt.Sprintf("%s: %s [%s]", c.ComponentName, c.Name, c.Mode))
	if why {
		g.labelled(4, "weighing", odds, weighing(c))
	}
	if n > 1 {
		return
	}
	if s := c.StopGap; s != nil {
		g.labelled(4, "stop-gap", odds, strings.TrimSuffix(fmt.Sprintf("%s [%s]: no repair; %s", s.Name, s.Remedy, notWhile(s.Bars)), "; "))
	}
	if left := consequences(c.LeadsTo, c.IfLeft); left != "" {
		g.labelled(4, "if left", odds, left)
	}
	if known := len(c.Parts) + c.MoreParts; known > 0 && known <= fewParts {
		g.causeParts(4, odds, c)
	}
	g.remarks(4, odds, c.Field)
}

// odd is a probability in few words, for a column.
func odd(p float64) string {
	switch {
	case p >= 0.995:
		return "99 in 100"
	case p < 0.005:
		return "rarely"
	}
	return InWords(p)
}

// causeTitle prints the number, the name and the odds of a cause, with a bar.
func (g *Page) causeTitle(n int, name string, p float64) {
	const bar = 21
	odds := InWords(p)
	width := g.width - 4 - 2 - len(odds) - bar
	for i, line := range wrap(clean(name), width) {
		if i > 0 {
			g.line("    " + line)
			continue
		}
		g.line(fmt.Sprintf("%2d  ", n) + g.bold(pad(line, width)) + "  " + odds + " " + g.bar(p))
	}
}

// fewParts is how many parts are printed with a cause; of more, the number.
const fewParts = 3

// causeParts prints today's parts of a cause with the older numbers under them.
func (g *Page) causeParts(indent, width int, c advise.Cause) {
	if n := len(c.Parts) + c.MoreParts; n > fewParts {
		g.labelled(indent, "part", width, fmt.Sprintf("%d numbers are known: name the appliance with --appliance for its own", n))
		return
	}
	for i, t := range c.Parts {
		g.todayPart(indent, once("part", i), width, t)
	}
}

// partTypes names the part types of a cause.
func partTypes(c advise.Cause) string {
	var out []string
	for _, t := range c.PartTypes {
		out = append(out, t.Name)
	}
	return strings.Join(out, "; ")
}

// remarks names what was remarked.
func (g *Page) remarks(indent, width int, list []advise.FieldRemark) {
	for _, r := range list {
		g.labelled(indent, "remark", width, fmt.Sprintf("%s [%s]", r.Name, r.ID))
	}
}

// causeAlerts prints those caveats that were not shown before: the grave ones in
// words, the others by name.
func (g *Page) causeAlerts(indent int, alerts, shown []library.Alert) {
	mild := map[signal.Word][]string{}
	for _, a := range alerts {
		switch {
		case alreadyShown(a, shown):
		case a.Level.Rank() > signal.Warning.Rank():
			mild[a.Level] = append(mild[a.Level], fmt.Sprintf("%s [%s]", a.Name, a.ID))
		default:
			g.alert(indent, a.Level, a.Text)
		}
	}
	for _, level := range []signal.Word{signal.Caution, signal.Notice} {
		if len(mild[level]) > 0 {
			g.alert(indent, level, strings.Join(mild[level], "; "))
		}
	}
}

// alertNames prints the caveats that were not shown before by name, those of one level
// together; what is no hazard is left to the full answer.
func (g *Page) alertNames(indent int, alerts, shown []library.Alert) {
	for _, level := range signal.Words() {
		if level == signal.Notice {
			continue
		}
		var names []string
		for _, a := range alerts {
			if a.Level == level && !alreadyShown(a, shown) {
				names = append(names, a.Name)
			}
		}
		if len(names) > 0 {
			g.alert(indent, level, strings.Join(names, "; "))
		}
	}
}

func alreadyShown(a library.Alert, shown []library.Alert) bool {
	for _, s := range shown {
		if s.ID == a.ID {
			return true
		}
	}
	return false
}

// method prints how a test is done and what its results say of the cause.
func (g *Page) method(t advise.TestMethod) {
	g.steps(14, t.Isolation, t.Steps)
	if len(t.For) > 0 {
		g.Text(14, "it is this if: "+strings.Join(t.For, "; "))
	}
	if len(t.Against) > 0 {
		g.Text(14, "it is not if: "+strings.Join(t.Against, "; "))
	}
}

// steps prints what is made safe first, and the steps of some work.
func (g *Page) steps(indent int, isolation string, steps []string) {
	if isolation != "" {
		g.Text(indent, "made safe first: "+isolation)
	}
	for i, s := range steps {
		g.labelled(indent, fmt.Sprintf("%d", i+1), 3, s)
	}
}

// step names something to do with what it takes.
func step(name string, minutes int, who note.Who, id note.ID) string {
	if id == "" {
		return name
	}
	if minutes == 0 {
		return fmt.Sprintf("%s, %s [%s]", name, who, id)
	}
	return fmt.Sprintf("%s, %s [%s]", name, effort(minutes, who), id)
}

// notWhile says for which dangers something is not to be done yet.
func notWhile(bars []advise.Bar) string {
	if len(bars) == 0 {
		return ""
	}
	var names []string
	for _, b := range bars {
		names = append(names, b.Name)
	}
	return "not yet: there may be " + strings.Join(names, "; ")
}

func effort(minutes int, who note.Who) string {
	return fmt.Sprintf("%d min, %s", minutes, who)
}

func chain(c advise.Cause) string {
	out := []string{}
	for i, s := range c.Path {
		if i == 0 {
			out = append(out, s.FromName)
		}
		out = append(out, s.Name)
	}
	return strings.Join(out, " -> ")
}

func weighing(c advise.Cause) string {
	out := []string{fmt.Sprintf("found at %.1f in 1000 call-outs", 1000*c.Prior)}
	for _, w := range c.Weights {
		out = append(out, fmt.Sprintf("%+.1f decibans from %s", w.Decibans, w.Finding))
	}
	return strings.Join(out, "; ") + fmt.Sprintf("; makes %.3g", c.Probability)
}

func consequences(modes []advise.Consequence, more string) string {
	var out []string
	for _, l := range modes {
		out = append(out, fmt.Sprintf("%s (%s)", l.Name, note.WordFor(l.Probability)))
	}
	if more != "" {
		out = append(out, more)
	}
	return strings.Join(out, "; ")
}
