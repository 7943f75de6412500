package present

import (
	"fmt"
	"strings"

	"kg/internal/catalogue"
	"kg/internal/note"
)

// labelPart is how wide the labels of `kg part` are.
const labelPart = 13

// Part prints what is known of a part, or the parts of a type.
func (g *Page) Part(a catalogue.PartAnswer) {
	switch {
	case len(a.Found) > 0:
		g.partsFound(a)
	case a.Component != "":
		g.partsOfType(a)
	default:
		g.Text(0, fmt.Sprintf("no list has the number %q, and no part type in the notes is called that.", clean(a.Query)))
	}
	for _, n := range a.Near {
		g.labelled(1, "near", 6, fmt.Sprintf("%s %s, %s: %s", n.Maker, n.Number, strings.ToLower(n.Name), n.Why))
	}
}

func (g *Page) partsFound(a catalogue.PartAnswer) {
	if len(a.Found) > 1 {
		g.Text(0, fmt.Sprintf("%d makers use this number; put the maker before it to see one alone.", len(a.Found)))
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

func (g *Page) partFound(f catalogue.PartFound, a catalogue.PartAnswer) {
	danger := gravest(f.Caveats)
	for _, c := range danger {
		g.alert(0, c.Level, c.Text)
	}
	g.heading(f.Full())
	what := f.TypeName
	if f.Name != "" && !strings.EqualFold(f.Name, f.TypeName) {
		what = f.Name + ", " + what
	}
	g.Text(0, fmt.Sprintf("%s [%s]", what, f.Type))
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

func (g *Page) partField(name, text string) { g.labelled(0, name, labelPart, text) }

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

func older(o catalogue.OlderPart) string { return o.Number + conditions(o.Serials, o.Needs, o.With) }

// today prints what is ordered today.
func (g *Page) today(f catalogue.PartFound) {
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

func (g *Page) partsOfType(a catalogue.PartAnswer) {
	title := a.ComponentName
	if a.Appliance != "" {
		title += ", " + string(a.Appliance)
	}
	g.heading(title)
	g.Text(0, fmt.Sprintf("component [%s]", a.Component))
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
		g.Text(0, where+": its maker's list may have one.")
	}
	if a.More > 0 {
		g.Text(0, fmt.Sprintf("and %d more: name the appliance with --appliance.", a.More))
	}
	if len(a.Others) > 0 {
		var names []string
		for _, o := range a.Others {
			names = append(names, fmt.Sprintf("%s [%s]", o.Name, o.Component))
		}
		g.gap()
		g.Text(0, "Or is it "+strings.Join(names, ", ")+"?")
	}
	g.closing()
}

// todayPart prints today's number with the older ones under it.
func (g *Page) todayPart(indent int, label string, width int, t catalogue.TodayPart) {
	text := fmt.Sprintf("%s %s", t.Maker, t.Number)
	if t.Name != "" {
		text += ", " + strings.ToLower(t.Name)
	}
	if t.Status != note.Current {
		text += ", " + string(t.Status)
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
