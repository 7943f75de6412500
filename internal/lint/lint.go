// Package lint owns the rules that need more than one note: that every id
// exists and is of the right kind, that is-a has no cycle, that figures have a
// source and fit together, that names tell entries apart. It decides which notes
// of several sources make up the library. Rules across notes and lists of parts are
// with the lists, see catalogue/lists.
//
// A rule reports a place, what was expected there and what to do. Every rule has
// a case file in testdata.
package lint

import (
	"cmp"
	"fmt"
	"slices"

	"kg/internal/note"
	"kg/internal/parts"
	"kg/internal/place"
)

// Verdict is what came out of looking at a set of notes.
type Verdict struct {
	// Kept are the notes that make up the library, sorted by kind and id.
	Kept []*note.Note
	// Replaced are the notes that a later source overrides.
	Replaced []Replacement
	// Parts are the makers' parts of lists and notes, see AddParts.
	Parts []*parts.Part
	// Problems are all complaints, sorted by place.
	Problems []place.Problem
}

// Replacement is one note standing in for another of the same kind and id.
type Replacement struct {
	By, Of *note.Note
}

// LeftOut is a file that was found but is no usable note. Mentions of its id are
// not the fault of those who mention it.
type LeftOut struct {
	ID note.ID
}

// Check applies all rules. The notes come in order of their sources, the last
// one prevailing; leftOut are files that could not be parsed.
func Check(notes []*note.Note, leftOut []LeftOut) Verdict {
	c := &checker{
		byID:    map[note.ID]*note.Note{},
		leftOut: map[note.ID]bool{},
		broken:  map[*note.Note]bool{},
	}
	for _, l := range leftOut {
		c.leftOut[l.ID] = true
	}
	c.merge(notes)
	for _, rule := range []func(*checker){
		unknownIDs, isACycles, causesInCircle, selfReference, stopWorkKept, forbiddanceKept, safetyKept, missingSource, standardsTreat, missingConsequence,
		duplicateNames, ambiguousSayings, sharesAddUp, resultsAddUp, testNamesItsMode,
		measureMatches, readingFits, oneObservation, statesAgree, dangerForbids, proofsHold, competenceAsked, checksAndLimits, synonymSets, unusedCaveats, causelessSymptoms,
	} {
		rule(c)
	}

	v := Verdict{Problems: c.problems}
	stand := map[*note.Note]*note.Note{} // what a broken note would have replaced
	for _, r := range c.replaced {
		if c.broken[r.By] {
			stand[r.By] = r.Of
		} else {
			v.Replaced = append(v.Replaced, r)
		}
	}
	for _, n := range c.notes {
		for n != nil && c.broken[n] {
			n = stand[n]
		}
		if n != nil {
			v.Kept = append(v.Kept, n)
		}
	}
	v.sort()
	return v
}

func (v *Verdict) sort() {
	slices.SortStableFunc(v.Problems, func(a, b place.Problem) int {
		return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line),
			cmp.Compare(a.Column, b.Column), cmp.Compare(a.Rule, b.Rule))
	})
}

// AddParts takes in the parts of the notes that were kept and of lists, and what is
// wrong with them.
func (v *Verdict) AddParts(list []*parts.Part, problems []place.Problem) {
	v.Parts = list
	v.Problems = append(v.Problems, problems...)
	v.sort()
}

// checker carries the notes through the rules. A rule only reports; it never
// takes notes away from the rules after it.
type checker struct {
	notes    []*note.Note // the prevailing ones, sorted by kind and id
	byID     map[note.ID]*note.Note
	leftOut  map[note.ID]bool
	broken   map[*note.Note]bool
	replaced []Replacement
	problems []place.Problem
}

func (c *checker) report(n *note.Note, at place.Pos, grade place.Grade, rule, format string, args ...any) {
	c.problems = append(c.problems, place.Problem{Pos: at, Rule: rule, Grade: grade, Message: fmt.Sprintf(format, args...)})
	if grade == note.Broken {
		c.broken[n] = true
	}
}

// merge lets later sources override earlier ones and refuses one id for two
// kinds.
func (c *checker) merge(notes []*note.Note) {
	for _, n := range notes {
		old, taken := c.byID[n.ID()]
		switch {
		case !taken:
			c.byID[n.ID()] = n
		case old.Kind() != n.Kind():
			c.report(n, n.At(""), note.Broken, "id-taken",
				"the id %q already names the %s in %s: choose another file name", n.ID(), old.Kind(), old.Path)
		case old.Source == n.Source:
			c.report(n, n.At(""), note.Broken, "id-taken", "the id %q stands in %s too: keep one", n.ID(), old.Path)
		default:
			c.replaced = append(c.replaced, Replacement{By: n, Of: old})
			c.byID[n.ID()] = n
		}
	}
	for _, n := range c.byID {
		c.notes = append(c.notes, n)
	}
	rank := map[note.Kind]int{}
	for i, k := range note.Kinds() {
		rank[k] = i
	}
	slices.SortFunc(c.notes, func(a, b *note.Note) int {
		return cmp.Or(cmp.Compare(rank[a.Kind()], rank[b.Kind()]), cmp.Compare(a.ID(), b.ID()))
	})
}

// each calls f for every prevailing note whose entry is of type E.
func each[E note.Entry](c *checker, f func(*note.Note, E)) {
	for _, n := range c.notes {
		if e, ok := n.Entry.(E); ok {
			f(n, e)
		}
	}
}
