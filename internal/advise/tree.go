package advise

import (
	"context"

	"kg/internal/library"
	"kg/internal/link"
	"kg/internal/note"
)

// Branch is one entry of a tree of causes or consequences, with its name.
type Branch struct {
	ID       note.ID   `json:"id"`
	Name     string    `json:"name"`
	Link     string    `json:"link,omitempty"`   // how it was reached
	Figure   float64   `json:"figure,omitempty"` // strength of the link, as stated
	Note     string    `json:"note,omitempty"`   // the note that says so
	Cut      link.Cut  `json:"cut,omitempty"`
	Branches []*Branch `json:"branches,omitempty"`
}

// Chain returns the causes behind a symptom or mode, or the consequences ahead of
// it.
func Chain(ctx context.Context, lib *library.Library, id note.ID, d link.Direction, depth int) (*Branch, error) {
	if _, err := lib.OfKind(id, "symptom or mode", note.KindSymptom, note.KindMode); err != nil {
		return nil, err
	}
	tree, err := link.Tree(ctx, lib, id, d, depth)
	if err != nil {
		return nil, err
	}
	return named(lib, tree)
}

func named(lib *library.Library, b *link.Branch) (*Branch, error) {
	name, err := lib.FullName(b.ID)
	if err != nil {
		return nil, err
	}
	out := &Branch{ID: b.ID, Name: name, Link: string(b.Edge.Link), Figure: b.Edge.Figure.Stated, Note: b.Edge.Note, Cut: b.Cut}
	for _, below := range b.Branches {
		child, err := named(lib, below)
		if err != nil {
			return nil, err
		}
		out.Branches = append(out.Branches, child)
	}
	return out, nil
}
