package advise

import (
	"context"
	"errors"
	"slices"

	"kg/internal/archive"
	"kg/internal/cost"
	"kg/internal/diagnose"
	"kg/internal/library"
	"kg/internal/note"
	"kg/internal/signal"
)

// plannedCauses is how many of the likeliest causes next steps are looked for.
const plannedCauses = 16

// ordinary is the competence of whoever needs no licence.
var ordinary = []note.Competence{note.HeatingEngineer}

// workbench is what can be done about some causes, and the notes of it.
type workbench struct {
	diagnose.Work
	tests map[note.ID]*note.Test
	// repairs are the remedies by what they are done to, and component is that.
	repairs   map[diagnose.ID]*note.Remedy
	component map[diagnose.ID]note.ID
	// beyond is set when something was left out because the asker may not do it;
	// called are the repairs that someone else has to come for.
	beyond bool
	called map[diagnose.ID]bool
	// first is how the appliance is got to be as a test needs it, where it is not.
	first map[note.ID][]note.Preparation
}

// repairID names a remedy done to a component.
func repairID(remedy, component note.ID) diagnose.ID {
	return remedy + " " + component
}

// workOn gathers the tests of the likeliest causes, as far as someone may do
// them, and their first repairs: for those that they may not do, somebody has to
// come.
func (w *worker) workOn(ctx context.Context, b diagnose.Beliefs, who []note.Competence) (*workbench, error) {
	out := &workbench{tests: map[note.ID]*note.Test{}, repairs: map[diagnose.ID]*note.Remedy{}, component: map[diagnose.ID]note.ID{}, called: map[diagnose.ID]bool{}, first: map[note.ID][]note.Preparation{}}
	out.Call, out.Again = w.question.Costs.Of(cost.Call), w.question.Costs.Of(cost.Visit)
	dangers := stand(w.dangers, w.question.Safe, w.record)
	is := w.is.after(w.record)
	var prepared []note.Preparation
	needs := func(list []note.Preparation) (places []int, minutes float64) {
		for i, p := range list {
			if slices.Contains(list[:i], p) {
				continue
			}
			at := slices.Index(prepared, p)
			if at < 0 {
				at = len(prepared)
				prepared = append(prepared, p)
				out.Preparations = append(out.Preparations, w.question.Costs.Of(cost.Name(p)))
			}
			places = append(places, at)
			minutes += out.Preparations[at]
		}
		return places, minutes
	}
	for _, cause := range b.Causes[:min(len(b.Causes), plannedCauses)] {
		if cause.Probability < leastProbable || slices.Contains(w.evidence.Cleared, cause.ID) {
			continue
		}
		m := w.modes[cause.ID].mode
		for _, id := range m.SettledBy {
			if out.tests[id] != nil || w.record.has(id) || slices.Contains(w.told, id) {
				continue
			}
			t, _, err := w.Test(id)
			if err != nil {
				return nil, err
			}
			if t == nil || len(barring(t.Work, dangers)) > 0 {
				continue
			}
			first, possible := is.reach(t.Requires())
			if !possible {
				continue
			}
			if !mayDo(who, w.scope.Who(t.Work)) {
				out.beyond = true
				continue
			}
			risk, err := Risk(w.Library, id, w.question.Costs)
			if err != nil {
				return nil, err
			}
			figures, err := w.testFigures(ctx, t)
			if err != nil {
				return nil, err
			}
			_, prep := needs(t.Prepare)
			places, _ := needs(slices.Concat(t.Prepare, first))
			out.tests[id] = t
			out.first[id] = first
			out.Tests = append(out.Tests, diagnose.Method{Test: figures, Cost: max(w.question.Costs.Of(cost.Step), float64(t.Minutes)-prep) + risk, Needs: places})
		}
		passed, err := w.outOfTheQuestion(m, dangers, is)
		if err != nil {
			return nil, err
		}
		r, err := w.FirstRepair(m, passed)
		if err != nil {
			return nil, err
		}
		if r == nil {
			continue
		}
		// One remedy may be done to several components: each is a repair of its own.
		repair := repairID(r.ID, m.Component)
		if at := slices.IndexFunc(out.Repairs, func(d diagnose.Repair) bool { return d.ID == repair }); at >= 0 {
			d := &out.Repairs[at]
			d.Mends = append(d.Mends, cause.ID)
			d.Settles = append(slices.Clone(d.Settles), m.SettledBy...)
			continue
		}
		risk, err := Risk(w.Library, r.ID, w.question.Costs)
		if err != nil {
			return nil, err
		}
		part, err := w.Price(r.Uses)
		if err != nil {
			return nil, err
		}
		visit := 0.0
		if !mayDo(who, w.scope.Who(r.Work)) {
			out.beyond = true
			out.called[repair] = true
			visit = w.question.Costs.Of(cost.Visit)
		}
		wrong := 0.0
		if part > 0 {
			wrong = w.question.Costs.Of(cost.WrongPart)
		}
		places, prep := needs(r.Prepare)
		out.repairs[repair] = r
		out.component[repair] = m.Component
		out.Repairs = append(out.Repairs, diagnose.Repair{
			ID: repair, Mends: []diagnose.ID{cause.ID}, Cost: max(w.question.Costs.Of(cost.Step), float64(r.Minutes)-prep) + risk + part + visit,
			Part: part, Wrong: wrong, Needs: places, Guarded: !w.scope.Who(r.Work).CoveredBy(ordinary), Settles: m.SettledBy,
		})
	}
	return out, nil
}

