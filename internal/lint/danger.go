package lint

import (
	"slices"
	"strings"

	"kg/internal/note"
)

// stopsWork returns the symptom of an id if it stops the work.
func (c *checker) stopsWork(id note.ID) (*note.Symptom, bool) {
	n, known := c.byID[id]
	if !known {
		return nil, false
	}
	s, ok := n.Entry.(*note.Symptom)
	return s, ok && len(s.StopWork) > 0
}

// dangersOf are the symptoms that stop the work which a mode may be the cause of, by
// what it shows, by what that implies, and by what symptoms say of their usual
// causes. They come in the order of their ids.
func (c *checker) dangersOf() map[note.ID][]note.ID {
	out := map[note.ID][]note.ID{}
	implied := func(id note.ID) []note.ID {
		all := []note.ID{id}
		for i := 0; i < len(all); i++ {
			if n, known := c.byID[all[i]]; known {
				if s, ok := n.Entry.(*note.Symptom); ok {
					for _, id := range s.Implies {
						if !slices.Contains(all, id) {
							all = append(all, id)
						}
					}
				}
			}
		}
		return all
	}
	add := func(mode, symptom note.ID) {
		for _, id := range implied(symptom) {
			if _, stops := c.stopsWork(id); stops && !slices.Contains(out[mode], id) {
				out[mode] = append(out[mode], id)
			}
		}
	}
	each(c, func(_ *note.Note, m *note.Mode) {
		for _, l := range m.Shows {
			add(m.ID, l.To)
		}
	})
	each(c, func(_ *note.Note, s *note.Symptom) {
		for _, l := range s.UsualCauses {
			add(l.To, s.ID)
		}
	})
	for _, list := range out {
		slices.Sort(list)
	}
	return out
}

// dangerForbids reports work that a danger should forbid and does not, and what is
// named as a danger and is none.
func dangerForbids(c *checker) {
	dangers := c.dangersOf()
	type reason struct{ mode, symptom note.ID }
	reasons := map[note.ID][]reason{} // of tests and remedies
	each(c, func(_ *note.Note, m *note.Mode) {
		for _, work := range slices.Concat(m.SettledBy, m.Repair, m.StopGap) {
			for _, d := range dangers[m.ID] {
				reasons[work] = append(reasons[work], reason{m.ID, d})
			}
		}
	})
	for _, n := range c.notes {
		var work note.Work
		does := "repairs"
		switch e := n.Entry.(type) {
		case *note.Test:
			work, does = e.Work, "settles"
		case *note.Remedy:
			work = e.Work
		default:
			continue
		}
		for _, r := range n.Refs {
			if _, known := c.byID[r.ID]; r.Field != "not-when" || !known {
				continue
			}
			if _, stops := c.stopsWork(r.ID); !stops {
				c.report(n, r.Pos, note.Incomplete, "not-when-harmless",
					"%q does not stop the work, so it forbids nothing: take it out, or give it stop-work lines", r.ID)
			}
		}
		effects := effectsOf(work)
		if len(effects) == 0 || len(work.NotWhen) > 0 || len(reasons[n.ID()]) == 0 {
			continue
		}
		why := reasons[n.ID()][0]
		c.report(n, n.At("does"), note.Incomplete, "missing-not-when",
			"it %s and %s %s, which shows %s: name under not-when the dangers that forbid it until they are ruled out",
			strings.Join(effects, ", "), does, why.mode, why.symptom)
	}
}

// effectsOf is what some work does that a danger may forbid: what it says, and that
// it runs the appliance if that has to run for it.
func effectsOf(w note.Work) []string {
	var out []string
	for _, e := range w.Does {
		out = append(out, string(e))
	}
	if slices.Contains(w.Prepare, "running") && !slices.Contains(w.Does, note.Runs) {
		out = append(out, string(note.Runs))
	}
	return out
}

// proofsHold reports dangers that nothing proves gone though a test could, and
// tests that cannot prove what they are named for.
func proofsHold(c *checker) {
	each(c, func(n *note.Note, e *note.Test) {
		for _, name := range e.Healthy {
			if !slices.ContainsFunc(e.Results, func(r note.Result) bool { return r.Name == name }) {
				var names []string
				for _, r := range e.Results {
					names = append(names, r.Name)
				}
				c.report(n, n.At("healthy"), note.Broken, "healthy-unknown", "%q is not a result of this test: one of %s", name, strings.Join(names, ", "))
			}
		}
	})
	each(c, func(n *note.Note, e *note.Symptom) {
		if len(e.StopWork) == 0 && len(e.ProvedGoneBy) > 0 {
			c.report(n, n.At("proved-gone-by"), note.Incomplete, "proof-without-danger",
				"this symptom does not stop the work, so that nothing has to be proved gone: take it out, or add stop-work lines")
		}
		for _, r := range n.Refs {
			target, known := c.byID[r.ID]
			if r.Field != "proved-gone-by" || !known {
				continue
			}
			t, ok := target.Entry.(*note.Test)
			if !ok {
				continue
			}
			if !t.Proves() {
				c.report(n, r.Pos, note.Incomplete, "proof-without-healthy",
					"the test %q does not say with which of its results all is well: add `healthy: [a result]` in %s", r.ID, target.Path)
			}
			if slices.Contains(t.NotWhen, e.ID) {
				c.report(n, r.Pos, note.Incomplete, "proof-forbidden",
					"the test %q is not done while this danger is not ruled out, so it cannot rule it out: take %s out of its not-when, or name another test", r.ID, e.ID)
			}
		}
	})
	missingProof(c)
	proofsInCircle(c)
}

