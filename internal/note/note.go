package note

import "kg/internal/place"

// Note is one parsed file.
type Note struct {
	Entry Entry
	// Path is where the note was read, as it is shown to people.
	Path string
	// Source names the collection it came from, such as "shipped".
	Source string
	// Text is the whole file as it was read.
	Text []byte
	// Refs are all mentions of other entries, in the order of the file.
	Refs []Ref
	// FirstFigure is the place of the first likelihood; Line is 0 if there is none.
	FirstFigure place.Pos

	keys map[string]place.Pos
}

// Ref is one mention of another entry.
type Ref struct {
	place.Pos
	ID     ID
	Field  string
	Kinds  []Kind     // the kinds that may stand here; empty means any
	Figure Likelihood // the figure written with it, if one was
}

// ID returns the id of the entry.
func (n *Note) ID() ID { return n.Entry.Head().ID }

// Kind returns the kind of the entry.
func (n *Note) Kind() Kind { return n.Entry.Head().Kind }

// Name returns the name of the entry.
func (n *Note) Name() string { return n.Entry.Head().Name }

// At returns the place of a key of the front matter, or the start of the note
// when the key is not there.
func (n *Note) At(key string) place.Pos {
	if p, ok := n.keys[key]; ok {
		return p
	}
	return place.Pos{File: n.Path, Line: 1, Column: 1}
}
