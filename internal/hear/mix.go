package hear

import (
	"cmp"
	"slices"

	"kg/internal/note"
)

// nearPart is the part that the nearest sayings of the library have beside what was
// learned. Of an entry that is not among what was learned, such as a team's own, they
// decide alone. In the screen for dangers they have no other part: likeness to a saying
// raises more false alarms than it finds dangers.
const nearPart = 0.2

// verbatimPart is the same where the words are one of those sayings.
const verbatimPart = 0.5

// mixed is what was learned together with what is nearest, which has some part.
func (e *ear) mixed(taught guesses, lost float64, near guesses, nearPart float64) guesses {
	out := slices.Clone(taught)
	// What is not in the library takes no part: the others share what is left.
	left := 1 - lost
	learns := left > 0.5
	total := 0.0
	if learns {
		for i := range out {
			out[i].p *= (1 - nearPart) / left
		}
		total = 1 - nearPart
	} else {
		out = nil
	}
	known := 1.0 // the part of the nearest where something was learned
	if learns {
		known = nearPart
	}
	unclear := 1.0
	for _, n := range near {
		unclear -= n.p
		part := 1.0
		if e.learned.known[n.ID] {
			part = known
		}
		total += float64(part * n.p)
		if at := slices.IndexFunc(out, func(x guess) bool { return x.Meaning == n.Meaning }); at >= 0 {
			out[at].p += float64(part * n.p)
		} else {
			n.p *= part
			out = append(out, n)
		}
	}
	total += float64(known * max(0, unclear))
	out = slices.DeleteFunc(out, func(x guess) bool {
		if x.Says != ThereSaid || !slices.Contains(e.not, x.ID) {
			return x.p == 0
		}
		total -= x.p // it is not meant: the others share what it had
		return true
	})
	for i := range out {
		out[i].p /= max(total, faint)
	}
	slices.SortFunc(out, func(a, b guess) int {
		return cmp.Or(cmp.Compare(b.p, a.p), cmp.Compare(a.ID, b.ID), cmp.Compare(a.Says, b.Says), cmp.Compare(a.Result, b.Result))
	})
	return out
}

// How much of what is said after a test was asked for tells what it found. No source:
// our own assumption; whoever was told to do a test speaks of it next. The screen for
// dangers expects it less.
const (
	waitedPart     = 2.0 / 3
	waitedScreened = 0.2
)

// waiting are guesses of words of which some part is expected to tell of some tests,
// instead of the part that this had among what hearing was taught by.
func (g guesses) waiting(tests []note.ID, part float64) guesses {
	usual := 0.0
	waited := func(x guess) bool { return x.Says == ResultSaid && slices.Contains(tests, x.ID) }
	for _, x := range g {
		if waited(x) {
			usual += x.prior
		}
	}
	if usual == 0 || usual >= part {
		return g
	}
	likelier := part / (1 - part) * (1 - usual) / usual
	out := slices.Clone(g)
	sum := 1.0
	for i, x := range out {
		if waited(x) {
			out[i].p = float64(likelier * x.p)
			sum += out[i].p - x.p
		}
	}
	for i := range out {
		out[i].p /= sum
	}
	return out
}
