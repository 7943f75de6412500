package main

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"

	"kg/internal/advise"
	"kg/internal/cost"
	"kg/internal/library/disk"
	"kg/internal/note"
)

// The price of a part that has none, in minutes of paid work, and how long anybody tries.
// Work costs what it does in advice.
const (
	unpriced  = 60
	mostSteps = 25
)

// outcome is what a simulated call-out came to.
type outcome struct {
	minutes float64 // of work, and of the way of whoever is called for
	parts   float64 // in minutes of paid work
	risk    float64 // the price of what could have happened, in the same
	tests   int
	first   bool // the first repair was right
	solved  bool
	wrong   int     // results that were wrong
	bits    float64 // the worst conflict that was seen
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
	bits    float64   // the worst conflict that was seen
	wrong   []note.ID // the modes that are there
}

// ask is the answer here, with some budget for the next step.
func (s *site) ask(ctx context.Context, budget int) (advise.Answer, error) {
	key := fmt.Sprint(s.q.Appliance, s.q.Symptoms, s.q.Results, s.q.Mended, budget)
	if a, known := s.answers[key]; known {
		return a, nil
	}
	q := s.q
	q.Work, q.Most = budget, 12
	a, err := advise.Ask(ctx, s.lib.Library, q)
	if err == nil {
		s.answers[key] = a
	}
	return a, err
}

// planned does what is advised.
var planned = engineer{"next step", func(ctx context.Context, s *site) (step, error) {
	a, err := s.ask(ctx, s.budget)
	if err != nil || a.Next == nil {
		return step{}, err
	}
	for _, c := range a.Conflicts {
		s.bits = max(s.bits, c.Bits)
	}
	switch a.Next.Kind {
	case advise.StepTest:
		return step{test: a.Next.ID}, nil
	case advise.StepRepair:
		return step{remedy: a.Next.ID}, nil
	}
	return step{}, nil
}}

// engineers are all ways of working, what is advised first. The simple ones are tried
// with several thresholds, of which the best counts.
func engineers() []engineer {
	out := []engineer{planned}
	for _, from := range []float64{0.3, 0.5, 0.7} {
		for _, enough := range []float64{0.05, 0.1, 0.2} {
			out = append(out, engineer{fmt.Sprintf("likeliest cause, cheapest test, repair from %.1f, help below %.2f", from, enough), onLikeliest(from, enough, cheapest)})
		}
		out = append(out, engineer{fmt.Sprintf("likeliest cause, most telling test, repair from %.1f, help below 0.10", from), onLikeliest(from, 0.1, mostTelling)})
	}
	return append(out, engineer{"fixed order of the notes", fixedOrder}, engineer{allKnowing, mendsWhatIsWrong})
}

// allKnowing is the name of who knows what is wrong: a bound for all others.
const allKnowing = "knows what is wrong (a bound)"

// mendsWhatIsWrong repairs what is there, and calls for help where that is nothing known.
func mendsWhatIsWrong(_ context.Context, s *site) (step, error) {
	for _, id := range s.wrong {
		rec, err := s.lib.Entry(id)
		if err != nil {
			return step{}, err
		}
		repair := rec.Entry.(*note.Mode).Repair[0]
		if !slices.Contains(s.q.Mended, repair) {
			return step{remedy: repair}, nil
		}
	}
	return step{}, nil
}

