package note

import "fmt"

// Pos is a place in a file; lines and columns count from 1, columns in
// characters. Line 0 means the file as a whole.
type Pos struct {
	File   string `json:"file"`
	Line   int    `json:"line,omitempty"`
	Column int    `json:"column,omitempty"`
}

func (p Pos) String() string {
	switch {
	case p.Line == 0:
		return p.File
	case p.Column == 0:
		return fmt.Sprintf("%s:%d", p.File, p.Line)
	}
	return fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Column)
}

// Grade says what a problem means for the note that has it.
type Grade int

const (
	// Broken notes are left out of the library.
	Broken Grade = iota
	// Incomplete notes are used as far as they go.
	Incomplete
)

func (g Grade) String() string {
	if g == Incomplete {
		return "incomplete"
	}
	return "broken"
}

// MarshalText makes the grade a word in JSON.
func (g Grade) MarshalText() ([]byte, error) { return []byte(g.String()), nil }

// Problem is one complaint about one place in a note: what was expected there,
// why, and what to do.
type Problem struct {
	Pos
	Rule    string `json:"rule"`
	Grade   Grade  `json:"grade"`
	Message string `json:"message"`
}

func (p Problem) Error() string {
	return fmt.Sprintf("%s: %s (%s, %s)", p.Pos, p.Message, p.Rule, p.Grade)
}
