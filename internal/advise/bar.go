package advise

import (
	"context"
	"fmt"
	"slices"

	"kg/internal/hear"
	"kg/internal/library"
	"kg/internal/note"
)

// Bar is a danger that forbids some work until it is ruled out.
type Bar struct {
	Symptom note.ID `json:"symptom"`
	Name    string  `json:"name"`
	// First is what to do first: the first line of what stops the work, or the name
	// of the test that proves the danger gone once it was made safe.
	First string  `json:"first"`
	Proof note.ID `json:"proof,omitempty"` // that test
}

// barring are those dangers that forbid some work.
func barring(w note.Work, dangers []standing) []Bar {
	var out []Bar
	for _, d := range dangers {
		if slices.Contains(w.NotWhen, d.ID) {
			out = append(out, d.bar())
		}
	}
	return out
}

func (s standing) bar() Bar {
	b := Bar{Symptom: s.ID, Name: s.Name, First: s.StopWork[0]}
	if s.safe && s.still == nil {
		b.First, b.Proof = s.proofs[0].Name, s.proofs[0].ID
	}
	return b
}

// Bars are the dangers for which a test or a remedy is not to be done, as a
// question stands.
func Bars(ctx context.Context, lib *library.Library, q Question, id note.ID) ([]Bar, error) {
	b, err := adviser{lib}.bars(ctx, q, id)
	if err != nil {
		return nil, fmt.Errorf("looking for what forbids %s: %w", id, err)
	}
	return b, nil
}

func (l adviser) bars(ctx context.Context, q Question, id note.ID) ([]Bar, error) {
	rec, err := l.OfKind(id, "test or remedy", note.KindTest, note.KindRemedy)
	if err != nil {
		return nil, err
	}
	var work note.Work
	switch e := rec.Entry.(type) {
	case *note.Test:
		work = e.Work
	case *note.Remedy:
		work = e.Work
	}
	if len(work.NotWhen) == 0 {
		return nil, nil
	}
	s, err := l.Scope(ctx, q.Appliance)
	if err != nil {
		return nil, err
	}
	heard, err := hear.Listen(ctx, l.Library, q.words(), s)
	if err != nil {
		return nil, err
	}
	q.once()
	said, err := l.dangers(q, heard)
	if err != nil {
		return nil, err
	}
	dangers, err := l.stand(said, q, s)
	return barring(work, dangers), err
}
