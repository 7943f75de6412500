package present

import (
	"fmt"

	"kg/internal/note"
)

// Kinds prints how many entries there are of each kind.
func (g *Page) Kinds(counts map[note.Kind]int) {
	for _, k := range note.Kinds() {
		g.line(fmt.Sprintf("%5d %s", counts[k], Plural(counts[k], string(k), k.Plural())))
	}
}

// Title prints the id and the name of an entry, as a line of a list.
func (g *Page) Title(id note.ID, name string) { g.labelled(0, string(id), 40, name) }
