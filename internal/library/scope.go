package library

import (
	"context"
	"slices"

	"kg/internal/graph"
	"kg/internal/note"
)

// scope is one appliance with all that it is and has.
type scope struct {
	id       note.ID
	name     string
	families []note.ID // itself and the families above it
	has      map[note.ID]bool
}

// scope returns what an appliance is and has, by inheritance; nil for no
// appliance.
func (l *Library) scope(ctx context.Context, id note.ID) (*scope, error) {
	if id == "" {
		return nil, nil
	}
	rec, err := l.entry(id, "appliance", note.KindAppliance)
	if err != nil {
		return nil, err
	}
	if rec.Entry.Head().Kind != note.KindAppliance {
		near, err := l.nearest(id, []note.Kind{note.KindAppliance})
		if err != nil {
			return nil, err
		}
		return nil, &NotFound{What: "appliance", ID: id, Nearest: near}
	}
	s := &scope{id: id, name: rec.Entry.Head().Name, has: map[note.ID]bool{}}
	if s.families, err = l.graph.Closure(ctx, id, graph.IsA); err != nil {
		return nil, err
	}
	all, err := l.graph.Closure(ctx, id, graph.IsA, graph.Has)
	if err != nil {
		return nil, err
	}
	for _, id := range all {
		s.has[id] = true
	}
	return s, nil
}

// allows reports whether a mode of a component can be had on the appliance. No
// scope allows everything.
func (s *scope) allows(component note.ID, on []note.ID) bool {
	if s == nil {
		return true
	}
	if len(on) > 0 && !slices.ContainsFunc(on, func(id note.ID) bool { return slices.Contains(s.families, id) }) {
		return false
	}
	return s.has[component]
}

// Modes are the modes that an appliance can have, by what it is and has; without
// one, all modes.
func (l *Library) Modes(ctx context.Context, appliance note.ID) (ids []note.ID, err error) {
	err = guard(func() error {
		s, err := l.scope(ctx, appliance)
		if err != nil {
			return err
		}
		titles, err := l.archive.List(note.KindMode)
		if err != nil {
			return err
		}
		for _, t := range titles {
			rec, err := l.archive.Get(t.ID)
			if err != nil {
				return err
			}
			if m, ok := rec.Entry.(*note.Mode); ok && s.allows(m.Component, m.On) {
				ids = append(ids, t.ID)
			}
		}
		return nil
	})
	return ids, err
}
