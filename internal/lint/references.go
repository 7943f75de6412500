package lint

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"kg/internal/note"
	"kg/internal/spell"
)

// unknownIDs reports mentions of entries that are not there or of a kind that
// cannot stand where they are mentioned.
func unknownIDs(c *checker) {
	for _, n := range c.notes {
		for _, r := range n.Refs {
			target, known := c.byID[r.ID]
			switch {
			case known && (len(r.Kinds) == 0 || slices.Contains(r.Kinds, target.Kind())):
			case known:
				c.report(n, r.Pos, note.Broken, "wrong-kind", "%s takes %s, but %q is %s",
					r.Field, kindsWithArticle(r.Kinds), r.ID, target.Kind().WithArticle())
			case c.leftOut[r.ID]:
				c.report(n, r.Pos, note.Incomplete, "left-out",
					"%q was left out because its note is broken: mend that note first", r.ID)
			default:
				c.report(n, r.Pos, note.Broken, "unknown-id", "there is no %s %q%s",
					kinds(r.Kinds), r.ID, c.nearest(r))
			}
		}
	}
}

func kinds(list []note.Kind) string {
	if len(list) == 0 {
		return "entry"
	}
	out := make([]string, len(list))
	for i, k := range list {
		out[i] = string(k)
	}
	return strings.Join(out, " or ")
}

// kindsWithArticle returns kinds as they read in "takes a symptom or a mode".
func kindsWithArticle(list []note.Kind) string {
	out := make([]string, len(list))
	for i, k := range list {
		out[i] = k.WithArticle()
	}
	return strings.Join(out, " or ")
}

func (c *checker) nearest(r note.Ref) string {
	var valid []string
	for _, n := range c.notes {
		if len(r.Kinds) == 0 || slices.Contains(r.Kinds, n.Kind()) {
			valid = append(valid, string(n.ID()))
		}
	}
	if near, ok := spell.Nearest(string(r.ID), valid); ok {
		return fmt.Sprintf(": did you mean %q?", near)
	}
	return ": write a note for it, or take it out"
}

// isACycles reports entries that are, by their own is-a, a kind of themselves.
func isACycles(c *checker) {
	for _, n := range c.notes {
		if path := pathTo(n.ID(), n.ID(), c.isA, map[note.ID]bool{}); path != nil {
			c.report(n, n.At("is-a"), note.Broken, "is-a-cycle",
				"is-a comes back to where it started: %s; take one of these out", arrows(path))
		}
	}
}

// isA are what an appliance or a component type is, as its note says.
func (c *checker) isA(id note.ID) []note.ID {
	n, ok := c.byID[id]
	if !ok {
		return nil
	}
	switch e := n.Entry.(type) {
	case *note.Appliance:
		return e.IsA
	case *note.Component:
		return e.IsA
	}
	return nil
}

// has are what an appliance or a component type has, as its note says.
func (c *checker) has(id note.ID) []note.ID {
	n, ok := c.byID[id]
	if !ok {
		return nil
	}
	switch e := n.Entry.(type) {
	case *note.Appliance:
		return e.Has
	case *note.Component:
		return e.Has
	}
	return nil
}

// wider are an appliance or a component type and all that it is.
func (c *checker) wider(id note.ID) []note.ID { return closure(id, c.isA) }

// closure are an entry and all that some steps lead to from it.
func closure(id note.ID, steps ...func(note.ID) []note.ID) []note.ID {
	all := []note.ID{id}
	for i := 0; i < len(all); i++ {
		for _, step := range steps {
			for _, id := range step(all[i]) {
				if !slices.Contains(all, id) {
					all = append(all, id)
				}
			}
		}
	}
	return all
}

