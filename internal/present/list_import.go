package present

import (
	"fmt"

	"kg/internal/catalogue/lists"
)

// ListImport says what became of a list of parts.
func (g *Page) ListImport(r lists.Imported) {
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
