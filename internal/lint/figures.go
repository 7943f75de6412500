package lint

import (
	"fmt"

	"kg/internal/note"
)

// rounding is how far shares that were written as round figures may overshoot 1.
const rounding = 0.0005

// missingSource reports figures that nobody answers for.
func missingSource(c *checker) {
	for _, n := range c.notes {
		if n.FirstFigure.Line > 0 && n.Entry.Head().Source == "" {
			c.report(n, n.FirstFigure, note.Incomplete, "missing-source",
				"a figure needs a source: add a line like `source: common practice` or name the standard and its clause")
		}
	}
}

// missingConsequence reports modes that do not say what happens if they are left.
func missingConsequence(c *checker) {
	each(c, func(n *note.Note, e *note.Mode) {
		if len(e.LeadsTo) == 0 && e.IfLeft == "" {
			c.report(n, n.At(""), note.Incomplete, "missing-consequence",
				"a mode says what happens if it is left: add leads-to or if-left")
		}
	})
}

// sharesAddUp reports usual causes that claim more than all of the cases.
func sharesAddUp(c *checker) {
	each(c, func(n *note.Note, e *note.Symptom) {
		if sum := total(e.UsualCauses); sum > 1+rounding {
			c.report(n, n.At("usual-causes"), note.Broken, "shares-add-up",
				"the shares add up to %.3g: usual causes share out 1 at the most", sum)
		}
	})
}

// resultsAddUp reports tests that find more results than there are tests done.
func resultsAddUp(c *checker) {
	each(c, func(n *note.Note, e *note.Test) {
		var modes []note.ID
		sums := map[note.ID]float64{}
		otherwise := 0.0
		for _, r := range e.Results {
			otherwise += r.Otherwise.P
			for _, l := range r.SeenWith {
				if _, seen := sums[l.To]; !seen {
					modes = append(modes, l.To)
				}
				sums[l.To] += l.Figure.P
			}
		}
		at := n.At("results")
		for _, m := range modes {
			if sums[m] > 1+rounding {
				c.report(n, at, note.Broken, "results-add-up",
					"the results seen with %q add up to %.3g: for one mode they share out 1 at the most", m, sums[m])
			}
		}
		if otherwise > 1+rounding {
			c.report(n, at, note.Broken, "results-add-up",
				"the results seen otherwise add up to %.3g: they share out 1 at the most", otherwise)
		}
		if len(modes) == 0 {
			c.report(n, at, note.Incomplete, "test-settles-nothing",
				"no result names a mode: add seen-with to a result, with a figure for each mode that it speaks for or against")
		}
	})
}

// testNamesItsMode reports a mode that is said to be settled by a test which
// does not know it.
func testNamesItsMode(c *checker) {
	each(c, func(n *note.Note, e *note.Mode) {
		for _, r := range n.Refs {
			if r.Field != "settled-by" {
				continue
			}
			target, ok := c.byID[r.ID]
			if !ok {
				continue
			}
			if test, ok := target.Entry.(*note.Test); ok && !names(test, n.ID()) {
				c.report(n, r.Pos, note.Incomplete, "test-silent",
					"the test %q has no result seen with this mode: add `%s: a figure` under seen-with in %s, or in a note of your own that stands in for it", r.ID, n.ID(), target.Path)
			}
		}
	})
}

func names(t *note.Test, mode note.ID) bool {
	for _, r := range t.Results {
		for _, l := range r.SeenWith {
			if l.To == mode {
				return true
			}
		}
	}
	return false
}

func total(links []note.Link) float64 {
	sum := 0.0
	for _, l := range links {
		sum += l.Figure.P
	}
	return sum
}

// measureMatches reports a stop-gap that is passed off as a repair, and the
// other way round.
func measureMatches(c *checker) {
	want := map[string]note.Measure{"repair": note.Repair, "stop-gap": note.StopGap}
	each(c, func(n *note.Note, _ *note.Mode) {
		for _, r := range n.Refs {
			measure, relevant := want[r.Field]
			target, known := c.byID[r.ID]
			if !relevant || !known {
				continue
			}
			if e, ok := target.Entry.(*note.Remedy); ok && e.Measure != measure {
				c.report(n, r.Pos, note.Broken, "wrong-measure",
					"%q is a %s and stands under %s: list it under %s", r.ID, e.Measure, r.Field, e.Measure)
			}
		}
	})
}

// checksAndLimits reports repairs that nobody checks and stop-gaps without end.
func checksAndLimits(c *checker) {
	each(c, func(n *note.Note, e *note.Remedy) {
		switch {
		case e.Measure == note.Repair && len(e.Checks) == 0:
			c.report(n, n.At("remedy"), note.Incomplete, "missing-checks",
				"a repair says what is checked afterwards: add checks")
		case e.Measure == note.StopGap && len(e.Limits) == 0:
			c.report(n, n.At("remedy"), note.Incomplete, "missing-limits",
				"a stop-gap says how far and how long it may be used: add limits")
		}
	})
}

func idAndPath(n *note.Note) string { return fmt.Sprintf("%s (%s)", n.ID(), n.Path) }
