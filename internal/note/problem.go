package note

import "kg/internal/place"

// Grades of problems, by what they mean for the note that has one.
const (
	// Broken notes are left out of the library.
	Broken place.Grade = "broken"
	// Incomplete notes are used as far as they go.
	Incomplete place.Grade = "incomplete"
)
