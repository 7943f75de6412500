package main

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"github.com/urfave/cli/v2"

	"kg/internal/library"
	"kg/internal/note"
	"kg/internal/parts"
)

func (p *program) partCommand() *cli.Command {
	return command(&cli.Command{
		Name:         "part",
		Usage:        "today's number of a part, from words or any old number",
		ArgsUsage:    "WORDS|NUMBER",
		BashComplete: p.completeAppliance,
		Description: `Give a number, as it stands on the part or in an old list: spaces, dashes,
dots, case and leading zeros do not matter. Or say what it is, and on which
appliance.

   kg part SF-4155-00
   kg part pressure sensor --appliance skerry-c24
   kg part control board --appliance skerry-c24 --serial 415000

Parts that keep people safe (gas, relief, temperature limit, combustion,
pressure sensing) are exchanged for what their maker says, and for nothing
else.`,
		Flags: append(partFlags(), vanFlag(), jsonFlag()),
		Subcommands: []*cli.Command{command(&cli.Command{
			Name: "match", Usage: "parts that are like one, by what they are", ArgsUsage: "NUMBER",
			Description: `Compares thread, voltage, range, size and what else the lists state, with
units and tolerances, and says which of them differs. It is a help in
looking, not a statement that a part will do.

   kg part match SF-4155-03 --most 3`,
			Flags: []cli.Flag{
				&cli.IntFlag{Name: "most", Usage: "print at most `N` parts", Value: 5},
				jsonFlag(),
			},
			Action: p.matchPart,
		})},
		Action: func(c *cli.Context) (err error) {
			words := strings.Join(c.Args().Slice(), " ")
			if strings.TrimSpace(words) == "" {
				return wrongUsef("give a number, or say what it is: kg part pressure sensor --appliance skerry-c24")
			}
			lib, err := p.open(c.Context)
			if err != nil {
				return err
			}
			defer closing(lib.Close, &err)
			q := library.PartQuestion{Text: words, Appliance: note.ID(c.String("appliance")), Serial: parts.Serial(c.String("serial"))}
			a, err := lib.Part(c.Context, q)
			if err != nil {
				return wrongApplianceIsUse(err, q.Appliance)
			}
			shelf, err := p.shelf(c)
			if err != nil {
				return err
			}
			shelf.inPart(&a)
			if c.Bool("json") {
				err = p.printJSON(a)
			} else {
				p.page().part(a)
			}
			if err == nil && len(a.Found) == 0 && len(a.Today) == 0 {
				return errNothing
			}
			return err
		},
	})
}

func partFlags() []cli.Flag {
	return []cli.Flag{
		&cli.StringFlag{Name: "appliance", Aliases: []string{"a"}, Usage: "what fits this `ID`"},
		&cli.StringFlag{Name: "serial", Usage: "serial number of the appliance, `S`, as on its plate"},
	}
}

// labelPart is how wide the labels of `kg part` are.
const labelPart = 13

func (g *page) part(a library.PartAnswer) {
	switch {
	case len(a.Found) > 0:
		g.partsFound(a)
	case a.Component != "":
		g.partsOfType(a)
	default:
		g.labelled(0, "", 0, fmt.Sprintf("no list has the number %q, and no part type in the notes is called that.", clean(a.Query)))
	}
	for _, n := range a.Near {
		g.labelled(1, "near", 6, fmt.Sprintf("%s %s, %s: %s", n.Maker, n.Number, strings.ToLower(n.Name), n.Why))
	}
}

func (g *page) partsFound(a library.PartAnswer) {
	if len(a.Found) > 1 {
		g.labelled(0, "", 0, fmt.Sprintf("%d makers use this number; put the maker before it to see one alone.", len(a.Found)))
		g.gap()
	}
	for i, f := range a.Found {
		if i > 0 {
			g.gap()
		}
		g.partFound(f, a)
	}
	g.closing()
}

