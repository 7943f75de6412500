package present

import (
	"fmt"

	"kg/internal/place"
)

// ListImport is the JSON form of what became of a list of parts.
type ListImport struct {
	Catalogue string          `json:"catalogue"` // the file that holds it
	DryRun    bool            `json:"dry_run"`
	Rows      int             `json:"rows"`
	New       int             `json:"new"`
	Changed   int             `json:"changed"`
	Same      int             `json:"same"`
	Older     int             `json:"older"` // that a later list has said something else of
	LeftOut   int             `json:"left_out"`
	Problems  []place.Problem `json:"problems"` // the first of them
	Unchanged bool            `json:"unchanged"`
}

// ListImport says what became of a list of parts.
func (g *Page) ListImport(r ListImport) {
	g.Text(0, fmt.Sprintf("%s: %d new, %d changed, %d as they were, %d older than what is there, %d left out",
		count(r.Rows, "row", "rows"), r.New, r.Changed, r.Same, r.Older, r.LeftOut))
	switch {
	case r.DryRun:
		g.Text(0, fmt.Sprintf("nothing was written: without --dry-run it goes into %s", r.Catalogue))
	case r.Unchanged:
		g.Text(0, fmt.Sprintf("nothing has changed in %s", r.Catalogue))
	default:
		g.Text(0, fmt.Sprintf("written to %s: `kg lint` checks it against the notes, `kg build` takes it in", r.Catalogue))
	}
}

// ListExport says how many parts were written to a file.
func (g *Page) ListExport(n int, file string) {
	g.Text(0, fmt.Sprintf("%s written to %s", count(n, "part", "parts"), file))
}
