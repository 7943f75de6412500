package present

import (
	"fmt"
	"strings"
	"time"

	"kg/internal/note"
	"kg/internal/place"
)

// StandsIn says that a note stands in for another.
func (g *Page) StandsIn(by, of string) { g.verbatim(fmt.Sprintf("%s stands in for %s", by, of)) }

// Unchanged says that a build found nothing new.
func (g *Page) Unchanged(entries int) {
	g.verbatim(fmt.Sprintf("nothing has changed: the library holds %s", count(entries, "entry", "entries")))
}

// Holds says what a library holds: entries, by their kinds, and numbers of parts.
func (g *Page) Holds(entries int, byKind map[note.Kind]int, parts int) {
	kinds := kindCounts(byKind)
	if parts > 0 {
		kinds = append(kinds, "and "+count(parts, "part number", "part numbers"))
	}
	g.Text(0, fmt.Sprintf("the library holds %s: %s", count(entries, "entry", "entries"), strings.Join(kinds, ", ")))
}

// AsBuilt says that a library is as it was built.
func (g *Page) AsBuilt(built time.Time, entries, files int) {
	g.Text(0, fmt.Sprintf("the library is as it was built on %s: %s, %d files",
		built.Local().Format("2 January 2006 at 15:04"), count(entries, "entry", "entries"), files))
}

// Source prints which notes a library was made of, and the folder they were in; ""
// is the program itself.
func (g *Page) Source(name, folder string, notes int) {
	if folder == "" {
		folder = "in the program"
	}
	text := fmt.Sprintf("%s: %s", name, count(notes, "note", "notes"))
	if name != folder {
		text += ", " + folder
	}
	g.Text(2, text)
}

// Linted prints the problems of notes, and how much was looked at.
func (g *Page) Linted(problems []place.Problem, notes, rows int) {
	for _, problem := range problems {
		g.verbatim(problem.Error())
	}
	looked := count(notes, "note", "notes")
	if rows > 0 {
		looked += fmt.Sprintf(" and %s of catalogues", count(rows, "row", "rows"))
	}
	g.verbatim(fmt.Sprintf("%s checked, %s", looked, count(len(problems), "problem", "problems")))
}

// kindCounts says how many there are of each kind that there is.
func kindCounts(byKind map[note.Kind]int) []string {
	var out []string
	for _, k := range note.Kinds() {
		if n := byKind[k]; n > 0 {
			out = append(out, count(n, string(k), k.Plural()))
		}
	}
	return out
}
