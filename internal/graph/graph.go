// Package graph owns who is linked to whom, and which note says so. It keeps the
// links of one generation in a Cayley quad store on bbolt and walks them; it is
// the only package that knows Cayley, and none of its types leave here.
//
// The vocabulary is that of the notes: the predicate of a link is the key of the
// front matter that it was written under ("shows", "leads-to", "settled-by"
// ...), subject and object are ids, the label is the path of the note. A figure
// of a link hangs on a node of its own, named after the three.
package graph

import (
	"cmp"

	"kg/internal/note"
)

// Link is the name of a kind of edge: the key of the front matter it stands
// under.
type Link string

// The links that walks of this program follow by name.
const (
	IsA         Link = "is-a"
	Has         Link = "has"
	Component   Link = "component"
	Shows       Link = "shows"
	LeadsTo     Link = "leads-to"
	Implies     Link = "implies"
	UsualCauses Link = "usual-causes"
	On          Link = "on"
	Caveats     Link = "caveats"
	AppliesTo   Link = "applies-to"
	Type        Link = "type"
	About       Link = "about"
)

// Figure is a probability in two readings: as the note states it, and as it is
// used after fitting. Given is false where there is none.
type Figure struct {
	Stated, Used float64
	Given        bool
}

// Edge is one link between two entries, said by one note.
type Edge struct {
	From   note.ID
	Link   Link
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

// EdgesOf returns the links that a note states, with their figures as stated.
// A link to an entry for which keep is false is left out, since its own note is.
// Of several mentions in one field the first counts.
func EdgesOf(n *note.Note, keep func(note.ID) bool) []Edge {
	type said struct {
		link Link
		to   note.ID
	}
	seen := map[said]bool{}
	var out []Edge
	for _, r := range n.Refs {
		key := said{Link(r.Field), r.ID}
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
