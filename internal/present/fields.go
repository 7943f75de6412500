package present

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"kg/internal/note"
)

func (g *Page) field(name, text string) { g.labelled(0, name, 14, text) }

func (g *Page) numbered(name string, items []string) {
	for i, s := range items {
		label := ""
		if i == 0 {
			label = name
		}
		g.labelled(0, pad(label, 14)+fmt.Sprintf("%d", i+1), 17, s)
	}
}

// ownFields prints what only entries of this kind have; links come after.
func (g *Page) ownFields(e note.Entry) {
	switch e := e.(type) {
	case *note.Appliance:
		if e.Maker != "" {
			g.field("maker", e.Maker)
		}
		for i, c := range e.Codes {
			label := ""
			if i == 0 {
				label = "codes"
			}
			means := make([]string, len(c.Means))
			for j, id := range c.Means {
				means[j] = string(id)
			}
			g.field(label, fmt.Sprintf("%s  %s", pad(c.Shown, 6), strings.Join(means, ", ")))
		}
	case *note.Component:
		if e.Safety != note.NoSafety {
			g.field("safety", string(e.Safety))
		}
		if len(e.Who) > 0 {
			g.field("work on it", "for "+e.Who.String())
		}
		g.elsewhere(e.WhoOn)
	case *note.Mode:
		if e.Occurs.Given() {
			g.field("occurs", e.Occurs.Text)
		}
		if e.IfLeft != "" {
			g.field("if left", e.IfLeft)
		}
	case *note.Symptom:
		g.numbered("stop work", e.StopWork)
	case *note.Test:
		g.work(e.Work)
		if len(e.Healthy) > 0 {
			g.field("healthy", listed(e.Healthy))
		}
		for _, r := range e.Results {
			g.result(r)
		}
	case *note.Remedy:
		g.field("measure", string(e.Measure))
		g.work(e.Work)
		g.numbered("checks", e.Checks)
		g.numbered("limits", e.Limits)
	case *note.Part:
		g.field("number", e.Number)
		g.field("maker", e.Maker)
		if e.Status != "" {
			g.field("status", string(e.Status))
		}
		for _, k := range slices.Sorted(maps.Keys(e.Attributes)) {
			g.field(k, e.Attributes[k])
		}
		g.partFields(e)
	case *note.Job:
		g.field("date", e.Date)
		g.field("words", fmt.Sprintf("%q", e.Words))
		for _, t := range e.Tests {
			g.field("test", fmt.Sprintf("%s: %s", t.Test, t.Result))
		}
		if e.Minutes > 0 {
			g.field("minutes", fmt.Sprint(e.Minutes))
		}
		if e.Who != "" {
			g.field("who", e.Who)
		}
	case *note.Synonym:
		g.field("words", strings.Join(e.Words, "; "))
	}
}

func (g *Page) work(w note.Work) {
	g.field("takes", effort(w.Minutes, w.Who))
	g.elsewhere(w.WhoOn)
	if w.FromOutside {
		g.field("", "from outside: nothing is opened or undone that is for some only")
	}
	if w.Isolation != "" {
		g.field("made safe", w.Isolation)
	}
	if len(w.Tools) > 0 {
		g.field("tools", strings.Join(w.Tools, ", "))
	}
	if len(w.Does) > 0 {
		g.field("does", joined(w.Does))
	}
	if len(w.NotWhen) > 0 {
		g.field("not when", joined(w.NotWhen))
	}
	g.numbered("steps", w.Steps)
}

// elsewhere says on what somebody else may do it.
func (g *Page) elsewhere(list []note.Elsewhere) {
	for _, e := range list {
		g.field("", fmt.Sprintf("on %s: %s", e.On, e.Who))
	}
}

func joined[T ~string](list []T) string {
	out := make([]string, len(list))
	for i, v := range list {
		out[i] = string(v)
	}
	return strings.Join(out, ", ")
}

func (g *Page) result(r note.Result) {
	text := fmt.Sprintf("%q", r.Name)
	if r.Reads != "" {
		text += " (" + r.Reads + ")"
	}
	if r.Means != "" {
		text += ": " + r.Means
	}
	g.field("result", text)
	for _, l := range r.SeenWith {
		g.Text(14, fmt.Sprintf("seen %s with %s", l.Figure.Text, l.To))
	}
	if r.Otherwise.Given() {
		g.Text(14, fmt.Sprintf("seen %s otherwise", r.Otherwise.Text))
	}
}

// partFields prints what a part note says of where it goes and what may go in for
// it.
func (g *Page) partFields(e *note.Part) {
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
		g.field("safety", string(e.Safety))
	}
	if e.Date != "" {
		g.field("list of", e.Date)
	}
}
