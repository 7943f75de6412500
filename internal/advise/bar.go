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

// unproved is the danger that has to be proved gone before anything else is done:
// of those that were made safe, the first whose test no other one forbids.
func unproved(dangers []standing) *standing {
	var first *standing
	for i := range dangers {
		d := &dangers[i]
		if !d.safe {
			continue
		}
		if len(barring(d.proofs[0].Work, dangers)) == 0 {
			return d
		}
		if first == nil {
			first = d
		}
	}
	return first
}

// prove is the step that proves a danger gone. Where the asker may not do it,
// somebody has to come who may.
func (l adviser) prove(d *standing, who []note.Competence, s *library.Scope) *Next {
	t := d.proofs[0]
	n := &Next{
		Kind: StepTest, ID: t.ID, Name: t.Name, Who: s.Who(t.Work), Minutes: t.Minutes, ExpectedMinutes: float64(t.Minutes),
		Isolation: t.Isolation, Steps: t.Steps,
		Why: fmt.Sprintf("this proves that %q is gone, which comes before any diagnosis", d.Name),
	}
	for _, r := range t.Results {
		n.Results = append(n.Results, NextResult{Name: r.Name, Means: r.Means})
	}
	if !mayDo(who, n.Who) {
		n.Kind, n.Name = StepCall, "Have someone come who may do it: "+t.Name
		n.Minutes, n.Isolation, n.Steps, n.Results = 0, "", nil, nil
	}
	return n
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
	said, err := l.dangers(q, heard, s)
	if err != nil {
		return nil, err
	}
	return barring(work, stand(said, q.Safe, l.recorded(q))), nil
}
