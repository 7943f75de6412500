package present

import (
	"fmt"
	"strings"

	"kg/internal/library"
)

// Found prints what has some words, and how many there are of each kind.
func (g *Page) Found(words string, found library.Found) {
	if len(found.Hits) == 0 {
		g.Text(0, fmt.Sprintf("nothing in the notes has the words %q: try fewer, or others", clean(words)))
		return
	}
	for _, h := range found.Hits {
		g.labelled(0, string(h.Kind), 10, fmt.Sprintf("%s [%s]", h.Name, h.ID))
		if h.Line != "" {
			g.styled(10, "", 0, g.marked(h))
		}
	}
	g.gap()
	g.Text(0, "in all "+strings.Join(kindCounts(found.Kinds), ", ")+" (--kind narrows, --most shows more)")
}

// marked returns the telling line of a hit, cut to what stands around the words
// found, with these marked.
func (g *Page) marked(h library.Hit) string {
	open, close := "«", "»"
	if g.colour {
		open, close = "\x1b[1m", reset
	}
	const around = 60
	var b strings.Builder
	at := 0
	for i, s := range h.Spans {
		before := h.Line[at:s.Start]
		if r := []rune(before); i == 0 && len(r) > around {
			before = "... " + string(r[len(r)-around:])
		}
		b.WriteString(clean(before) + open + clean(h.Line[s.Start:s.End]) + close)
		at = s.End
	}
	if r := []rune(h.Line[at:]); len(r) > around {
		b.WriteString(clean(string(r[:around])) + " ...")
	} else {
		b.WriteString(clean(h.Line[at:]))
	}
	return b.String()
}
