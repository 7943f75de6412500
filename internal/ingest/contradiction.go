package ingest

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"kg/internal/diagnose"
	"kg/internal/link"
	"kg/internal/note"
	"kg/internal/place"
)

// Contradictions names the usual causes that cannot be met, however base rates
// and links are fitted, with the notes that disagree.
func Contradictions(kept []*note.Note) []place.Problem {
	said := figuresOf(kept)
	moved := diagnose.Fit(said.model, said.statements)
	var out []place.Problem
	for i, off := range moved.Off {
		if off <= tolerance {
			continue
		}
		worst, by := 0, 0.0
		for k, share := range said.statements[i].Shares {
			if d := math.Abs(share.Part - moved.Got[i][k]); d > by {
				worst, by = k, d
			}
		}
		share := said.statements[i].Shares[worst]
		out = append(out, place.Problem{
			Pos: said.stating[i].At("usual-causes"), Rule: "usual-causes-contradict", Grade: note.Incomplete,
			Message: fmt.Sprintf("%s comes out at %.2f where %.2f is stated: this disagrees with %s; change one of them",
				share.Cause, moved.Got[i][worst], share.Part, strings.Join(said.against(i, share.Cause), ", ")),
		})
	}
	return out
}

// against names the notes that keep a statement from being met: other symptoms
// that have it so only together with them, else what leads to the cause and what
// it is itself said to do.
func (s statedFigures) against(i int, cause diagnose.ID) []string {
	var out []string
	if alone := diagnose.Fit(s.model, s.statements[i:i+1]); alone.Off[0] <= tolerance {
		for k, other := range s.statements {
			if k == i || !shareCauses(s.statements[i], other) {
				continue
			}
			if pair := diagnose.Fit(s.model, []diagnose.Statement{s.statements[i], other}); slices.Max(pair.Off) > tolerance {
				out = append(out, s.stating[k].Path)
			}
		}
		if len(out) > 0 {
			return out
		}
		for k, other := range s.statements { // no single one: all of them together
			if k != i && shareCauses(s.statements[i], other) {
				out = append(out, s.stating[k].Path)
			}
		}
		return out
	}
	for _, e := range s.edges {
		if e.Link == link.LeadsTo && (e.To == cause || e.From == cause) && !slices.Contains(out, e.Note) {
			out = append(out, e.Note)
		}
	}
	for _, r := range s.rates {
		if r.Of == cause && !slices.Contains(out, r.Note) {
			out = append(out, r.Note)
		}
	}
	return out
}

func shareCauses(a, b diagnose.Statement) bool {
	return slices.ContainsFunc(a.Shares, func(x diagnose.Share) bool {
		return slices.ContainsFunc(b.Shares, func(y diagnose.Share) bool { return x.Cause == y.Cause })
	})
}