// outOfTheQuestion are the repairs of a mode that were tried in vain, that a danger
// forbids, or that the appliance cannot be got ready for.
func (w *worker) outOfTheQuestion(m *note.Mode, dangers []standing, is state) ([]note.ID, error) {
	out := w.record.tried()
	if len(dangers) == 0 && len(is) == 0 {
		return out, nil
	}
	for _, id := range m.Repair {
		rec, err := w.Get(id)
		if errors.Is(err, archive.ErrNotFound) {
			continue // left out of the library
		}
		if err != nil {
			return nil, err
		}
		r, ok := rec.Entry.(*note.Remedy)
		if !ok {
			continue
		}
		// What a repair is prepared by may come after it: only what it needs counts.
		if _, possible := is.reach(r.Needs); !possible || len(barring(r.Work, dangers)) > 0 {
			out = append(slices.Clip(out), id)
		}
	}
	return out, nil
}

// clear notes that causes are no more what the trouble comes from, once all their
// repairs were tried: now, and by the time of each test.
func (w *worker) clear() error {
	cleared := func(mended []note.ID) ([]diagnose.ID, error) {
		var out []diagnose.ID
		for _, id := range w.known() {
			m := w.modes[id].mode
			if !slices.ContainsFunc(m.Repair, func(r note.ID) bool { return slices.Contains(mended, r) }) {
				continue
			}
			left, err := w.FirstRepair(m, mended)
			if err != nil {
				return nil, err
			}
			if left == nil {
				out = append(out, id)
			}
		}
		return out, nil
	}
	var err error
	for i, f := range w.record.results { // readings come after them and are of parts, not of the whole
		if w.evidence.Outcomes[i].Cleared, err = cleared(f.After); err != nil {
			return err
		}
	}
	w.evidence.Cleared, err = cleared(w.record.tried())
	return err
}

// mayDo reports whether somebody with some competences may do a piece of work; none
// stands for anybody.
func mayDo(who []note.Competence, work note.Who) bool {
	return len(who) == 0 || work.CoveredBy(who)
}

// Risk is the price of what can happen to whoever does a test or a remedy, in minutes of
// paid work.
func Risk(lib *library.Library, id note.ID, costs cost.Costs) (float64, error) {
	alerts, err := lib.Alerts(id)
	sum := 0.0
	for _, a := range alerts {
		switch a.Level {
		case signal.Danger:
			sum += costs.Of(cost.Danger)
		case signal.Warning:
			sum += costs.Of(cost.Warning)
		}
	}
	return sum, err
}
