package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"kg/internal/library"
	"kg/internal/note"
)

// mostShown is how many causes are printed unless more are asked for.
const mostShown = 5

func (p *program) askCommand() *cli.Command {
	return command(&cli.Command{
		Name:      "ask",
		Usage:     "say what you see; get causes, tests, parts and the next step",
		ArgsUsage: "WORDS|CODE",
		Description: `Say what you see, hear or read, in your own words; say what still works as
well. Or give the code on the display, with the appliance that shows it.

   kg ask "pressure not rising on pump start"
   kg ask "no hot water but heating is fine"
   kg ask B14 --appliance skerry-c24

"kg list appliances" names the appliances. The first cause is printed in
full, the others in short; "kg show ID" prints any entry whole.`,
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "appliance", Aliases: []string{"a"}, Usage: "only what this `ID` has; its codes first"},
			&cli.IntFlag{Name: "most", Usage: "print at most `N` causes", Value: mostShown},
			onOff("full", "print every cause in full"),
			onOff("why", "print which words matched, and what weighed how much"),
			jsonFlag(),
		},
		Action: func(c *cli.Context) (err error) {
			words := strings.Join(c.Args().Slice(), " ")
			if strings.TrimSpace(words) == "" {
				return wrongUsef("say what you see: kg ask \"pressure not rising on pump start\"")
			}
			if c.Int("most") < 1 {
				return wrongUsef("--most takes a number from 1")
			}
			lib, err := p.open(c.Context)
			if err != nil {
				return err
			}
			defer closing(lib.Close, &err)
			q := library.Question{Text: words, Appliance: note.ID(c.String("appliance"))}
			if c.IsSet("most") || !c.Bool("json") {
				q.Most = c.Int("most")
			}
			a, err := lib.Ask(c.Context, q)
			if err != nil {
				return wrongApplianceIsUse(err, q.Appliance)
			}
			if c.Bool("json") {
				err = p.printJSON(a)
			} else {
				p.printAnswer(a, c.Bool("full"), c.Bool("why"))
			}
			if err == nil && len(a.Causes) == 0 && a.Stop == nil {
				return errNothing
			}
			return err
		},
	})
}

// wrongApplianceIsUse makes an unknown appliance an error of the command line.
func wrongApplianceIsUse(err error, appliance note.ID) error {
	var missing *library.NotFound
	switch {
	case !errors.As(err, &missing) || missing.ID != appliance:
		return err
	case missing.Nearest == "":
		return wrongUsef("there is no appliance %q: `kg list appliances` names them", appliance)
	}
	return wrongUse(missing)
}

// closing closes something at the end of a command and keeps the first error.
func closing(close func() error, err *error) {
	if cerr := close(); *err == nil {
		*err = cerr
	}
}