func (g *page) partFound(f library.PartFound, a library.PartAnswer) {
	danger := gravest(f.Caveats)
	for _, c := range danger {
		g.alert(0, c.Level, c.Text)
	}
	g.heading(f.Full())
	what := f.TypeName
	if f.Name != "" && !strings.EqualFold(f.Name, f.TypeName) {
		what = f.Name + ", " + what
	}
	g.labelled(0, "", 0, fmt.Sprintf("%s [%s]", what, f.Type))
	g.gap()
	if f.Class != "" {
		g.partField("safety part", fmt.Sprintf("%s: what goes in is what the maker says", f.Class))
	}
	if f.FitsAppliance != nil {
		fits := "yes, it fits " + string(a.Appliance)
		switch {
		case !*f.FitsAppliance && len(f.Fit) == 0:
			fits = "its list does not say which appliances it fits"
		case !*f.FitsAppliance:
			fits = fmt.Sprintf("no: its list does not name %s%s", a.Appliance, ofSerial(string(a.Serial)))
		case a.Serial != "":
			fits += ofSerial(string(a.Serial))
		}
		g.partField("does it fit", fits)
	}
	g.today(f)
	for i, c := range f.Chain {
		g.partField(once("chain", i), fmt.Sprintf("%s -> %s%s (%s)", c.From, strings.Join(c.To, " + "), conditions(c.Serials, c.Needs, nil), c.Says))
	}
	for i, o := range f.Older {
		g.partField(once("older", i), older(o))
	}
	for i, fit := range f.Fit {
		g.partField(once("fits", i), fmt.Sprintf("%s [%s]%s", fit.Name, fit.Appliance, ofSerial(fit.Serials.String())))
	}
	for i, attribute := range f.Attributes {
		g.partField(once("is", i), attribute.Name+" "+attribute.Text)
	}
	for i, it := range f.Contains {
		g.partField(once("holds", i), fmt.Sprintf("%d x %s", it.Count, it.Number))
	}
	if len(f.Substitutes) > 0 {
		g.gap()
		g.heading("Interchange")
		for _, s := range f.Substitutes {
			g.instead(s)
		}
	}
	g.gap()
	g.partField("says", f.Where.String()+listedDate(f.Date)+listedSource(f.Source))
	g.causeAlerts(0, f.Caveats, danger)
}

func (g *page) partField(name, text string) { g.labelled(0, name, labelPart, text) }

// once is a label that stands at the first of several lines only.
func once(label string, i int) string {
	if i > 0 {
		return ""
	}
	return label
}

func listedDate(date string) string {
	if date == "" {
		return ""
	}
	return ", list of " + date
}

func listedSource(source string) string {
	if source == "" {
		return ""
	}
	return ", " + source
}

func ofSerial(serials string) string {
	if serials == "" {
		return ""
	}
	return ", serial " + serials
}

// conditions are what has to hold for a step of a chain.
func conditions(serials string, needs, with []string) string {
	var out []string
	if serials != "" {
		out = append(out, "serial "+serials)
	}
	for _, n := range needs {
		out = append(out, "needs "+n)
	}
	for _, w := range with {
		out = append(out, "together with "+w)
	}
	if len(out) == 0 {
		return ""
	}
	return ": " + strings.Join(out, ", ")
}

func older(o library.OlderPart) string { return o.Number + conditions(o.Serials, o.Needs, o.With) }

// today prints what is ordered today.
func (g *page) today(f library.PartFound) {
	for i, set := range f.Today {
		var items []string
		for _, it := range set.Items {
			text := it.Number
			if it.Count > 1 {
				text = fmt.Sprintf("%d x %s", it.Count, text)
			}
			switch {
			case it.Ends != "":
				text += " (" + it.Ends + ")"
			case it.Stock != "":
				text += " (" + it.Stock + ")"
			}
			items = append(items, text)
		}
		text := strings.Join(items, " + ") + conditions(set.Serials, set.Needs, nil)
		if len(set.Items) == 1 && set.Items[0].ID == f.ID && set.Items[0].Ends == "" {
			text += ": this one is today's number"
		}
		g.partField(once("today", i), text)
	}
}

func (g *page) instead(s library.Instead) {
	name := fmt.Sprintf("%s %s", s.Maker, s.Number)
	if s.Refused != "" {
		g.alert(1, note.Warning, fmt.Sprintf("not %s, whatever its list claims: %s.", name, s.Refused))
		return
	}
	text := fmt.Sprintf("%s: %s", name, s.Grade)
	if s.Approved {
		text += ", approved by the maker"
	}
	if s.Needs != "" {
		text += ", needs " + s.Needs
	}
	g.labelled(1, "", 0, text)
	g.differences(s)
	for _, by := range s.By {
		g.labelled(4, "", 0, "says "+by)
	}
}

func (g *page) differences(s library.Instead) {
	var same []string
	for _, d := range s.Differences {
		if d.Agrees() {
			same = append(same, d.Name)
			continue
		}
		text := fmt.Sprintf("differs in %s: %s, not %s", d.Name, d.Has, d.Want)
		if d.Has == "" {
			text = fmt.Sprintf("does not state %s (%s)", d.Name, d.Want)
		}
		if d.Why != "" && d.Has != "" {
			text += " (" + d.Why + ")"
		}
		g.labelled(4, "", 0, text)
	}
	if len(same) > 0 {
		g.labelled(4, "", 0, "agrees in "+strings.Join(same, ", "))
	}
}

