package lint

import (
	"cmp"
	"slices"

	"kg/internal/note"
)

// safetyKept refuses a note of a component type that stands in for another and makes
// its parts less of a safety part: a team can say that a type keeps people safe, not
// that one does so no longer, neither by leaving it out nor by making it one of other
// types.
func safetyKept(c *checker) {
	old := map[note.ID][]*note.Component{}
	for _, r := range c.replaced {
		if e, ok := r.Of.Entry.(*note.Component); ok {
			old[e.ID] = append(old[e.ID], e)
		}
	}
	// A type as it is and as it was: what a note takes from a wider type is the fault
	// of that note alone.
	either := func(id note.ID) *note.Component {
		var out note.Component
		all := old[id]
		if n, known := c.byID[id]; known {
			if e, ok := n.Entry.(*note.Component); ok {
				all = append(slices.Clone(all), e)
			}
		}
		for _, e := range all {
			out.Safety = cmp.Or(out.Safety, e.Safety)
			out.IsA = append(out.IsA, e.IsA...)
		}
		return &out
	}
	as := func(e *note.Component) note.Safety {
		return note.SafetyOfType(e.ID, func(id note.ID) *note.Component {
			if id == e.ID {
				return e
			}
			return either(id)
		})
	}
	for _, r := range c.replaced {
		was, ok := r.Of.Entry.(*note.Component)
		if !ok {
			continue
		}
		is, ok := r.By.Entry.(*note.Component)
		if !ok {
			continue
		}
		if before, now := as(was), as(is); before != note.NoSafety && now != before {
			c.report(r.By, r.By.At("safety"), note.Broken, "safety-lowered",
				"parts of %s are safety parts (%s) by %s, and not so by this note, which stands in for it: add `safety: %s`", is.ID, before, r.Of.Path, before)
		}
	}
}
