package library

import (
	"cmp"
	"errors"
	"slices"

	"kg/internal/archive"
	"kg/internal/note"
	"kg/internal/signal"
)

// Alert is a caveat as it is shown.
type Alert struct {
	Level signal.Word `json:"level"`
	Name  string      `json:"name"`
	Text  string      `json:"text"`
	ID    note.ID     `json:"id,omitempty"`
}

// Alerts are the caveats that are shown with some entries, each once, the gravest
// first.
func (l *Library) Alerts(about ...note.ID) ([]Alert, error) {
	seen := map[note.ID]bool{}
	var out []Alert
	for _, id := range about {
		of, err := l.alertsOf(id)
		if err != nil {
			return nil, err
		}
		for _, a := range of {
			if !seen[a.ID] {
				seen[a.ID] = true
				out = append(out, a)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Alert) int { return cmp.Compare(a.Level.Rank(), b.Level.Rank()) })
	return out, nil
}

// alertsOf are the caveats of one entry, looked up once.
func (l *Library) alertsOf(id note.ID) ([]Alert, error) {
	if known, ok := l.alerts[id]; ok {
		return known, nil
	}
	var out []Alert
	rec, err := l.Get(id)
	if err != nil && !errors.Is(err, archive.ErrNotFound) { // left out of the library
		return nil, err
	}
	for _, c := range rec.Caveats {
		rec, err := l.Get(c)
		if err != nil {
			return nil, err
		}
		if e, ok := rec.Entry.(*note.Caveat); ok {
			out = append(out, Alert{Level: e.Level, Name: e.Name, Text: e.Text, ID: c})
		}
	}
	l.alerts[id] = out
	return out, nil
}
