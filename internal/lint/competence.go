package lint

import (
	"fmt"
	"slices"

	"kg/internal/note"
)

// guarded is a component type on whose parts only some may work, and why it is looked
// at: it fails in a mode that some work settles or deals with, or a part of it goes in.
type guarded struct {
	*note.Component
	does string
}

// competenceAsked reports work on parts that only some may work on, where it does not
// ask for them, and work from outside that is none.
func competenceAsked(c *checker) {
	guards := c.guards()
	each(c, func(n *note.Note, e *note.Test) {
		c.checkCompetence(n, e.Work, guards[e.ID])
		// A remedy may let something else out, as one that drains pipes against frost.
		if e.FromOutside && (slices.Contains(e.Does, note.Opens) || slices.Contains(e.Prepare, note.Drained)) {
			c.report(n, n.At("from-outside"), note.Incomplete, "not-from-outside",
				"a test that lets something out or needs it drained does not only look from outside: take from-outside out, or correct does and prepare")
		}
	})
	each(c, func(n *note.Note, e *note.Remedy) {
		list := guards[e.ID]
		for _, id := range e.Uses {
			list = append(list, c.guardsOf(id, "fits a part of")...)
		}
		c.checkCompetence(n, e.Work, list)
		if e.FromOutside && len(e.Uses) > 0 {
			c.report(n, n.At("from-outside"), note.Incomplete, "not-from-outside",
				"it fits a part of %s, which is not done from outside: take from-outside out, or the part", e.Uses[0])
		}
	})
}

// guards are the guarded types that tests and remedies are about.
func (c *checker) guards() map[note.ID][]guarded {
	out := map[note.ID][]guarded{}
	each(c, func(_ *note.Note, m *note.Mode) {
		for _, id := range m.SettledBy {
			out[id] = append(out[id], c.guardsOf(m.Component, fmt.Sprintf("settles %s of", m.ID))...)
		}
		for _, id := range m.Repair {
			out[id] = append(out[id], c.guardsOf(m.Component, fmt.Sprintf("mends %s of", m.ID))...)
		}
		for _, id := range m.StopGap {
			out[id] = append(out[id], c.guardsOf(m.Component, fmt.Sprintf("is a stop-gap for %s of", m.ID))...)
		}
	})
	return out
}

// guardsOf are those of a component type and the wider types that say who may work on
// their parts.
func (c *checker) guardsOf(component note.ID, does string) []guarded {
	var out []guarded
	for _, id := range c.wider(component) {
		n, known := c.byID[id]
		if !known {
			continue
		}
		if e, ok := n.Entry.(*note.Component); ok && (len(e.Who) > 0 || len(e.WhoOn) > 0) {
			out = append(out, guarded{e, does})
		}
	}
	return out
}

// checkCompetence reports the first guarded type whose people some work does not ask
// for: on any appliance, or on one of those with such a part that the type or the work
// tells apart.
func (c *checker) checkCompetence(n *note.Note, w note.Work, guards []guarded) {
	if w.FromOutside {
		return
	}
	for _, g := range guards {
		places := []note.ID{""}
		for _, e := range slices.Concat(g.WhoOn, w.WhoOn) {
			places = append(places, e.On)
		}
		for _, on := range places {
			if on != "" && !c.onSome(on, g.ID) {
				continue
			}
			families := c.wider(on)
			need, who := note.WhoOn(g.Who, g.WhoOn, families), w.WhoOf(families)
			if who.Within(need) {
				continue
			}
			where := ""
			if on != "" {
				where = fmt.Sprintf(" on %s", on)
			}
			c.report(n, n.At("who"), note.Incomplete, "competence-lacking",
				"it %s %s, which%s is for %s, and here %s may do it: name them under who or who-on, or write `from-outside: yes` where that is left as it is",
				g.does, g.ID, where, need, who)
			return
		}
	}
}

// onSome reports whether an appliance of a family has a component type.
func (c *checker) onSome(family, component note.ID) bool {
	return slices.ContainsFunc(c.notes, func(n *note.Note) bool {
		return n.Kind() == note.KindAppliance && slices.Contains(c.wider(n.ID()), family) &&
			slices.Contains(closure(n.ID(), c.isA, c.has), component)
	})
}