// proofsInCircle reports dangers each of which waits for another one to be ruled
// out, in a circle: said together, none of them could ever be proved gone.
func proofsInCircle(c *checker) {
	waits := func(id note.ID) []note.ID {
		s, ok := c.stopsWork(id)
		if !ok {
			return nil
		}
		var out []note.ID
		for i, proof := range s.ProvedGoneBy {
			n, known := c.byID[proof]
			if !known {
				continue
			}
			t, ok := n.Entry.(*note.Test)
			if !ok {
				continue
			}
			if i == 0 {
				out = slices.Clone(t.NotWhen)
			} else { // another test need not wait for the same
				out = slices.DeleteFunc(out, func(id note.ID) bool { return !slices.Contains(t.NotWhen, id) })
			}
		}
		return slices.DeleteFunc(out, func(other note.ID) bool { return other == id })
	}
	reported := map[note.ID]bool{}
	each(c, func(n *note.Note, e *note.Symptom) {
		if reported[e.ID] {
			return
		}
		path := pathTo(e.ID, e.ID, waits, map[note.ID]bool{})
		if path == nil {
			return
		}
		for _, id := range path {
			reported[id] = true
		}
		c.report(n, n.At("proved-gone-by"), note.Incomplete, "proofs-in-circle",
			"each of these is proved gone only once the next is: %s; take one of them out of not-when of the test that proves another", arrows(path))
	})
}

// missingProof reports dangers that say nothing of how they are proved gone, though
// one test settles every mode that shows them and says when all is well.
func missingProof(c *checker) {
	settledBy := map[note.ID][][]note.ID{} // by symptom, for each mode
	dangers := c.dangersOf()
	each(c, func(_ *note.Note, m *note.Mode) {
		for _, d := range dangers[m.ID] {
			settledBy[d] = append(settledBy[d], m.SettledBy)
		}
	})
	each(c, func(n *note.Note, e *note.Symptom) {
		modes := settledBy[e.ID]
		if len(e.StopWork) == 0 || len(e.ProvedGoneBy) > 0 || len(modes) == 0 {
			return
		}
		for _, id := range modes[0] {
			target, known := c.byID[id]
			if !known || slices.ContainsFunc(modes, func(tests []note.ID) bool { return !slices.Contains(tests, id) }) {
				continue
			}
			if t, ok := target.Entry.(*note.Test); ok && len(t.Healthy) > 0 && !slices.Contains(t.NotWhen, e.ID) {
				c.report(n, n.At("stop-work"), note.Incomplete, "missing-proof",
					"%q settles every mode that shows this: add `proved-gone-by: [%s]`, or the tests that prove it gone", id, id)
				return
			}
		}
	})
}

// forbiddanceKept refuses a note that stands in for another and forbids less: a
// team can add dangers, not take them away.
func forbiddanceKept(c *checker) {
	for _, r := range c.replaced {
		var field string
		var old, now []note.ID
		switch e := r.Of.Entry.(type) {
		case *note.Test:
			field, old = "not-when", e.NotWhen
		case *note.Remedy:
			field, old = "not-when", e.NotWhen
		case *note.Symptom:
			field, old = "proved-gone-by", e.ProvedGoneBy[:min(1, len(e.ProvedGoneBy))]
		}
		switch e := r.By.Entry.(type) {
		case *note.Test:
			now = e.NotWhen
		case *note.Remedy:
			now = e.NotWhen
		case *note.Symptom:
			// Any test of the team's own will do, but one there has to be.
			if len(e.ProvedGoneBy) > 0 {
				old = nil
			}
		}
		for _, id := range old {
			if !slices.Contains(now, id) {
				c.report(r.By, r.By.At(field), note.Broken, "danger-dropped",
					"%s has %q under %s and this note, which stands in for it, does not: keep it", r.Of.Path, id, field)
			}
		}
	}
}
