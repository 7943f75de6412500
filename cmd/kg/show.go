package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"kg/internal/archive"
	"kg/internal/graph"
	"kg/internal/library"
	"kg/internal/note"
)

func (p *program) showCommand() *cli.Command {
	return command(&cli.Command{
		Name:         "show",
		Usage:        "print one entry whole, with what is linked to it",
		ArgsUsage:    "ID",
		BashComplete: p.complete(note.Kinds()...),
		Description: `Prints an entry of any kind, the entries that it names and those that name
it.

   kg show pressure-sensor-stuck
   kg show skerry-c24`,
		Flags: []cli.Flag{
			onOff("raw", "print the note as it is written"),
			jsonFlag(),
		},
		Action: func(c *cli.Context) (err error) {
			if c.NArg() != 1 {
				return wrongUsef("show takes one id: kg show pressure-sensor-stuck")
			}
			lib, err := p.open(c.Context)
			if err != nil {
				return err
			}
			defer closing(lib.Close, &err)
			id := note.ID(c.Args().First())
			rec, err := lib.Entry(id)
			if err != nil {
				return err
			}
			if c.Bool("raw") {
				text, err := lib.Text(id)
				fmt.Fprint(p.out, text)
				return err
			}
			out, in, err := lib.Links(c.Context, id)
			if err != nil {
				return err
			}
			if c.Bool("json") {
				return p.printJSON(newShown(rec, out, in))
			}
			p.page().entry(rec, lib, out, in)
			return nil
		},
	})
}

// shown is the JSON form of an entry.
type shown struct {
	Entry    note.Entry  `json:"entry"`
	Note     string      `json:"note"`
	Source   string      `json:"source"`
	Replaces string      `json:"replaces,omitempty"`
	Out      []shownLink `json:"out"`
	In       []shownLink `json:"in"`
}

type shownLink struct {
	Link   string  `json:"link"`
	ID     note.ID `json:"id"`
	Figure float64 `json:"figure,omitempty"`
	Note   string  `json:"note"`
}

func newShown(rec archive.Record, out, in []graph.Edge) shown {
	s := shown{Entry: rec.Entry, Note: rec.Path, Source: rec.Source, Replaces: rec.Replaces, Out: []shownLink{}, In: []shownLink{}}
	for _, e := range out {
		s.Out = append(s.Out, shownLink{string(e.Link), e.To, e.Figure.Stated, e.Note})
	}
	for _, e := range in {
		s.In = append(s.In, shownLink{string(e.Link), e.From, e.Figure.Stated, e.Note})
	}
	return s
}

func (g *page) entry(rec archive.Record, lib *library.Library, out, in []graph.Edge) {
	h := rec.Entry.Head()
	g.heading(h.Name)
	g.line(fmt.Sprintf("%s [%s]", h.Kind, h.ID))
	if rec.Replaces != "" {
		g.labelled(0, "", 0, fmt.Sprintf("%s, which stands in for %s", rec.Path, rec.Replaces))
	} else {
		g.line(rec.Path)
	}
	if c, ok := rec.Entry.(*note.Caveat); ok {
		g.gap()
		g.alert(0, c.Level, c.Text)
	}
	if h.Body != "" {
		for _, paragraph := range strings.Split(h.Body, "\n\n") {
			g.gap()
			g.labelled(0, "", 0, paragraph)
		}
	}
	g.gap()
	if len(h.Also) > 0 {
		g.field("also", strings.Join(h.Also, "; "))
	}
	g.ownFields(rec.Entry)
	if h.Source != "" {
		g.field("source", h.Source)
	}
	named := func(id note.ID) string {
		if rec, err := lib.Entry(id); err == nil {
			return rec.Entry.Head().Name
		}
		return ""
	}
	g.links("names", out, func(e graph.Edge) note.ID { return e.To }, named)
	g.links("is named by", in, func(e graph.Edge) note.ID { return e.From }, named)
}

func (g *page) field(name, text string) { g.labelled(0, name, 14, text) }

func (g *page) numbered(name string, items []string) {
	for i, s := range items {
		label := ""
		if i == 0 {
			label = name
		}
		g.labelled(0, pad(label, 14)+fmt.Sprintf("%d", i+1), 17, s)
	}
}

// ownFields prints what only entries of this kind have; links come after.
func (g *page) ownFields(e note.Entry) {
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
			g.field("status", e.Status)
		}
		for _, k := range slices.Sorted(keys(e.Attributes)) {
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

func keys(m map[string]string) func(func(string) bool) {
	return func(yield func(string) bool) {
		for k := range m {
			if !yield(k) {
				return
			}
		}
	}
}

func (g *page) work(w note.Work) {
	g.field("takes", effort(w.Minutes, w.Who))
	if w.Isolation != "" {
		g.field("made safe", w.Isolation)
	}
	if len(w.Tools) > 0 {
		g.field("tools", strings.Join(w.Tools, ", "))
	}
	g.numbered("steps", w.Steps)
}

func (g *page) result(r note.Result) {
	text := fmt.Sprintf("%q", r.Name)
	if r.Reads != "" {
		text += " (" + r.Reads + ")"
	}
	if r.Means != "" {
		text += ": " + r.Means
	}
	g.field("result", text)
	for _, l := range r.SeenWith {
		g.labelled(14, "", 0, fmt.Sprintf("seen %s with %s", l.Figure.Text, l.To))
	}
	if r.Otherwise.Given() {
		g.labelled(14, "", 0, fmt.Sprintf("seen %s otherwise", r.Otherwise.Text))
	}
}

// links prints the links of an entry, by the field that they stand under.
func (g *page) links(title string, edges []graph.Edge, end func(graph.Edge) note.ID, named func(note.ID) string) {
	if len(edges) == 0 {
		return
	}
	g.gap()
	g.heading(title)
	last := graph.Link("")
	for _, e := range edges {
		label := ""
		if e.Link != last {
			label = string(e.Link)
		}
		last = e.Link
		text := fmt.Sprintf("%s [%s]", named(end(e)), end(e))
		if e.Figure.Given {
			text += fmt.Sprintf(", %s", library.InWords(e.Figure.Stated))
		}
		g.labelled(1, label, 15, text)
	}
}
