package present

import (
	"fmt"
	"strings"

	"kg/internal/advise"
	"kg/internal/link"
)

// deepest is the indentation beyond which the links of a chain are numbered and
// not moved to the right any more, so that an id still fits on a line.
const deepest = 14

// Chain prints a tree of causes or of consequences.
func (g *Page) Chain(b *advise.Branch, d link.Direction) {
	g.tree(b, d, 0)
	if len(b.Branches) > 0 {
		return
	}
	if d == link.Ahead {
		g.line("The notes name nothing that it shows or leads to: try --back.")
	} else {
		g.line("The notes name nothing behind it: try --ahead.")
	}
}

func (g *Page) tree(b *advise.Branch, d link.Direction, depth int) {
	text := fmt.Sprintf("%s [%s]", b.Name, b.ID)
	switch b.Cut {
	case link.Circle:
		text += " -- comes round again, see above"
	case link.TooDeep:
		text += " -- goes on, see --depth"
	case link.TooMany:
		text += " -- more than can be shown"
	}
	if depth == 0 {
		g.heading(text)
	} else {
		arrow := "<-"
		if d == link.Ahead {
			arrow = "->"
		}
		indent := 2 * (depth - 1)
		if indent > deepest {
			indent, arrow = deepest, fmt.Sprintf("%d %s", depth, arrow)
		}
		text = fmt.Sprintf("%s %s %s: %s", arrow, strings.ReplaceAll(b.Link, "-", " "), InWords(b.Figure), text)
		g.hanging(indent, text)
	}
	for _, below := range b.Branches {
		g.tree(below, d, depth+1)
	}
}