// causesInCircle reports the links that close a circle of modes that lead to each
// other. A network of causes has none, so that diagnosis leaves the weakest link
// of each out.
func causesInCircle(c *checker) {
	type link struct {
		by *note.Note
		note.Link
	}
	var links []link
	each(c, func(n *note.Note, e *note.Mode) {
		for _, l := range e.LeadsTo {
			if l.To != e.ID { // that is a rule of its own
				links = append(links, link{n, l})
			}
		}
	})
	slices.SortStableFunc(links, func(a, b link) int { return cmp.Compare(b.Figure.P, a.Figure.P) })
	after := map[note.ID][]note.ID{}
	for _, l := range links {
		from := l.by.ID()
		path := pathTo(l.To, from, func(id note.ID) []note.ID { return after[id] }, map[note.ID]bool{})
		if path == nil {
			after[from] = append(after[from], l.To)
			continue
		}
		c.report(l.by, l.by.At("leads-to"), note.Incomplete, "causes-in-circle",
			"these lead to each other in a circle: %s; diagnosis leaves this link to %s out, as the weakest of them: take it out, and say it in prose",
			arrows(append([]note.ID{from}, path...)), l.To)
	}
}

// pathTo returns the ids from start along next until target is met again.
func pathTo(start, target note.ID, next func(note.ID) []note.ID, seen map[note.ID]bool) []note.ID {
	for _, id := range next(start) {
		if id == target {
			return []note.ID{start, target}
		}
		if seen[id] {
			continue
		}
		seen[id] = true
		if rest := pathTo(id, target, next, seen); rest != nil {
			return append([]note.ID{start}, rest...)
		}
	}
	return nil
}

func arrows(path []note.ID) string {
	out := make([]string, len(path))
	for i, id := range path {
		out[i] = string(id)
	}
	return strings.Join(out, " -> ")
}

// selfReference reports an entry that points at itself where that makes no
// sense.
func selfReference(c *checker) {
	for _, n := range c.notes {
		for _, r := range n.Refs {
			if r.ID == n.ID() && r.Field != "is-a" {
				c.report(n, r.Pos, note.Broken, "self-reference", "%s points at the note itself: take it out", r.Field)
			}
		}
	}
}

// unusedCaveats reports caveats that no answer would ever show.
func unusedCaveats(c *checker) {
	used := c.mentioned(note.KindCaveat)
	each(c, func(n *note.Note, e *note.Caveat) {
		if len(e.AppliesTo) == 0 && !used[n.ID()] {
			c.report(n, n.At("applies-to"), note.Incomplete, "unused-caveat",
				"nothing shows this caveat: name what it applies to, or list it under caveats of another note")
		}
	})
}

// causelessSymptoms reports symptoms that no mode explains. One that stops the work
// ends the diagnosis, and may have come about without any fault of the system.
func causelessSymptoms(c *checker) {
	shown := map[note.ID]bool{}
	each(c, func(_ *note.Note, e *note.Mode) {
		for _, l := range e.Shows {
			shown[l.To] = true
		}
	})
	each(c, func(n *note.Note, e *note.Symptom) {
		if !shown[n.ID()] && len(e.UsualCauses) == 0 && len(e.StopWork) == 0 {
			c.report(n, n.At(""), note.Incomplete, "symptom-without-cause",
				"no mode shows this symptom: name it under shows of a mode, or give it usual-causes")
		}
	})
}

// mentioned returns the ids of a kind that some note refers to.
func (c *checker) mentioned(k note.Kind) map[note.ID]bool {
	out := map[note.ID]bool{}
	for _, n := range c.notes {
		for _, r := range n.Refs {
			if slices.Contains(r.Kinds, k) {
				out[r.ID] = true
			}
		}
	}
	return out
}

// stopWorkKept refuses a note that stands in for a stop-work symptom and does not
// stop the work.
func stopWorkKept(c *checker) {
	for _, r := range c.replaced {
		old, ok := r.Of.Entry.(*note.Symptom)
		if !ok || len(old.StopWork) == 0 {
			continue
		}
		if e, ok := r.By.Entry.(*note.Symptom); ok && len(e.StopWork) == 0 {
			c.report(r.By, r.By.At(""), note.Broken, "stop-work-dropped",
				"%s stops the work and this note, which stands in for it, does not: keep its stop-work lines", r.Of.Path)
		}
	}
}
