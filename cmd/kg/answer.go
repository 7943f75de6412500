package main

import (
	"fmt"
	"math"
	"strings"

	"kg/internal/library"
	"kg/internal/note"
)

// The first causes are always printed with what follows from them, the others
// from a probability on; below it their name has to do.
const (
	alwaysShown   = 2
	worthItsLines = 0.03
)

// printAnswer prints an answer as the design of the screen has it: what is
// dangerous, what was understood, the causes in short (or in full), and the next
// step with its steps.
func (p *program) printAnswer(a library.Answer, full, why bool) {
	g := p.page()
	if a.Stop != nil && a.Stop.Sure {
		g.stop(a)
		return
	}
	g.maybeStop(a)
	danger := gravest(a.Caveats)
	for _, c := range danger {
		g.alert(0, c.Level, c.Text)
	}
	if len(danger) > 0 || a.Stop != nil {
		g.gap()
	}
	g.understood(a, why)
	if len(a.Causes) == 0 {
		g.nothing(a)
		return
	}
	g.remarks(1, 8, a.Field)
	g.gap()
	g.heading("Causes")
	for i, c := range a.Causes {
		short := !full && i >= alwaysShown && c.Probability < worthItsLines
		if i > 0 && !short {
			g.gap()
		}
		if short {
			g.title(i+1, fmt.Sprintf("%s: %s [%s]", c.ComponentName, c.Name, c.Mode), c.Probability)
			continue
		}
		g.cause(i+1, c, full, why, danger)
	}
	if a.Other >= 0.005 {
		g.gap()
		g.labelled(0, "", 0, fmt.Sprintf("Something that these notes do not know: %s.", library.InWords(a.Other)))
	}
	g.gap()
	g.next(a)
	g.causeAlerts(1, a.Caveats, danger)
	g.closing()
}

// maybeStop warns of something that would end the work, where it may be meant.
func (g *page) maybeStop(a library.Answer) {
	if a.Stop != nil {
		g.alert(0, note.Danger, fmt.Sprintf("If this is what you see, stop work: %s. `kg show %s` says what to do first.",
			a.Stop.Name, a.Stop.Symptom))
	}
}

// closing says whom all of it is for.
func (g *page) closing() {
	g.gap()
	g.labelled(0, "", 0, "Only for those competent, and licensed where local rules ask for it; the maker's instructions come first.")
}

// gravest returns the caveats of level danger.
func gravest(alerts []library.Alert) []library.Alert {
	var out []library.Alert
	for _, a := range alerts {
		if a.Level == note.Danger {
			out = append(out, a)
		}
	}
	return out
}

func (g *page) stop(a library.Answer) {
	g.alert(0, note.Danger, "STOP WORK. "+a.Stop.Name+".")
	g.gap()
	g.heading("Do this first")
	for i, s := range a.Stop.First {
		g.labelled(0, fmt.Sprintf("%2d", i+1), 4, s)
	}
	g.gap()
	for _, c := range a.Caveats {
		g.alert(0, c.Level, c.Text)
	}
	g.labelled(0, "", 0, "No diagnosis goes on until this is made safe. Local emergency numbers and rules come first.")
	g.labelled(0, "", 0, fmt.Sprintf("From %s; if that is not what you meant, say it in other words.", a.Stop.Note))
}

func (g *page) understood(a library.Answer, why bool) {
	g.heading("Understood")
	for _, f := range a.Findings {
		sign := "yes"
		if !f.Present {
			sign = "no"
		}
		g.labelled(1, sign, 5, fmt.Sprintf("%s [%s]", f.Name, f.Symptom))
		if f.Code != "" {
			g.labelled(6, "", 0, "from the code "+clean(f.Code))
		} else {
			g.labelled(6, "", 0, fmt.Sprintf("from %q", clean(f.Text)))
		}
		if f.Present && f.Code == "" && f.Score < 0.45 {
			g.labelled(6, "", 0, "This is only loosely like what you said: check it first.")
		}
		if why && f.Saying != "" {
			g.labelled(6, "", 0, fmt.Sprintf("like %q: %.2f, by the words %s", f.Saying, f.Score, strings.Join(f.Words, ", ")))
		}
		if f.Doubt {
			var others []string
			for _, r := range f.Others[1:] {
				others = append(others, fmt.Sprintf("%s [%s]", r.Name, r.ID))
			}
			g.labelled(6, "", 0, "or it could be: "+strings.Join(others, "; ")+". The doubt is in the figures below; say more to settle it.")
		}
	}
	for _, t := range a.Tested {
		g.labelled(1, "test", 5, fmt.Sprintf("%s: %s [%s]", t.Name, t.Result, t.Test))
	}
	for _, r := range a.Read {
		g.labelled(1, "read", 5, fmt.Sprintf("%s: %s, %s [%s]", r.Name, clean(r.Figures), judged(r), r.Test))
	}
	for _, m := range a.Mended {
		g.labelled(1, "did", 5, fmt.Sprintf("%s, it did not help [%s]", m.Name, m.Remedy))
	}
	for _, r := range a.Remarks {
		g.labelled(1, "", 5, clean(r))
	}
	g.conflicts(a.Conflicts, findingNames(a.Findings))
	if e := a.Estimate; e != nil {
		g.labelled(1, "", 5, fmt.Sprintf("The figures are estimates, off by up to about %.0f in 100: exact ones would take %d MiB for %d things at once.",
			math.Ceil(200*e.Error), e.Bytes>>20, e.Variables))
	}
}

