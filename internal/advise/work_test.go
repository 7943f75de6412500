package advise

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/diagnose"
	"kg/internal/hear"
	"kg/internal/library"
	"kg/internal/library/librarytest"
	"kg/internal/note"
)

// atWork is the worker on a question, with what is believed and what can be done.
func atWork(t *testing.T, l *library.Library, q Question) (*worker, diagnose.Beliefs, *workbench) {
	t.Helper()
	var a Answer
	w, b, err := adviser{l}.weighed(t.Context(), q, &a)
	require.NoError(t, err)
	bench, err := w.workOn(t.Context(), b, q.Who)
	require.NoError(t, err)
	return w, b, bench
}

// A budget of work ends the thought, unless time was given for it; without either it is
// as long as the usual one.
func TestThoughtEndsByWorkOrByTime(t *testing.T) {
	t.Parallel()
	exact := func(q Question) bool {
		w, b, bench := atWork(t, gasHouse(t), q)
		d, err := w.decide(t.Context(), b, bench)
		require.NoError(t, err)
		return d.Exact
	}
	assert.False(t, exact(Question{Text: "no heat", Work: 1}))
	assert.True(t, exact(Question{Text: "no heat", Work: 1, Think: time.Minute}))
	assert.True(t, exact(Question{Text: "no heat"}))
}

// What somebody else has to come for costs their visit, two hours, beside what it costs
// whoever may do it.
func TestWhatTheAskerMayNotDoCostsAVisit(t *testing.T) {
	t.Parallel()
	cost := func(who ...note.Competence) float64 {
		_, _, bench := atWork(t, gasHouse(t), Question{Text: "no heat", Who: who, Work: 1})
		at := slices.IndexFunc(bench.Repairs, func(r diagnose.Repair) bool { return r.ID == repairID("change-hose", "boiler") })
		require.GreaterOrEqual(t, at, 0)
		return bench.Repairs[at].Cost
	}
	assert.InDelta(t, cost(), cost(note.Apprentice), 1e-9)
	assert.InDelta(t, cost()+120, cost(note.Householder), 1e-9)
}

// A step of which nearly all is the way into a state of the appliance, which is counted
// apart, costs a minute at the least.
func TestNoStepIsForNothing(t *testing.T) {
	t.Parallel()
	_, _, bench := atWork(t, librarytest.Shipped(t), Question{Text: "no heat or hot water", Work: 1})
	least := bench.Tests[0].Cost
	for _, m := range bench.Tests {
		least = min(least, m.Cost)
		assert.GreaterOrEqual(t, m.Cost, 1.0, m.ID)
	}
	assert.InDelta(t, 1, least, 1e-9, "the easiest look costs just that")
}

// Whoever may not do the best step is told of it.
func TestWhatALicensedColleagueWouldDoIsNamed(t *testing.T) {
	t.Parallel()
	l := librarytest.Shipped(t)
	named := 0
	for _, text := range []string{"no hot water but heating is fine", "boiler locks out after lighting", "no heat or hot water", "immersion heater not heating"} {
		n := askFor(t, l, Question{Text: text, Who: []note.Competence{note.Householder}, Work: 1}).Next
		free := askFor(t, l, Question{Text: text, Work: 1}).Next
		if n.Licensed == nil {
			assert.Equal(t, free.ID, n.ID, "%s: nobody would do anything else", text)
			continue
		}
		named++
		assert.Equal(t, free.ID, n.Licensed.ID, text)
		assert.NotEqual(t, n.ID, n.Licensed.ID, text)
	}
	assert.NotZero(t, named)
}

// A repair in a chart is drawn for a cause that it mends, and no cause is named any more
// of which all repairs were done in vain.
func TestAChartNamesTheCauseThatARepairMends(t *testing.T) {
	t.Parallel()
	l := gasHouse(t)
	c, err := Draw(t.Context(), l, "no-heat", Question{}, 6)
	require.NoError(t, err)
	repairs, exhausted := 0, 0
	var walk func(s *ChartStep, done []note.ID)
	walk = func(s *ChartStep, done []note.ID) {
		if s.Cause != "" {
			rec, err := l.Entry(s.Cause)
			require.NoError(t, err)
			mends := rec.Entry.(*note.Mode).Repair
			if s.Kind == StepRepair {
				repairs++
				assert.Contains(t, mends, s.ID)
			}
			left := slices.ContainsFunc(mends, func(id note.ID) bool { return !slices.Contains(done, id) })
			assert.True(t, left, "%s has no repair left after %v", s.Cause, done)
		}
		for _, b := range s.Branches {
			if s.Kind == StepRepair {
				exhausted++
				walk(b.Step, append(slices.Clip(done), s.ID))
				continue
			}
			walk(b.Step, done)
		}
	}
	walk(c.Start, nil)
	assert.NotZero(t, repairs)
	assert.NotZero(t, exhausted)
}

func TestReadingsStandInTheAnswer(t *testing.T) {
	t.Parallel()
	a := askFor(t, librarytest.Shipped(t), Question{
		Symptoms: []note.ID{"flow-rises-too-fast"}, Work: 1, Mended: []note.ID{"bleed-air"},
		Readings: []Read{{Test: "test-sensor-resistance", Figures: "10.4k at=24C"}, {Test: "test-sensor-resistance", Figures: "3.1k at=55C"}},
	})
	require.Len(t, a.Read, 2)
	assert.Equal(t, "healthy", a.Read[0].Verdict)
	assert.Len(t, a.Mended, 1, "what was done besides")
}

// A sense half as likely as the first is taken for a danger still; one that is less
// likely is not.
func TestASenseHalfAsLikelyCounts(t *testing.T) {
	t.Parallel()
	l := adviser{gasHouse(t)}
	in := func(weight float64) int {
		d, err := l.dangersIn(hear.Heard{Findings: []hear.Finding{{Present: true, Senses: []hear.Sense{
			{ID: "no-heat", Kind: note.KindSymptom, Score: 0.9, Weight: 0.6}, {ID: "gas-smell", Kind: note.KindSymptom, Score: 0.9, Weight: weight}}}}})
		require.NoError(t, err)
		return len(d)
	}
	assert.Equal(t, 1, in(0.3))
	assert.Equal(t, 0, in(0.29))
}