func (g *page) partsOfType(a library.PartAnswer) {
	title := a.ComponentName
	if a.Appliance != "" {
		title += ", " + string(a.Appliance)
	}
	g.heading(title)
	g.labelled(0, "", 0, fmt.Sprintf("component [%s]", a.Component))
	g.gap()
	for _, t := range a.Today {
		g.todayPart(1, "", 0, t)
	}
	if len(a.Today) == 0 {
		where := "no list has a part of this type"
		if a.Appliance != "" {
			where += " that fits this appliance"
			if a.Serial != "" {
				where += " with this serial number"
			}
		}
		g.labelled(0, "", 0, where+": its maker's list may have one.")
	}
	if a.More > 0 {
		g.labelled(0, "", 0, fmt.Sprintf("and %d more: name the appliance with --appliance.", a.More))
	}
	if len(a.Others) > 0 {
		var names []string
		for _, o := range a.Others {
			names = append(names, fmt.Sprintf("%s [%s]", o.Name, o.Component))
		}
		g.gap()
		g.labelled(0, "", 0, "Or is it "+strings.Join(names, ", ")+"?")
	}
	g.closing()
}

// todayPart prints today's number with the older ones under it.
func (g *page) todayPart(indent int, label string, width int, t library.TodayPart) {
	text := fmt.Sprintf("%s %s", t.Maker, t.Number)
	if t.Name != "" {
		text += ", " + strings.ToLower(t.Name)
	}
	if t.Status != string(parts.Current) {
		text += ", " + t.Status
	}
	text += ofSerial(t.Serials)
	if t.Stock != "" {
		text += ": " + t.Stock
	}
	g.labelled(indent, label, width, text)
	for i, o := range t.Older {
		g.labelled(indent+width+2, once("for", i), 4, older(o))
	}
}

func (p *program) matchPart(c *cli.Context) (err error) {
	number := strings.Join(c.Args().Slice(), " ")
	if strings.TrimSpace(number) == "" {
		return wrongUsef("match takes one number: kg part match SF-4155-03")
	}
	if c.Int("most") < 1 {
		return wrongUsef("--most takes a number from 1")
	}
	lib, err := p.open(c.Context)
	if err != nil {
		return err
	}
	defer closing(lib.Close, &err)
	a, err := lib.MatchPart(c.Context, number, c.Int("most"))
	if err != nil {
		return err
	}
	if c.Bool("json") {
		err = p.printJSON(a)
	} else {
		p.page().match(a)
	}
	if err == nil && len(a.Matches) == 0 {
		return errNothing
	}
	return err
}

func (g *page) match(a library.MatchAnswer) {
	g.heading("Like " + a.Of.Full())
	if len(a.Of.Attributes) == 0 {
		g.labelled(0, "", 0, "Its list does not say what it is like, so that nothing can be compared.")
		return
	}
	var is []string
	for _, attribute := range a.Of.Attributes {
		is = append(is, attribute.Name+" "+attribute.Text)
	}
	g.labelled(0, "", 0, strings.Join(is, "; "))
	if a.Of.Class != "" && len(a.Matches) > 0 {
		g.gap()
		g.alert(0, note.Warning, safetyMatch(a))
	}
	for i, m := range a.Matches {
		g.gap()
		text := fmt.Sprintf("%s %s", m.Maker, m.Number)
		if m.Name != "" {
			text += ", " + strings.ToLower(m.Name)
		}
		switch {
		case m.Refused != "":
			text += ": refused, no approval by the maker"
		case m.Approved:
			text += ": approved by the maker"
		case len(m.By) > 0:
			text += ": claimed " + string(m.Grade)
		}
		g.labelled(0, fmt.Sprintf("%2d", i+1), 4, fmt.Sprintf("%s (distance %g)", text, math.Round(10*m.Distance)/10))
		g.differences(m)
	}
	g.gap()
	g.labelled(0, "", 0, fmt.Sprintf("%d parts of this type were compared by what their lists state. What lists do not state may differ.", a.Looked))
	g.closing()
}

func safetyMatch(a library.MatchAnswer) string {
	for _, m := range a.Matches {
		if m.Refused != "" {
			return m.Refused + "."
		}
	}
	return "a safety part: what is approved for one appliance is not for another."
}

// partFields prints what a part note says of where it goes and what may go in for
// it.
func (g *page) partFields(e *note.Part) {
	if e.Serials != "" {
		g.field("serial", e.Serials)
	}
	for i, n := range e.Needs {
		g.field(once("needs", i), n)
	}
	for i, c := range e.Interchange {
		text := fmt.Sprintf("%s: %s", c.With, c.Grade)
		if c.Approved {
			text += ", approved by the maker"
		}
		if c.Needs != "" {
			text += ", needs " + c.Needs
		}
		if c.BothWays {
			text += ", both ways"
		}
		if c.Source != "" {
			text += "; says " + c.Source
		}
		g.field(once("interchange", i), text)
	}
	if e.Safety != "" {
		g.field("safety", e.Safety)
	}
	if e.Date != "" {
		g.field("list of", e.Date)
	}
}

// wrongNumber makes an error of a number that is not one part's.
func wrongNumber(err error) bool {
	var missing *library.PartNotFound
	var several *library.AmbiguousPart
	return errors.As(err, &missing) || errors.As(err, &several)
}
