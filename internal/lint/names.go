package lint

import (
	"strings"

	"kg/internal/note"
)

// duplicateNames reports entries that a reader could not tell apart. A mode is
// always read after its component, so its name has to differ within that only.
func duplicateNames(c *checker) {
	type shown struct {
		kind      note.Kind
		component note.ID
		name      string
	}
	first := map[shown]*note.Note{}
	for _, n := range c.notes {
		key := shown{kind: n.Kind(), name: folded(n.Name())}
		switch e := n.Entry.(type) {
		case *note.Mode:
			key.component = e.Component
		case *note.Job:
			continue
		}
		if old, taken := first[key]; taken {
			c.report(n, n.At("name"), note.Incomplete, "duplicate-name",
				"the name %q is also that of %s: give one of them another", n.Name(), idAndPath(old))
			continue
		}
		first[key] = n
	}
}

// ambiguousSayings reports words that are given for two symptoms alike.
func ambiguousSayings(c *checker) {
	first := map[string]*note.Note{}
	each(c, func(n *note.Note, e *note.Symptom) {
		for _, s := range append([]string{e.Name}, e.Also...) {
			key := folded(s)
			old, taken := first[key]
			if taken && old != n {
				c.report(n, n.At("also"), note.Incomplete, "ambiguous-saying",
					"%q is also said of %s: keep it where it fits better", s, idAndPath(old))
			}
			first[key] = n
		}
	})
}

// synonymSets reports sets that change nothing and words that stand in two sets.
func synonymSets(c *checker) {
	first := map[string]*note.Note{}
	each(c, func(n *note.Note, e *note.Synonym) {
		if len(e.Words) < 2 {
			c.report(n, n.At("words"), note.Broken, "lonely-synonym", "a synonym set needs at least two words or phrases")
			return
		}
		for _, w := range e.Words {
			key := folded(w)
			old, taken := first[key]
			if taken {
				c.report(n, n.At("words"), note.Incomplete, "ambiguous-synonym",
					"%q stands in the set %s too, which is used: keep it in one set", w, idAndPath(old))
				continue
			}
			first[key] = n
		}
	})
}

func folded(s string) string { return strings.ToLower(strings.Join(strings.Fields(s), " ")) }
