package main

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"

	"kg/internal/advise"
	"kg/internal/library/disk"
	"kg/internal/note"
)

// What work costs in this simulation, in minutes, as the library weighs it but
// for the price of risk.
const (
	callFor    = 360
	unpriced   = 60
	mostSteps  = 25
	confidence = 0.9
)

// outcome is what a simulated call-out came to.
type outcome struct {
	minutes float64
	tests   int
	first   bool // the first repair was right
	solved  bool
}

// engineer is a way of working.
type engineer struct {
	name string
	next func(ctx context.Context, s *site) (step, error)
}

// step is what an engineer does: a test or a remedy; neither is a call for help.
type step struct {
	test, remedy note.ID
}

// site is where an engineer works: what is known, and what was asked before at
// such a point.
type site struct {
	lib     *disk.Library
	budget  int
	q       advise.Question
	answers map[string]advise.Answer
}

func (s *site) ask(ctx context.Context) (advise.Answer, error) {
	key := fmt.Sprint(s.q.Appliance, s.q.Symptoms, s.q.Results, s.q.Mended)
	if a, known := s.answers[key]; known {
		return a, nil
	}
	q := s.q
	q.Work, q.Most = s.budget, 12
	a, err := advise.Ask(ctx, s.lib.Library, q)
	if err == nil {
		s.answers[key] = a
	}
	return a, err
}

var engineers = []engineer{
	{"next step", func(ctx context.Context, s *site) (step, error) {
		a, err := s.ask(ctx)
		if err != nil || a.Next == nil {
			return step{}, err
		}
		switch a.Next.Kind {
		case "test":
			return step{test: a.Next.ID}, nil
		case "repair":
			return step{remedy: a.Next.ID}, nil
		}
		return step{}, nil
	}},
	{"most likely part first", func(ctx context.Context, s *site) (step, error) {
		a, err := s.ask(ctx)
		if err != nil {
			return step{}, err
		}
		for _, c := range a.Causes {
			if c.Repair != nil && !slices.Contains(s.q.Mended, c.Repair.Remedy) {
				return step{remedy: c.Repair.Remedy}, nil
			}
		}
		return step{}, nil
	}},
	{"fixed order of the notes", fixedOrder},
}

// fixedOrder goes through the usual causes of what was told in the order of the
// notes: the first test of each, and its repair if the test speaks for it.
func fixedOrder(_ context.Context, s *site) (step, error) {
	for _, symptom := range s.q.Symptoms {
		rec, err := s.lib.Entry(symptom)
		if err != nil {
			return step{}, err
		}
		for _, usual := range rec.Entry.(*note.Symptom).UsualCauses {
			rec, err := s.lib.Entry(usual.To)
			if err != nil {
				return step{}, err
			}
			m := rec.Entry.(*note.Mode)
			if len(m.Repair) == 0 || slices.Contains(s.q.Mended, m.Repair[0]) {
				continue
			}
			if len(m.SettledBy) == 0 {
				return step{remedy: m.Repair[0]}, nil
			}
			test := m.SettledBy[0]
			at := slices.IndexFunc(s.q.Results, func(r advise.Tested) bool { return r.Test == test })
			if at < 0 {
				return step{test: test}, nil
			}
			speaks, err := speaksFor(s.lib, s.q.Results[at], m.ID)
			if err != nil {
				return step{}, err
			}
			if speaks {
				return step{remedy: m.Repair[0]}, nil
			}
		}
	}
	return step{}, nil
}

// speaksFor reports whether a result is likelier with a mode than without.
func speaksFor(lib *disk.Library, r advise.Tested, mode note.ID) (bool, error) {
	rec, err := lib.Entry(r.Test)
	if err != nil {
		return false, err
	}
	t := rec.Entry.(*note.Test)
	at := slices.IndexFunc(t.Results, func(x note.Result) bool { return x.Name == r.Result })
	figures := advise.TestFigures(t)
	return figures.Results[at].Given[id(mode)] > figures.Results[at].Otherwise, nil
}

// work lets an engineer work on a call-out until it is solved.
func (e engineer) work(ctx context.Context, s *site, w world, c callout, r *rand.Rand) (outcome, error) {
	var out outcome
	left := slices.Clone(c.modes)
	s.q.Symptoms, s.q.Results, s.q.Mended = c.told, nil, nil
	repairs := 0
	for range mostSteps {
		next, err := e.next(ctx, s)
		if err != nil {
			return out, err
		}
		switch {
		case next.test != "":
			rec, err := s.lib.Entry(next.test)
			if err != nil {
				return out, err
			}
			t := rec.Entry.(*note.Test)
			out.minutes += float64(t.Minutes)
			out.tests++
			found, err := find(r, t, left)
			if err != nil {
				return out, err
			}
			s.q.Results = append(slices.Clip(s.q.Results), advise.Tested{Test: t.ID, Result: t.Results[found].Name})
		case next.remedy != "":
			right, cost, rest, err := mend(s.lib, next.remedy, left)
			if err != nil {
				return out, err
			}
			out.minutes += cost
			repairs++
			out.first = out.first || repairs == 1 && right
			left = rest
			if !w.still(left, c.told) {
				out.solved = true
				return out, nil
			}
			s.q.Mended = append(slices.Clip(s.q.Mended), next.remedy)
		default:
			out.minutes += callFor
			return out, nil
		}
	}
	out.minutes += callFor
	return out, nil
}

// mend does a repair: whether it mended anything, what it cost, and what is left.
func mend(lib *disk.Library, remedy note.ID, modes []note.ID) (right bool, cost float64, left []note.ID, err error) {
	rec, err := lib.Entry(remedy)
	if err != nil {
		return false, 0, nil, err
	}
	m := rec.Entry.(*note.Remedy)
	cost = float64(m.Minutes)
	for _, part := range m.Uses {
		price := unpriced
		if rec, err := lib.Entry(part); err == nil {
			if c, ok := rec.Entry.(*note.Component); ok && c.Price > 0 {
				price = c.Price
			}
		}
		cost += float64(price)
	}
	for _, mode := range modes {
		rec, err := lib.Entry(mode)
		if err != nil {
			return false, 0, nil, err
		}
		if slices.Contains(rec.Entry.(*note.Mode).Repair, remedy) {
			right = true
		} else {
			left = append(left, mode)
		}
	}
	return right, cost, left, nil
}

func applianceName(id note.ID) string { return strings.ReplaceAll(string(id), "-", " ") }
