// Package job owns call-outs that last: what was said, tested and done, in the
// order in which it happened. A job is a text file that a person can read and
// edit. Each entry is on disk before a command ends, nothing is ever taken out,
// and what is known at any point follows from the entries up to it.
package job

import (
	"slices"
	"time"

	"kg/internal/advise"
	"kg/internal/note"
)

// Job is one call-out.
type Job struct {
	ID        ID
	Appliance note.ID
	Given     []note.Context // what was known beforehand
	WorkedOn  []note.ID      // components that someone had lately worked on
	Started   time.Time
	Entries   []Entry
}

// Kind is what an entry says.
type Kind string

// The kinds of entries.
const (
	Said   Kind = "said"   // what was seen or heard, in somebody's words
	Tested Kind = "tested" // what a test found
	Read   Kind = "read"   // a figure that a meter showed in a test
	Did    Kind = "did"    // a remedy, and whether it helped
	Safe   Kind = "safe"   // what stopped the work was made safe, by whom and how proved
	Means  Kind = "means"  // what the words mean, as an answer to a question
	Not    Kind = "not"    // what they do not mean
	Undone Kind = "undone" // the last entry that still counts does not
)

// Entry is one line of a job.
type Entry struct {
	At     time.Time
	Kind   Kind
	Words  string  // what was said, or how it was made safe
	Of     note.ID // the test or the remedy
	Result string  // what the test found, or the figure that was read
	Helped bool    // whether the remedy did
	// These are the symptoms and modes that the words mean or do not mean.
	These []note.ID
}

// Standing returns the entries that count: those that were not undone.
func (j Job) Standing() []Entry {
	var out []Entry
	for _, e := range j.Entries {
		if e.Kind != Undone {
			out = append(out, e)
		} else if len(out) > 0 {
			out = out[:len(out)-1]
		}
	}
	return out
}

// Solved reports whether the last remedy that counts helped.
func (j Job) Solved() bool {
	last, any := j.Last()
	return any && last.Kind == Did && last.Helped
}

// Last returns the last entry that counts; false where there is none.
func (j Job) Last() (Entry, bool) {
	standing := j.Standing()
	if len(standing) == 0 {
		return Entry{}, false
	}
	return standing[len(standing)-1], true
}

// Question is what the job stands at, as a question to a library.
func (j Job) Question() advise.Question {
	q := advise.Question{Appliance: j.Appliance, Given: j.Given, WorkedOn: j.WorkedOn}
	said := 0 // texts so far
	for _, e := range j.Standing() {
		switch e.Kind {
		case Said:
			if q.Text == "" {
				q.Text = e.Words
			} else {
				q.More = append(q.More, e.Words)
			}
			if q.Text != "" {
				said = 1 + len(q.More)
			}
		case Safe:
			q.Safe = said
			for i := range q.Results {
				q.Results[i].Stale = true
			}
			for i := range q.Readings {
				q.Readings[i].Stale = true
			}
			q.SafeSymptoms = len(q.Symptoms)
		case Means:
			q.Symptoms = append(q.Symptoms, e.These...)
		case Not:
			q.Not = append(q.Not, e.These...)
		case Tested: // the same test done again counts as it came out last
			q.Results = slices.DeleteFunc(q.Results, func(t advise.Tested) bool { return t.Test == e.Of })
			q.Readings = slices.DeleteFunc(q.Readings, func(r advise.Read) bool { return r.Test == e.Of })
			q.Results = append(q.Results, advise.Tested{Test: e.Of, Result: e.Result, After: slices.Clone(q.Mended), Said: said})
		case Read:
			q.Results = slices.DeleteFunc(q.Results, func(t advise.Tested) bool { return t.Test == e.Of })
			q.Readings = append(q.Readings, advise.Read{Test: e.Of, Figures: e.Result, Said: said})
		case Did: // done again, it counts as it came out last
			q.Mended = slices.DeleteFunc(q.Mended, func(id note.ID) bool { return id == e.Of })
			if !e.Helped {
				q.Mended = append(q.Mended, e.Of)
			}
		}
	}
	return q
}
