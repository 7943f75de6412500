package present

import (
	"fmt"
	"slices"
	"strings"

	"kg/internal/link"
	"kg/internal/note"
)

// Entry is an entry of a library with where it stands and what is linked to it.
type Entry struct {
	note.Entry
	Note     string // that it stands in
	Source   string
	Replaces string // note that it stands in for
	Out, In  []link.Edge
}

// EntryJSON is the JSON form of an entry.
type EntryJSON struct {
	Entry    note.Entry `json:"entry"`
	Note     string     `json:"note"`
	Source   string     `json:"source"`
	Replaces string     `json:"replaces,omitempty"`
	Out      []LinkJSON `json:"out"`
	In       []LinkJSON `json:"in"`
}

// LinkJSON is the JSON form of a link of an entry.
type LinkJSON struct {
	Link   string  `json:"link"`
	ID     note.ID `json:"id"`
	Figure float64 `json:"figure,omitempty"`
	Note   string  `json:"note"`
}

// JSON is the entry for other programs.
func (e *Entry) JSON() EntryJSON {
	s := EntryJSON{Entry: e.Entry, Note: e.Note, Source: e.Source, Replaces: e.Replaces, Out: []LinkJSON{}, In: []LinkJSON{}}
	for _, l := range e.Out {
		s.Out = append(s.Out, LinkJSON{string(l.Link), l.To, l.Figure.Stated, l.Note})
	}
	for _, l := range e.In {
		s.In = append(s.In, LinkJSON{string(l.Link), l.From, l.Figure.Stated, l.Note})
	}
	return s
}

// Entry prints an entry whole. What it is linked to is called as named says.
func (g *Page) Entry(e *Entry, named func(note.ID) string) {
	h := e.Head()
	g.heading(h.Name)
	g.line(fmt.Sprintf("%s [%s]", h.Kind, h.ID))
	if e.Replaces != "" {
		g.Text(0, fmt.Sprintf("%s, which stands in for %s", e.Note, e.Replaces))
	} else {
		g.line(e.Note)
	}
	if c, ok := e.Entry.(*note.Caveat); ok {
		g.gap()
		g.alert(0, c.Level, c.Text)
	}
	if h.Body != "" {
		for _, paragraph := range strings.Split(h.Body, "\n\n") {
			g.gap()
			g.Text(0, paragraph)
		}
	}
	g.gap()
	if len(h.Also) > 0 {
		g.field("also", strings.Join(h.Also, "; "))
	}
	g.ownFields(e.Entry)
	if h.Source != "" {
		g.field("source", h.Source)
	}
	// What a danger forbids stands in the fields of the work; of the danger itself it
	// would fill pages.
	forbids := func(e link.Edge) bool { return e.Link == link.NotWhen }
	inFields := func(e link.Edge) bool { return forbids(e) || e.Link == link.WhoOn }
	if n := len(slices.DeleteFunc(slices.Clone(e.In), func(e link.Edge) bool { return !forbids(e) })); n > 0 {
		g.field("forbids", fmt.Sprintf("%d %s, until it is ruled out", n, Plural(n, "test or remedy", "tests and remedies")))
	}
	g.links("names", slices.DeleteFunc(slices.Clone(e.Out), inFields), func(e link.Edge) note.ID { return e.To }, named)
	g.links("is named by", slices.DeleteFunc(slices.Clone(e.In), inFields), func(e link.Edge) note.ID { return e.From }, named)
}

// links prints the links of an entry, by the field that they stand under.
func (g *Page) links(title string, edges []link.Edge, end func(link.Edge) note.ID, named func(note.ID) string) {
	if len(edges) == 0 {
		return
	}
	g.gap()
	g.heading(title)
	last := link.Name("")
	for _, e := range edges {
		label := ""
		if e.Link != last {
			label = string(e.Link)
		}
		last = e.Link
		text := fmt.Sprintf("%s [%s]", named(end(e)), end(e))
		if e.Figure.Given {
			text += fmt.Sprintf(", %s", InWords(e.Figure.Stated))
		}
		g.labelled(1, label, 15, text)
	}
}
