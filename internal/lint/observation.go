package lint

import (
	"slices"

	"kg/internal/note"
)

// oneObservation reports symptoms that are said to be the same as two results of one test:
// then saying one of them tells nothing of the test.
func oneObservation(c *checker) {
	each(c, func(n *note.Note, e *note.Test) {
		seen := map[note.ID]string{}
		for _, r := range e.Results {
			for _, id := range r.SameAs {
				if other, twice := seen[id]; twice && other != r.Name {
					c.report(n, n.At("results"), note.Incomplete, "same-as-two", "%s is the same as %q and as %q: keep it with the one that it is", id, other, r.Name)
				}
				seen[id] = r.Name
			}
		}
	})
}

// statesAgree reports conditions that deny each other: then a symptom never counts, or
// work can never be done.
func statesAgree(c *checker) {
	agree := func(n *note.Note, key string, list []note.Condition) {
		for _, x := range note.Closed(list) {
			if slices.ContainsFunc(note.Closed(list), x.Denies) {
				c.report(n, n.At(key), note.Incomplete, "states-disagree", "it would be %s and not at once: take out what is not so", x.State)
				return
			}
		}
	}
	each(c, func(n *note.Note, e *note.Symptom) {
		agree(n, "leaves", slices.Concat(e.While, e.Leaves))
	})
	each(c, func(n *note.Note, e *note.Test) {
		agree(n, "needs", e.Requires())
		for _, r := range e.Results {
			agree(n, "results", r.Leaves)
		}
	})
	each(c, func(n *note.Note, e *note.Remedy) { agree(n, "needs", e.Requires()) })
}
