package library

import (
	"context"
	"slices"

	"kg/internal/link"
	"kg/internal/note"
)

// Scope is one appliance with all that it is and has. A nil scope stands for any.
type Scope struct {
	ID       note.ID
	Name     string
	Families []note.ID // itself and the families above it
	// has are the components that it has, with the share of such appliances that do: 1
	// for what it has for certain.
	has map[note.ID]float64
}

// Scope returns what an appliance is and has, by inheritance; nil for no
// appliance.
func (l *Library) Scope(ctx context.Context, id note.ID) (*Scope, error) {
	if id == "" {
		return nil, nil
	}
	rec, err := l.OfKind(id, "appliance", note.KindAppliance)
	if err != nil {
		return nil, err
	}
	s := &Scope{ID: id, Name: rec.Entry.Head().Name, has: map[note.ID]float64{}}
	if s.Families, err = link.Closure(ctx, l, id, link.IsA); err != nil {
		return nil, err
	}
	all, err := link.Closure(ctx, l, id, link.IsA, link.Has)
	if err != nil {
		return nil, err
	}
	for _, id := range all {
		s.has[id] = 1
	}
	for _, family := range s.Families {
		edges, err := l.Out(ctx, family, link.MayHave)
		if err != nil {
			return nil, err
		}
		for _, e := range edges {
			within, err := link.Closure(ctx, l, e.To, link.IsA, link.Has)
			if err != nil {
				return nil, err
			}
			for _, id := range within {
				s.has[id] = max(s.has[id], e.Figure.Stated)
			}
		}
	}
	return s, nil
}

// Allows reports whether a mode can be had on the appliance. No scope allows
// everything.
func (s *Scope) Allows(m *note.Mode) bool {
	if s == nil {
		return true
	}
	if len(m.On) > 0 && !slices.ContainsFunc(m.On, func(id note.ID) bool { return slices.Contains(s.Families, id) }) {
		return false
	}
	return s.has[m.Component] > 0
}

// Who is who may do some work on the appliance.
func (s *Scope) Who(w note.Work) note.Who {
	if s == nil {
		return w.WhoOf(nil)
	}
	return w.WhoOf(s.Families)
}

// Modes are the modes that an appliance can have, by what it is and has; without
// one, all modes.
func (l *Library) Modes(s *Scope) ([]*note.Mode, error) {
	titles, err := l.List(note.KindMode)
	if err != nil {
		return nil, err
	}
	var out []*note.Mode
	for _, t := range titles {
		rec, err := l.Get(t.ID)
		if err != nil {
			return nil, err
		}
		if m, ok := rec.Entry.(*note.Mode); ok && s.Allows(m) {
			out = append(out, m)
		}
	}
	return out, nil
}

// highestRate bounds a base rate that is raised.
const highestRate = 0.5

// RateOn is the base rate of a mode on an appliance: the library holds it among
// visits of all kinds, and so many appliances like this one have the component.
func (l *Library) RateOn(ctx context.Context, s *Scope, m *note.Mode) (link.Rate, error) {
	rate, err := l.Rate(ctx, m.ID)
	if err != nil || s == nil {
		return rate, err
	}
	rec, err := l.Get(m.Component)
	if err != nil {
		return rate, err
	}
	c, ok := rec.Entry.(*note.Component)
	if !ok {
		return rate, nil
	}
	fitted := c.Fitted.P
	if fitted == 0 {
		fitted = 1
	}
	rate.Figure.Used = min(highestRate, float64(rate.Figure.Used*s.has[m.Component])/fitted)
	return rate, nil
}
