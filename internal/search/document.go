package search

import (
	"strings"

	"kg/internal/note"
)

// Fields of the index. sayings holds what symptoms and modes are called, for
// matching descriptions; words holds all text of every entry, for finding
// anything.
const (
	fieldKind      = "kind"
	fieldSayings   = "sayings"
	fieldWords     = "words"
	fieldNames     = "names"
	fieldNote      = "note"    // the words of symptoms and modes only, to rank these among themselves
	fieldPhrases   = "phrases" // stored: the sayings one by one
	fieldCode      = "code"
	fieldAppliance = "appliance"
	fieldShown     = "shown"
	fieldMeans     = "means"
)

// kindCode marks the entry of one code of one appliance.
const kindCode = "code"

// synonymsID is the id of the entry that carries the synonym sets.
const synonymsID = "!synonyms"

// Sayings returns the phrases that an entry goes by: its names, for a mode
// together with its component. Symptoms and modes only.
func Sayings(e note.Entry, component string) []string {
	h := e.Head()
	switch e.(type) {
	case *note.Symptom:
		return append([]string{h.Name}, h.Also...)
	case *note.Mode:
		return append([]string{component + " " + h.Name}, h.Also...)
	}
	return nil
}

// allText returns everything that is written in an entry.
func allText(e note.Entry, component string) string {
	h := e.Head()
	out := []string{component, h.Name, string(h.ID), h.Body}
	out = append(out, h.Also...)
	work := func(w note.Work) {
		out = append(out, w.Steps...)
		out = append(out, w.Tools...)
		out = append(out, w.Isolation)
	}
	switch e := e.(type) {
	case *note.Appliance:
		out = append(out, e.Maker)
	case *note.Mode:
		out = append(out, e.IfLeft)
	case *note.Symptom:
		out = append(out, e.StopWork...)
	case *note.Test:
		work(e.Work)
		for _, r := range e.Results {
			out = append(out, r.Name, r.Means)
		}
	case *note.Remedy:
		work(e.Work)
		out = append(append(out, e.Checks...), e.Limits...)
	case *note.Part:
		out = append(out, e.Number, e.Maker)
	case *note.Caveat:
		out = append(out, string(e.Level), e.Text)
	case *note.Job:
		out = append(out, e.Words, e.Date)
	case *note.Synonym:
		out = append(out, e.Words...)
	}
	return strings.Join(out, "\n")
}
