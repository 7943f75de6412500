package advise

import (
	"context"
	"errors"
	"slices"

	"kg/internal/archive"
	"kg/internal/catalogue"
	"kg/internal/diagnose"
	"kg/internal/hear"
	"kg/internal/library"
	"kg/internal/link"
	"kg/internal/note"
)

// worker turns beliefs into an answer.
type worker struct {
	adviser
	*network
	scope    *library.Scope
	said     []hear.Finding
	dangers  []danger // that were said
	evidence diagnose.Evidence
	record   record
	is       state     // of the appliance, by what was said
	told     []note.ID // tests whose result was said
	question Question
	budget   int // budget of planning, 0 for the usual one
}

func (w *worker) cause(ctx context.Context, b diagnose.Belief) (Cause, error) {
	id := b.ID
	rec, err := w.Get(id)
	if err != nil {
		return Cause{}, err
	}
	m := w.modes[id].mode
	component, err := w.Name(m.Component)
	if err != nil {
		return Cause{}, err
	}
	c := Cause{
		Mode: id, Name: m.Name, Component: m.Component, ComponentName: component,
		Probability: b.Probability, Prior: b.Prior, IfLeft: m.IfLeft,
		Path: w.path(id, w.said), Tests: []TestMethod{}, Notes: []string{rec.Path},
	}
	for i := range c.Path {
		if c.Path[i].FromName, err = w.Name(c.Path[i].From); err != nil {
			return c, err
		}
		if c.Path[i].Name, err = w.Name(c.Path[i].To); err != nil {
			return c, err
		}
	}
	for _, e := range b.Weights {
		c.Weights = append(c.Weights, Weight{e.Label, e.Decibans})
	}
	if err := w.work(&c, m); err != nil {
		return c, err
	}
	for _, l := range m.LeadsTo {
		name, err := w.FullName(l.To)
		if errors.Is(err, archive.ErrNotFound) {
			continue // its note was left out
		}
		if err != nil {
			return c, err
		}
		c.LeadsTo = append(c.LeadsTo, Consequence{l.To, name, l.Figure.P})
	}
	if c.MayComeFrom, err = w.behind(ctx, id); err != nil {
		return c, err
	}
	if c.Parts, c.MoreParts, err = catalogue.OfRepair(ctx, w.Library, w.scope, c.Component, c.PartTypes); err != nil {
		return c, err
	}
	if c.Field, err = w.field(ctx, id, m.Component); err != nil {
		return c, err
	}
	if c.Caveats, err = w.causeAlerts(c); err != nil {
		return c, err
	}
	c.Notes = compactStrings(append(c.Notes, w.notesOf(id)...))
	return c, nil
}

// behind names the modes that bring a mode about, the strongest link first.
func (w *worker) behind(ctx context.Context, id note.ID) ([]Consequence, error) {
	const some = 4
	edges := w.modes[id].behind
	var out []Consequence
	for _, e := range edges[:min(some, len(edges))] {
		name, err := w.FullName(e.From)
		if err != nil {
			return nil, err
		}
		out = append(out, Consequence{e.From, name, e.Figure.Stated})
	}
	return out, nil
}

// Behind names the modes that may have brought about what a remedy mends.
func Behind(ctx context.Context, lib *library.Library, remedy note.ID) ([]Consequence, error) {
	mended, err := lib.In(ctx, remedy, link.Repair)
	if err != nil {
		return nil, err
	}
	var out []Consequence
	for _, m := range mended {
		edges, err := lib.In(ctx, m.From, link.LeadsTo)
		if err != nil {
			return nil, err
		}
		for _, e := range edges {
			if slices.ContainsFunc(out, func(c Consequence) bool { return c.Mode == e.From }) {
				continue
			}
			name, err := lib.FullName(e.From)
			if err != nil {
				return nil, err
			}
			out = append(out, Consequence{e.From, name, e.Figure.Stated})
		}
	}
	return out, nil
}

// work fills in tests, remedies and part types. What was left out of the
// library is passed over.
func (w *worker) work(c *Cause, m *note.Mode) error {
	dangers := stand(w.dangers, w.question.Safe, w.record)
	for _, id := range m.SettledBy {
		t, path, err := w.Test(id)
		if err != nil {
			return err
		}
		if t == nil {
			continue
		}
		method := TestMethod{Test: id, Name: t.Name, Minutes: t.Minutes, Who: w.scope.Who(t.Work), Isolation: t.Isolation, Steps: t.Steps, Bars: barring(t.Work, dangers)}
		for _, r := range TestFigures(t).Results {
			given, known := r.Given[m.ID]
			switch {
			case known && given > 2*r.Otherwise:
				method.For = append(method.For, r.Name)
			case known && 2*given < r.Otherwise:
				method.Against = append(method.Against, r.Name)
			}
		}
		c.Tests = append(c.Tests, method)
		c.Notes = append(c.Notes, path)
	}
	for _, some := range []struct {
		ids []note.ID
		to  **RemedyRef
	}{{m.Repair, &c.Repair}, {m.StopGap, &c.StopGap}} {
		for _, id := range some.ids {
			rec, err := w.Get(id)
			if errors.Is(err, archive.ErrNotFound) {
				continue // left out of the library
			}
			if err != nil {
				return err
			}
			r, ok := rec.Entry.(*note.Remedy)
			if !ok {
				continue
			}
			*some.to = &RemedyRef{Remedy: id, Name: r.Name, Minutes: r.Minutes, Who: w.scope.Who(r.Work), Steps: r.Steps, Checks: r.Checks, Limits: r.Limits, Uses: r.Uses, Bars: barring(r.Work, dangers)}
			c.Notes = append(c.Notes, rec.Path)
			break
		}
	}
	if c.Repair != nil {
		for _, id := range c.Repair.Uses {
			t, err := w.Title(id)
			if errors.Is(err, archive.ErrNotFound) {
				continue
			}
			if err != nil {
				return err
			}
			c.PartTypes = append(c.PartTypes, catalogue.PartType{Component: id, Name: t.Name})
		}
	}
	return nil
}

// field returns the remarks about some entries.
func (l adviser) field(ctx context.Context, about ...note.ID) ([]FieldRemark, error) {
	var out []FieldRemark
	for _, id := range about {
		edges, err := l.In(ctx, id, link.About)
		if err != nil {
			return nil, err
		}
		for _, e := range edges {
			rec, err := l.Get(e.From)
			if err != nil {
				return nil, err
			}
			h := rec.Entry.Head()
			if h.Kind == note.KindRemark && !slices.ContainsFunc(out, func(r FieldRemark) bool { return r.ID == h.ID }) {
				out = append(out, FieldRemark{ID: h.ID, Name: h.Name, Text: h.Body, Note: rec.Path})
			}
		}
	}
	return out, nil
}

func compactStrings(list []string) []string {
	var out []string
	for _, s := range list {
		if !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	return out
}