// fixedOrder goes through the usual causes of what was told that the appliance can
// have, in the order of the notes, which is that of their shares: the first test of
// each, and its repair if the test speaks for it.
func fixedOrder(ctx context.Context, s *site) (step, error) {
	scope, err := s.lib.Scope(ctx, s.q.Appliance)
	if err != nil {
		return step{}, err
	}
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
			if !scope.Allows(m) || len(m.Repair) == 0 || slices.Contains(s.q.Mended, m.Repair[0]) {
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
func (e engineer) work(ctx context.Context, s *site, w world, c callout, r *rand.Rand) (out outcome, err error) {
	left := slices.Clone(c.modes)
	s.q.Symptoms, s.q.Results, s.q.Mended = c.told, nil, nil
	repairs := 0
	there := prepared{}
	s.bits, s.wrong = 0, c.modes
	defer func() { out.bits = s.bits }()
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
			out.minutes += there.work(t.Minutes, t.Prepare)
			if err := s.risks(&out, t.ID); err != nil {
				return out, err
			}
			out.tests++
			found, err := w.find(r, t, left)
			if err != nil {
				return out, err
			}
			if n := len(t.Results); r.Float64() < w.slips && n > 1 {
				found = (found + 1 + r.IntN(n-1)) % n
				out.wrong++
			}
			s.q.Results = append(slices.Clip(s.q.Results), advise.Tested{Test: t.ID, Result: t.Results[found].Name})
		case next.remedy != "":
			m, parts, err := remedy(s.lib, next.remedy)
			if err != nil {
				return out, err
			}
			right, rest, err := mend(s.lib, m.ID, left)
			if err != nil {
				return out, err
			}
			out.minutes += there.work(m.Minutes, m.Prepare)
			if err := s.risks(&out, m.ID); err != nil {
				return out, err
			}
			out.parts += parts
			if !right && parts > 0 {
				out.minutes += cost.Costs{}.Of(cost.WrongPart)
			}
			repairs++
			out.first = out.first || repairs == 1 && right
			left = rest
			if !w.still(c, left) {
				out.solved = true
				return out, nil
			}
			s.q.Mended = append(slices.Clip(s.q.Mended), next.remedy)
		default:
			return s.help(out, left)
		}
	}
	return s.help(out, left)
}

// help is called: somebody finds what is left, and mends it.
func (s *site) help(out outcome, left []note.ID) (outcome, error) {
	out.minutes += cost.Costs{}.Of(cost.Call)
	for _, id := range left {
		rec, err := s.lib.Entry(id)
		if err != nil {
			return out, err
		}
		m, parts, err := remedy(s.lib, rec.Entry.(*note.Mode).Repair[0])
		if err != nil {
			return out, err
		}
		out.minutes, out.parts = out.minutes+float64(m.Minutes), out.parts+parts
		if err := s.risks(&out, m.ID); err != nil {
			return out, err
		}
	}
	return out, nil
}

// risks adds the price of what can happen in a step.
func (s *site) risks(out *outcome, step note.ID) error {
	price, err := advise.Risk(s.lib.Library, step, cost.Costs{})
	out.risk += price
	return err
}

// prepared are the states that the appliance was brought into.
type prepared map[note.Preparation]bool

// work is what a step takes: of its time that is the way into states of the appliance,
// what was not done for an earlier one.
func (p prepared) work(minutes int, states []note.Preparation) float64 {
	all, open := 0.0, 0.0
	for _, s := range states {
		all += cost.Costs{}.Of(cost.Name(s))
		if !p[s] {
			open += cost.Costs{}.Of(cost.Name(s))
		}
		p[s] = true
	}
	return max(1, float64(minutes)-all) + open
}

// remedy is what a repair is, with the price of its parts in minutes of paid work.
func remedy(lib *disk.Library, id note.ID) (*note.Remedy, float64, error) {
	rec, err := lib.Entry(id)
	if err != nil {
		return nil, 0, err
	}
	m, is := rec.Entry.(*note.Remedy)
	if !is {
		return nil, 0, fmt.Errorf("%s is not a remedy", id)
	}
	parts := 0.0
	for _, part := range m.Uses {
		price := unpriced
		if rec, err := lib.Entry(part); err == nil {
			if c, ok := rec.Entry.(*note.Component); ok && c.Price > 0 {
				price = c.Price
			}
		}
		parts += float64(price)
	}
	return m, parts, nil
}

// mend does a repair: whether it mended anything, and what is left.
func mend(lib *disk.Library, remedy note.ID, modes []note.ID) (right bool, left []note.ID, err error) {
	for _, mode := range modes {
		rec, err := lib.Entry(mode)
		if err != nil {
			return false, nil, err
		}
		if slices.Contains(rec.Entry.(*note.Mode).Repair, remedy) {
			right = true
		} else {
			left = append(left, mode)
		}
	}
	return right, left, nil
}

func applianceName(id note.ID) string { return strings.ReplaceAll(string(id), "-", " ") }