// judged says in short what a reading says.
func judged(r library.Judged) string {
	out := r.Verdict
	if out == "" {
		out = "not judged"
	}
	if band := bandText(&r.Judgement); band != "" {
		out += "; a healthy part shows " + band
	}
	return out
}

// findingNames are the names of findings by their ids.
func findingNames(findings []library.Found) map[string]string {
	out := map[string]string{}
	for _, f := range findings {
		out[string(f.Symptom)] = f.Name
		if !f.Present {
			out[string(f.Symptom)] += ": not there"
		}
	}
	return out
}

// nameOr returns the name of a finding; a result of a test names itself.
func nameOr(names map[string]string, finding string) string {
	if name := names[finding]; name != "" {
		return name
	}
	return finding
}

// conflicts prints what does not go with the rest.
func (g *page) conflicts(list []library.Conflict, names map[string]string) {
	for _, c := range list {
		g.labelled(1, "odd", 5, fmt.Sprintf("%q does not go with the rest: together they are %.3g times rarer than apart. Check it again, or think of two faults.",
			nameOr(names, c.Finding), math.Exp2(c.Bits)))
	}
}

func (g *page) nothing(a library.Answer) {
	if len(a.Findings) == 0 && len(a.Remarks) == 0 {
		g.labelled(1, "", 5, fmt.Sprintf("nothing: no symptom in the notes is like %q.", clean(a.Query)))
	} else if len(a.Findings) > 0 {
		g.labelled(1, "", 5, "what is wrong is not clear from that.")
	}
	if len(a.Near) > 0 {
		g.gap()
		g.heading("Nearest")
		for _, r := range a.Near {
			g.labelled(1, "", 5, fmt.Sprintf("%s [%s]", r.Name, r.ID))
		}
	}
	g.gap()
	g.labelled(0, "", 0, "Say it in other words, or look with `kg find WORDS`.")
}

func (g *page) cause(n int, c library.Cause, full, why bool, shown []library.Alert) {
	g.title(n, fmt.Sprintf("%s: %s", c.ComponentName, c.Name), c.Probability)
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
		if full {
			g.method(t)
		} else if i == 1 {
			break
		}
	}
	label("part type", partTypes(c))
	g.causeParts(4, 10, c)
	if r := c.Repair; r != nil {
		label("repair", fmt.Sprintf("%s, %s [%s]", r.Name, effort(r.Minutes, r.Who), r.Remedy))
		if full {
			label("", "checked afterwards: "+listed(r.Checks))
		}
	}
	if s := c.StopGap; s != nil {
		label("stop-gap", fmt.Sprintf("%s [%s]: no repair", s.Name, s.Remedy))
		if full {
			label("", listed(s.Limits))
		}
	}
	if len(c.MayComeFrom) > 0 {
		label("behind it", "may be "+consequences(c.MayComeFrom, ""))
	}
	label("if left", consequences(c.LeadsTo, c.IfLeft))
	g.remarks(4, 10, c.Field)
	if full {
		g.causeAlerts(4, c.Caveats, shown)
		label("notes", strings.Join(c.Notes, ", "))
		return
	}
	g.alertNames(4, c.Caveats, shown)
	label("notes", noteNames(c.Notes))
}

