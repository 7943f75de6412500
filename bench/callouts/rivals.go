package main

import (
	"context"
	"fmt"
	"slices"

	"kg/internal/advise"
	"kg/internal/note"
)

// onLikeliest works on one cause at a time, the likeliest that can still be tested or
// mended: one of its tests, until it is as probable as from or its tests are done, and
// then its repair. Where none is as probable as enough any more, help is called.
func onLikeliest(from, enough float64, pick func(s *site, c advise.Cause, open []advise.TestMethod) (note.ID, error)) func(context.Context, *site) (step, error) {
	return func(ctx context.Context, s *site) (step, error) {
		a, err := s.ask(ctx, 1)
		if err != nil {
			return step{}, err
		}
		for _, c := range a.Causes {
			if c.Probability < enough {
				break
			}
			if c.Repair == nil || slices.Contains(s.q.Mended, c.Repair.Remedy) {
				continue
			}
			open := slices.DeleteFunc(slices.Clone(c.Tests), func(t advise.TestMethod) bool {
				return slices.ContainsFunc(s.q.Results, func(r advise.Tested) bool { return r.Test == t.Test })
			})
			if c.Probability >= from || len(open) == 0 {
				return step{remedy: c.Repair.Remedy}, nil
			}
			test, err := pick(s, c, open)
			return step{test: test}, err
		}
		return step{}, nil
	}
}

// cheapest is the test that takes least time.
func cheapest(_ *site, _ advise.Cause, open []advise.TestMethod) (note.ID, error) {
	best := open[0]
	for _, t := range open {
		if t.Minutes < best.Minutes {
			best = t
		}
	}
	return best.Test, nil
}

// mostTelling is the test with the result that speaks most for a cause: of the highest
// ratio between how often it is found with the cause and otherwise.
func mostTelling(s *site, c advise.Cause, open []advise.TestMethod) (note.ID, error) {
	best, most := open[0].Test, 0.0
	for _, m := range open {
		rec, err := s.lib.Entry(m.Test)
		if err != nil {
			return "", err
		}
		t, is := rec.Entry.(*note.Test)
		if !is {
			return "", fmt.Errorf("%s is not a test", m.Test)
		}
		for _, r := range advise.TestFigures(t).Results {
			if ratio := r.Given[id(c.Mode)] / max(r.Otherwise, 1e-3); ratio > most {
				best, most = m.Test, ratio
			}
		}
	}
	return best, nil
}
