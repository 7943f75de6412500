// Package hear owns the way from words to what they mean: which symptoms and modes a
// description says are there and which not, what the codes in it stand for, and
// whether something in it ends all work. It is pure: it reads a library, decides by
// its own arithmetic, and runs in a browser.
package hear

import (
	"context"
	"slices"
	"strings"

	"kg/internal/library"
	"kg/internal/note"
)

// Words are what somebody has said.
type Words struct {
	Text string
	More []string // what was said later; where it contradicts, it counts
	// Safe is how many of these texts were said before what stops the work was made
	// safe: they no longer stop it.
	Safe int
	// Symptoms are there for certain, whatever was said.
	Symptoms []note.ID
}

// Heard is what words mean.
type Heard struct {
	Findings []Finding
	Danger   *Danger // what ends all work, if anything does
	Remarks  []string
}

// ear listens to the words of one question.
type ear struct {
	*library.Library
	kinds       []note.Kind
	frequencies map[string]int
	weights     map[string]float64
	corrected   map[string]string
	averages    [2]float64 // length of an entry in each field, over entries of all kinds
}

func listener(lib *library.Library, kinds ...note.Kind) *ear {
	e := &ear{Library: lib, kinds: kinds, frequencies: map[string]int{}, weights: map[string]float64{}, corrected: map[string]string{}}
	var sums [2]int
	for _, l := range lib.Lengths() {
		if slices.Contains(kinds, l.Kind) {
			sums[sayings] += l.InSayings
			sums[whole] += l.Note
		}
	}
	for f, sum := range sums {
		e.averages[f] = max(1, float64(sum)) / max(1, float64(lib.Entries()))
	}
	return e
}

// Listen works out what was said at first and later, on an appliance or on any.
// What is said later about the same thing counts.
func Listen(ctx context.Context, lib *library.Library, w Words, s *library.Scope) (Heard, error) {
	e := listener(lib, note.KindSymptom, note.KindMode)
	var out Heard
	var heard []Finding
	for i, text := range append([]string{w.Text}, w.More...) {
		if strings.TrimSpace(text) == "" {
			continue
		}
		u, err := e.understand(text, s)
		if err != nil {
			return out, err
		}
		if err := ctx.Err(); err != nil {
			return out, err
		}
		for _, f := range u.said {
			out.say(f)
		}
		if i >= w.Safe {
			heard = append(heard, u.heard...)
		}
		out.Remarks = append(out.Remarks, u.remarks...)
	}
	for _, id := range w.Symptoms {
		f, err := Certain(lib, id)
		if err != nil {
			return out, err
		}
		out.say(f)
		heard = append(heard, f)
	}
	var err error
	out.Danger, err = e.danger(heard)
	return out, err
}

// say adds a finding; it takes the place of an older one of the same thing.
func (h *Heard) say(f Finding) {
	h.Findings = slices.DeleteFunc(h.Findings, func(old Finding) bool { return old.Senses[0].ID == f.Senses[0].ID })
	h.Findings = append(h.Findings, f)
}

// Certain is the finding of a symptom that is there for certain.
func Certain(lib *library.Library, id note.ID) (Finding, error) {
	rec, err := lib.OfKind(id, "symptom", note.KindSymptom)
	if err != nil {
		return Finding{}, err
	}
	h := rec.Entry.Head()
	return Finding{Text: h.Name, Present: true, Senses: []Sense{{ID: id, Kind: h.Kind, Name: h.Name, Score: 1, Weight: 1, Covers: 1}}}, nil
}

// Near names some entries of kinds that are somewhat like words.
func Near(lib *library.Library, text string, most int, kinds ...note.Kind) ([]Sense, error) {
	e := listener(lib, kinds...)
	matches, err := e.match(text, most)
	if err != nil {
		return nil, err
	}
	var out []Sense
	for _, m := range matches {
		s, err := e.sense(m)
		if err != nil {
			return nil, err
		}
		out = append(out, s)
	}
	return out, nil
}
