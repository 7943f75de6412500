// Package place owns the places of things that people write in files, and what is
// said of such a place: notes, lists of parts, tables of stock and jobs report what
// is wrong with them in one form.
package place

import "fmt"

// Pos is a place in a file; lines and columns count from 1. Line 0 means the file
// as a whole, column 0 the line as a whole.
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

// Grade is what a problem means for what it was found in, in the words of the
// package that reads it; empty where it always means the same, that what stands at
// the place is left out.
type Grade string

// Problem is one complaint about one place: what was expected there, why, and what
// to do. Rule names the kind of complaint, where kinds are told apart.
type Problem struct {
	Pos
	Rule    string `json:"rule"`
	Grade   Grade  `json:"grade,omitempty"`
	Message string `json:"message"`
}

// Error is the complaint as file:line:column: message, with its rule where it is
// graded.
func (p Problem) Error() string {
	if p.Grade == "" {
		return fmt.Sprintf("%s: %s", p.Pos, p.Message)
	}
	return fmt.Sprintf("%s: %s (%s, %s)", p.Pos, p.Message, p.Rule, p.Grade)
}

// Problemf is a problem without a grade.
func Problemf(at Pos, rule, format string, args ...any) Problem {
	return Problem{Pos: at, Rule: rule, Message: fmt.Sprintf(format, args...)}
}