// title prints the number, the name and the odds of a cause, with a bar.
func (g *page) title(n int, name string, p float64) {
	const bar = 21
	odds := library.InWords(p)
	width := columns - 4 - 2 - len(odds) - bar
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
func (g *page) causeParts(indent, width int, c library.Cause) {
	if n := len(c.Parts) + c.MoreParts; n > fewParts {
		g.labelled(indent, "part", width, fmt.Sprintf("%d numbers are known: name the appliance with --appliance for its own", n))
		return
	}
	for i, t := range c.Parts {
		g.todayPart(indent, once("part", i), width, t)
	}
}

// partTypes names the part types of a cause.
func partTypes(c library.Cause) string {
	var out []string
	for _, t := range c.PartTypes {
		out = append(out, t.Name)
	}
	return strings.Join(out, "; ")
}

// noteNames names the note of the mode itself and how many others there are.
func noteNames(notes []string) string {
	if len(notes) < 2 {
		return strings.Join(notes, "")
	}
	return fmt.Sprintf("%s and %d more (--full names them)", notes[0], len(notes)-1)
}

// remarks names what was remarked.
func (g *page) remarks(indent, width int, list []library.FieldRemark) {
	for _, r := range list {
		g.labelled(indent, "remark", width, fmt.Sprintf("%s [%s]", r.Name, r.ID))
	}
}

// causeAlerts prints those caveats that were not shown before: the grave ones in
// words, the others by name.
func (g *page) causeAlerts(indent int, alerts, shown []library.Alert) {
	mild := map[note.Level][]string{}
	for _, a := range alerts {
		switch {
		case alreadyShown(a, shown):
		case a.Level.Rank() > note.Warning.Rank():
			mild[a.Level] = append(mild[a.Level], fmt.Sprintf("%s [%s]", a.Name, a.ID))
		default:
			g.alert(indent, a.Level, a.Text)
		}
	}
	for _, level := range []note.Level{note.Caution, note.Notice} {
		if len(mild[level]) > 0 {
			g.alert(indent, level, strings.Join(mild[level], "; "))
		}
	}
}

// alertNames prints the caveats that were not shown before by name, those of one
// level together.
func (g *page) alertNames(indent int, alerts, shown []library.Alert) {
	for _, level := range note.Levels() {
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

// listed joins sentences, or what was written like them, into one.
func listed(items []string) string {
	out := make([]string, len(items))
	for i, s := range items {
		out[i] = strings.TrimSuffix(strings.TrimSpace(s), ".")
	}
	return strings.Join(out, "; ")
}

// method prints how a test is done and what its results say of the cause.
func (g *page) method(t library.TestMethod) {
	g.steps(14, t.Isolation, t.Steps)
	if len(t.For) > 0 {
		g.labelled(14, "", 0, "it is this if: "+strings.Join(t.For, "; "))
	}
	if len(t.Against) > 0 {
		g.labelled(14, "", 0, "it is not if: "+strings.Join(t.Against, "; "))
	}
}

// steps prints what is made safe first, and the steps of some work.
func (g *page) steps(indent int, isolation string, steps []string) {
	if isolation != "" {
		g.labelled(indent, "", 0, "made safe first: "+isolation)
	}
	for i, s := range steps {
		g.labelled(indent, fmt.Sprintf("%d", i+1), 3, s)
	}
}

// step names something to do with what it takes.
func step(name string, minutes int, who note.Competence, id note.ID) string {
	if id == "" {
		return name
	}
	if minutes == 0 {
		return fmt.Sprintf("%s, %s [%s]", name, who, id)
	}
	return fmt.Sprintf("%s, %s [%s]", name, effort(minutes, who), id)
}

func effort(minutes int, who note.Competence) string {
	return fmt.Sprintf("%d min, %s", minutes, who)
}

func chain(c library.Cause) string {
	out := []string{}
	for i, s := range c.Path {
		if i == 0 {
			out = append(out, s.FromName)
		}
		out = append(out, s.Name)
	}
	return strings.Join(out, " -> ")
}

func weighing(c library.Cause) string {
	out := []string{fmt.Sprintf("found at %.1f in 1000 call-outs", 1000*c.Prior)}
	for _, w := range c.Weights {
		out = append(out, fmt.Sprintf("%+.1f decibans from %s", w.Decibans, w.Finding))
	}
	return strings.Join(out, "; ") + fmt.Sprintf("; makes %.3g", c.Probability)
}

func consequences(modes []library.Consequence, more string) string {
	var out []string
	for _, l := range modes {
		out = append(out, fmt.Sprintf("%s (%s)", l.Name, note.WordFor(l.Probability)))
	}
	if more != "" {
		out = append(out, more)
	}
	return strings.Join(out, "; ")
}

// next prints the next step with all that is needed to do it.
func (g *page) next(a library.Answer) {
	n := a.Next
	if n == nil {
		return
	}
	g.heading("Next")
	g.labelled(1, "", 0, step(n.Name, n.Minutes, n.Who, n.ID))
	g.labelled(1, "why", 5, n.Why+".")
	if l := n.Licensed; l != nil {
		g.labelled(1, "", 5, "For someone who may do it: "+step(l.Name, 0, l.Who, l.ID)+".")
	}
	g.steps(1, n.Isolation, n.Steps)
	if len(n.Checks) > 0 {
		g.labelled(1, "", 0, "checked afterwards: "+listed(n.Checks))
	}
	for _, r := range n.Results {
		text := fmt.Sprintf("if %q: ", r.Name)
		if r.First != "" {
			text += fmt.Sprintf("%s, %s. ", r.FirstName, library.InWords(r.Probability))
		}
		g.labelled(1, "", 0, text+r.Means)
	}
}