func (p *program) printAnswer(a library.Answer, full, why bool) {
	g := p.page()
	if a.Stop != nil && a.Stop.Sure {
		g.stop(a)
		return
	}
	if a.Stop != nil {
		g.alert(0, note.Danger, fmt.Sprintf("If it is this, stop work: %s. First: %s [%s]",
			a.Stop.Name, listed(a.Stop.First), a.Stop.Symptom))
	}
	danger, milder := byDanger(a.Caveats)
	for _, c := range danger {
		g.alert(0, c.Level, c.Text)
	}
	if len(danger) > 0 {
		g.gap()
	}
	g.understood(a, why)
	if len(a.Causes) == 0 {
		g.nothing(a)
		return
	}
	g.gap()
	g.heading("Causes")
	for i, c := range a.Causes {
		if i > 0 && (full || i == 1) {
			g.gap()
		}
		g.cause(i+1, c, full || i == 0, why, danger)
	}
	if a.Other >= 0.005 {
		g.labelled(0, "", 4, fmt.Sprintf("Something that these notes do not know: %s.", library.InWords(a.Other)))
	}
	g.gap()
	g.next(a)
	g.causeAlerts(4, milder, a.Causes[0].Caveats)
	g.gap()
	for _, line := range wrap("Only for those competent, and licensed where local rules ask for it; the maker's instructions come first.", columns) {
		g.line(line)
	}
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
	for _, r := range a.Remarks {
		g.labelled(1, "", 5, clean(r))
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
	title := fmt.Sprintf("%s: %s", c.ComponentName, c.Name)
	odds := library.InWords(c.Probability)
	first := wrap(clean(title), columns-4-2-len(odds)-21)
	for i, line := range first {
		if i > 0 {
			g.line("    " + line)
			continue
		}
		g.line(fmt.Sprintf("%2d  ", n) + g.bold(pad(line, columns-4-2-len(odds)-21)) + "  " + odds + " " + g.bar(c.Probability))
	}
	label := func(name, text string) { g.labelled(4, name, 10, text) }
	label("chain", chain(c))
	if why {
		label("weighing", weighing(c))
	}
	for i, t := range c.Tests {
		if full && i == 0 {
			g.method(t)
		} else if full || i == 0 {
			label(ifFirst(i, "settle", ""), fmt.Sprintf("%s, %s [%s]", t.Name, effort(t.Minutes, t.Who), t.Test))
		}
	}
	if len(c.PartTypes) > 0 && full {
		var names []string
		for _, t := range c.PartTypes {
			names = append(names, t.Name)
		}
		label("part type", strings.Join(names, ", "))
	}
	if c.Repair != nil {
		label("repair", fmt.Sprintf("%s, %s [%s]", c.Repair.Name, effort(c.Repair.Minutes, c.Repair.Who), c.Repair.Remedy))
		if full && len(c.Repair.Checks) > 0 {
			label("", "checked afterwards: "+listed(c.Repair.Checks))
		}
	}
	if c.StopGap != nil {
		label("stop-gap", fmt.Sprintf("%s [%s]: no repair. %s", c.StopGap.Name, c.StopGap.Remedy, ifFull(full, listed(c.StopGap.Limits))))
	}
	if full && len(c.MayComeFrom) > 0 {
		label("behind it", "may be "+consequences(c.MayComeFrom, ""))
	}
	if left := consequences(c.LeadsTo, c.IfLeft); left != "" && full {
		label("if left", left)
	}
	if !full {
		return
	}
	g.causeAlerts(4, c.Caveats, shown)
	label("notes", strings.Join(c.Notes, ", "))
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

// byDanger parts the caveats that stand over an answer from the milder ones.
func byDanger(alerts []library.Alert) (danger, milder []library.Alert) {
	for _, a := range alerts {
		if a.Level == note.Danger {
			danger = append(danger, a)
		} else {
			milder = append(milder, a)
		}
	}
	return danger, milder
}

// listed joins sentences, or what was written like them, into one.
func listed(items []string) string {
	out := make([]string, len(items))
	for i, s := range items {
		out[i] = strings.TrimSuffix(strings.TrimSpace(s), ".")
	}
	return strings.Join(out, "; ")
}

func ifFirst(i int, first, other string) string {
	if i == 0 {
		return first
	}
	return other
}

func ifFull(full bool, s string) string {
	if full {
		return s
	}
	return ""
}

func alreadyShown(a library.Alert, shown []library.Alert) bool {
	for _, s := range shown {
		if s.ID == a.ID {
			return true
		}
	}
	return false
}

// method prints a test with its steps.
func (g *page) method(t library.TestMethod) {
	g.labelled(4, "settle", 10, fmt.Sprintf("%s, %s [%s]", t.Name, effort(t.Minutes, t.Who), t.Test))
	if t.Isolation != "" {
		g.labelled(14, "", 0, "made safe first: "+t.Isolation)
	}
	for i, s := range t.Steps {
		g.labelled(14, fmt.Sprintf("%d", i+1), 3, s)
	}
	if len(t.For) > 0 {
		g.labelled(14, "", 0, fmt.Sprintf("it is this if: %s", strings.Join(t.For, "; ")))
	}
	if len(t.Against) > 0 {
		g.labelled(14, "", 0, fmt.Sprintf("it is not if: %s", strings.Join(t.Against, "; ")))
	}
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

func (g *page) next(a library.Answer) {
	if a.Next == nil {
		return
	}
	g.heading("Next")
	g.labelled(1, "", 3, fmt.Sprintf("%s, %.0f min [%s]", a.Next.Name, a.Next.ExpectedMinutes, a.Next.ID))
	g.labelled(1, "", 3, a.Next.Why+".")
}
