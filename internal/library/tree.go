package library

import (
	"context"

	"kg/internal/graph"
	"kg/internal/note"
)

// Branch is one entry of a tree of causes or consequences, with its name.
type Branch struct {
	ID       note.ID   `json:"id"`
	Name     string    `json:"name"`
	Link     string    `json:"link,omitempty"`   // how it was reached
	Figure   float64   `json:"figure,omitempty"` // strength of the link, as stated
	Note     string    `json:"note,omitempty"`   // the note that says so
	Cut      string    `json:"cut,omitempty"`    // "cycle" or "depth"
	Branches []*Branch `json:"branches,omitempty"`
}

// Tree returns the causes behind a symptom or mode, or the consequences ahead of
// it.
func (l *Library) Tree(ctx context.Context, id note.ID, d graph.Direction, depth int) (out *Branch, err error) {
	err = guard(func() error {
		rec, err := l.entry(id, "symptom or mode", note.KindSymptom, note.KindMode)
		if err != nil {
			return err
		}
		if k := rec.Entry.Head().Kind; k != note.KindSymptom && k != note.KindMode {
			return &NotFound{What: "chain of causes at the " + string(k), ID: id}
		}
		tree, err := l.graph.Tree(ctx, id, d, depth)
		if err != nil {
			return err
		}
		out, err = l.named(tree)
		return err
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}

func (l *Library) named(b *graph.Branch) (*Branch, error) {
	name, err := l.modeName(b.ID)
	if err != nil {
		return nil, err
	}
	out := &Branch{ID: b.ID, Name: name, Link: string(b.Edge.Link), Figure: b.Edge.Figure.Stated, Note: b.Edge.Note, Cut: b.Cut}
	for _, below := range b.Branches {
		child, err := l.named(below)
		if err != nil {
			return nil, err
		}
		out.Branches = append(out.Branches, child)
	}
	return out, nil
}
