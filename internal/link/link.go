// Package link owns the vocabulary of who is linked to whom: links with their
// figures and the notes that say so, and the walks along them. It knows no store:
// whatever can say which links start and end at an entry can be walked.
//
// The name of a link is the key of the front matter that it was written under
// ("shows", "leads-to", "settled-by" ...).
package link

import (
	"cmp"
	"context"

	"kg/internal/note"
)

// Name is the name of a kind of link: the key of the front matter it stands under.
type Name string

// The links that this program follows by name.
const (
	IsA         Name = "is-a"
	Has         Name = "has"
	MayHave     Name = "may-have" // an appliance, and a component that some of them have
	Component   Name = "component"
	Shows       Name = "shows"
	LeadsTo     Name = "leads-to"
	Implies     Name = "implies"
	UsualCauses Name = "usual-causes"
	Repair      Name = "repair"
	About       Name = "about"
	NotWhen     Name = "not-when"
	SameAs      Name = "same-as" // a test, and a symptom that is the same as a result of it
	WhoOn       Name = "who-on"
)

// CarriesFigure tells the links that are written with a figure.
func (n Name) CarriesFigure() bool {
	return n == Shows || n == LeadsTo || n == UsualCauses || n == MayHave
}

// Figure is a probability in two readings: as the note states it, and as it is
// used after fitting. Given is false where there is none.
type Figure struct {
	Stated, Used float64
	Given        bool
}

// Edge is one link between two entries, said by one note.
type Edge struct {
	From   note.ID
	Link   Name
	To     note.ID
	Figure Figure
	Note   string
}

// Rate is how often an entry is there by itself, said by one note: the base rate
// of a mode, the leak of a symptom.
type Rate struct {
	Of     note.ID
	Figure Figure
	Note   string
}

// Reader says which links start and end at an entry. Links come in the order of
// Compare; of some kinds, or of all where none is named. An id that is not known
// has no links.
type Reader interface {
	Out(ctx context.Context, id note.ID, names ...Name) ([]Edge, error)
	In(ctx context.Context, id note.ID, names ...Name) ([]Edge, error)
	// Rate is the base rate of a mode or the leak of a symptom, as it is used; its
	// figure is not given where there is none.
	Rate(ctx context.Context, id note.ID) (Rate, error)
}

// Of returns the links that a note states, with their figures as stated. A link
// to an entry for which keep is false is left out, since its own note is. Of
// several mentions in one field the first counts.
func Of(n *note.Note, keep func(note.ID) bool) []Edge {
	type said struct {
		link Name
		to   note.ID
	}
	seen := map[said]bool{}
	var out []Edge
	for _, r := range n.Refs {
		key := said{Name(r.Field), r.ID}
		if seen[key] || !keep(r.ID) {
			continue
		}
		seen[key] = true
		out = append(out, Edge{From: n.ID(), Link: key.link, To: r.ID, Note: n.Path,
			Figure: Figure{Stated: r.Figure.P, Used: r.Figure.P, Given: r.Figure.Given()}})
	}
	return out
}

// Compare puts links in a stable order: by kind, the strongest first, by ids.
func Compare(a, b Edge) int {
	return cmp.Or(
		cmp.Compare(a.Link, b.Link),
		cmp.Compare(b.Figure.Stated, a.Figure.Stated),
		cmp.Compare(a.From, b.From),
		cmp.Compare(a.To, b.To),
		cmp.Compare(a.Note, b.Note))
}
