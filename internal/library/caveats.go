package library

import (
	"cmp"
	"errors"
	"slices"

	"kg/internal/archive"
	"kg/internal/note"
)

// causeAlerts are the caveats of a cause with its component, tests and remedies.
func (w *worker) causeAlerts(c Cause) ([]Alert, error) {
	about := []note.ID{c.Mode, c.Component}
	for _, t := range c.Tests {
		about = append(about, t.Test)
	}
	for _, r := range []*RemedyRef{c.Repair, c.StopGap} {
		if r != nil {
			about = append(about, r.Remedy)
		}
	}
	return w.alerts(about...)
}

// alerts are the caveats that are shown with some entries, the gravest first.
func (l *Library) alerts(about ...note.ID) ([]Alert, error) {
	seen := map[note.ID]bool{}
	var out []Alert
	for _, id := range about {
		rec, err := l.archive.Get(id)
		if errors.Is(err, archive.ErrNotFound) {
			continue // left out of the library
		}
		if err != nil {
			return nil, err
		}
		for _, c := range rec.Caveats {
			if seen[c] {
				continue
			}
			seen[c] = true
			rec, err := l.archive.Get(c)
			if err != nil {
				return nil, err
			}
			if e, ok := rec.Entry.(*note.Caveat); ok {
				out = append(out, Alert{Level: e.Level, Name: e.Name, Text: e.Text, ID: c})
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Alert) int { return cmp.Compare(a.Level.Rank(), b.Level.Rank()) })
	return out, nil
}

// foremost are the caveats that stand over the whole answer: those of what was
// seen, of the first cause and of the next step.
func (w *worker) foremost(a Answer) ([]Alert, error) {
	var about []note.ID
	for _, f := range a.Findings {
		about = append(about, f.Symptom)
	}
	if a.Next != nil {
		about = append(about, a.Next.ID)
	}
	if a.Appliance != "" {
		about = append(about, a.Appliance)
	}
	if len(a.Causes) > 0 {
		about = append(about, a.Causes[0].Mode)
	}
	return w.alerts(about...)
}
