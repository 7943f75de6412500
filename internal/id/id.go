// Package id owns the names of entries: one name means one thing in the whole
// library, whatever its kind. It stands at the bottom, so that notes and the
// arithmetic of diagnosis speak of the same things without turning one name into
// another.
package id

import "regexp"

// ID names one entry.
type ID string

// Longest is how many characters an id may have, so that it is a file name on
// every system.
const Longest = 60

var pattern = regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)

// Valid reports whether the id is kebab-case and short enough for a file name.
func (id ID) Valid() bool { return len(id) <= Longest && pattern.MatchString(string(id)) }
