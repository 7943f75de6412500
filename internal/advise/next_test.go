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
	"kg/internal/link"
	"kg/internal/note"
)

func askFor(t *testing.T, l *library.Library, q Question) Answer {
	t.Helper()
	a, err := Ask(t.Context(), l, q)
	require.NoError(t, err)
	return a
}

// Whatever is asked, nothing is next that the asker may not do.
func TestNothingIsNextThatTheAskerMayNotDo(t *testing.T) {
	t.Parallel()
	l := librarytest.Shipped(t)
	for text, appliance := range map[string]note.ID{
		"no hot water but heating is fine": "", "boiler locks out after lighting": "", "pressure climbs when hot": "", "no heat or hot water": "",
		"heat pump ices up": "", "immersion heater not heating": "", "tundish dripping": "unvented-cylinder-installation",
		"cut-out on the cylinder keeps tripping": "vented-cylinder-installation", "boiler locks out on overheat": "oil-boiler",
	} {
		s, err := l.Scope(t.Context(), appliance)
		require.NoError(t, err)
		for _, who := range note.Competences() {
			n := askFor(t, l, Question{Text: text, Appliance: appliance, Who: []note.Competence{who}, Work: 1}).Next
			require.NotNil(t, n, text)
			if n.Kind == StepTest || n.Kind == StepRepair {
				rec, err := l.Entry(n.ID)
				require.NoError(t, err)
				var work note.Work
				switch e := rec.Entry.(type) {
				case *note.Test:
					work = e.Work
				case *note.Remedy:
					work = e.Work
				}
				assert.Equal(t, s.Who(work), n.Who, "%s: who may on the appliance", n.ID)
				assert.True(t, n.Who.CoveredBy([]note.Competence{who}), "%s: %s may not do %s (%s)", text, who, n.ID, n.Who)
			}
		}
	}
}

// A part is next only when its cause is probable enough, or when nothing is left
// that would prove it for less than it costs.
func TestNoPartIsNextBeforeItsCauseIsProved(t *testing.T) {
	t.Parallel()
	l := librarytest.Shipped(t)
	symptoms, err := l.List(note.KindSymptom)
	require.NoError(t, err)
	parts := 0
	for i, s := range symptoms {
		if i%4 != 0 {
			continue
		}
		a := askFor(t, l, Question{Symptoms: []note.ID{s.ID}, Work: 1})
		if a.Stop != nil || a.Next == nil || a.Next.Kind != StepRepair {
			continue
		}
		rec, err := l.Entry(a.Next.ID)
		require.NoError(t, err)
		r := rec.Entry.(*note.Remedy)
		if len(r.Uses) == 0 {
			continue
		}
		parts++
		part, err := l.Price(r.Uses)
		require.NoError(t, err)
		sum, cheapest := 0.0, 1e9
		for _, c := range a.Causes {
			if c.Repair != nil && c.Repair.Remedy == r.ID {
				sum += c.Probability
				for _, method := range c.Tests {
					cheapest = min(cheapest, float64(method.Minutes))
				}
			}
		}
		assert.True(t, sum >= 0.89 || cheapest >= part*0.5, "%s: %s at %.2f, its cheapest test takes %.0f min and the part is worth %.0f", s.ID, r.ID, sum, cheapest, part)
	}
	t.Logf("%d of the symptoms lead straight to a part", parts)
}

func TestWhatIsKnownBeforehandBearsOnTheCauses(t *testing.T) {
	t.Parallel()
	l := librarytest.Shipped(t)
	place := func(q Question, mode note.ID) (int, float64) {
		a := askFor(t, l, q)
		i := slices.IndexFunc(a.Causes, func(c Cause) bool { return c.Mode == mode })
		if i < 0 {
			return len(a.Causes), 0
		}
		return i, a.Causes[i].Probability
	}
	q := Question{Text: "no heat or hot water", Appliance: "combination-boiler", Work: 1}
	_, usual := place(q, "condensate-pipe-frozen")
	q.Given = []note.Context{note.Frost}
	first, frost := place(q, "condensate-pipe-frozen")
	assert.Zero(t, first, "in frost the condensate pipe comes first: common practice, no source")
	assert.Greater(t, frost, 3*usual)
	q.Given = []note.Context{note.Summer}
	_, summer := place(q, "condensate-pipe-frozen")
	assert.Less(t, summer, usual/10)

	q = Question{Text: "pump hums but does not turn", Work: 1}
	_, before := place(q, "pump-capacitor-failed")
	q.WorkedOn = []note.ID{"pump"}
	_, after := place(q, "pump-capacitor-failed")
	assert.NotZero(t, before)
	assert.InDelta(t, before, after, 0.2, "all modes of the pump gain alike")

	_, err := Ask(t.Context(), l, Question{Text: "no heat", WorkedOn: []note.ID{"pumpe"}})
	var missing *library.NotFound
	require.ErrorAs(t, err, &missing)
	assert.Equal(t, note.ID("pump"), missing.Nearest)
}

func TestAResultMovesTheCausesAsTheNextStepForetold(t *testing.T) {
	t.Parallel()
	l := librarytest.Shipped(t)
	q := Question{Text: "no hot water but heating is fine", Appliance: "combination-boiler"}
	n := askFor(t, l, q).Next
	require.Equal(t, StepTest, n.Kind)
	likely := 0.0
	for _, r := range n.Results {
		likely += r.Likely
		q.Results = []Tested{{Test: n.ID, Result: r.Name}}
		a := askFor(t, l, q)
		assert.Equal(t, r.First, a.Causes[0].Mode, r.Name)
		assert.InDelta(t, r.Probability, a.Causes[0].Probability, 0.06, "the test brings causes of its own in")
		assert.NotEqual(t, n.ID, a.Next.ID, "it is not asked for again")
		assert.Equal(t, []TestedBefore{{n.ID, n.Name, r.Name}}, a.Tested)
	}
	assert.InDelta(t, 1, likely, 1e-9)
}

func TestLongerThoughtIsNotDearer(t *testing.T) {
	t.Parallel()
	l := librarytest.Shipped(t)
	quick := askFor(t, l, Question{Text: "boiler losing pressure"}).Next
	long := askFor(t, l, Question{Text: "boiler losing pressure", Think: 300 * time.Millisecond}).Next
	assert.LessOrEqual(t, long.ExpectedMinutes, 1.02*quick.ExpectedMinutes)
}

// Every path of a chart ends, its probabilities share out what led to them, and no
// step is asked for twice on one path.
func TestChartsAreWholeAndEnd(t *testing.T) {
	t.Parallel()
	l := librarytest.Shipped(t)
	for _, symptom := range []note.ID{"no-hot-water-heating-works", "kettling", "pressure-falls-over-days"} {
		c, err := Draw(t.Context(), l, symptom, Question{Appliance: "combination-boiler"}, 4)
		require.NoError(t, err)
		ends := 0.0
		var walk func(s *ChartStep, above []note.ID, depth int)
		walk = func(s *ChartStep, above []note.ID, depth int) {
			assert.LessOrEqual(t, depth, 4)
			if s.ID != "" {
				assert.NotContains(t, above, s.ID)
			}
			below := 0.0
			for _, b := range s.Branches {
				assert.InDelta(t, s.Reached*b.Likely, b.Step.Reached, 1e-9)
				below += b.Step.Reached
				walk(b.Step, append(slices.Clip(above), s.ID), depth+1)
			}
			ends += s.Reached - below
			assert.LessOrEqual(t, below, s.Reached+1e-9)
		}
		walk(c.Start, nil, 0)
		assert.InDelta(t, 1, ends, 1e-9)
	}
}

func TestAReadingIsJudgedWithTheDataOfTheComponent(t *testing.T) {
	t.Parallel()
	l := librarytest.Shipped(t)
	// The generic NTC of 10 kohm at 25 degrees C and B 3977 K by the beta equation of
	// IEC 60539-1: 10.46 kohm at 24 degrees C.
	j, err := Judge(l, Read{Test: "test-sensor-resistance", Figures: "10.4k at=24C"})
	require.NoError(t, err)
	assert.Equal(t, "healthy", j.Verdict)
	require.NotNil(t, j.Expected)
	assert.InDelta(t, 10460, *j.Expected, 10)
	j, err = Judge(l, Read{Test: "test-sensor-resistance", Figures: "OL at=24C"})
	require.NoError(t, err)
	assert.Equal(t, "open", j.Verdict)

	var none *NoReading
	_, err = Judge(l, Read{Test: "test-spur-fuse", Figures: "230V"})
	assert.ErrorAs(t, err, &none)
	var missing *library.NotFound
	_, err = Judge(l, Read{Test: "test-sensor-resistanc", Figures: "10k"})
	require.ErrorAs(t, err, &missing)
	assert.Equal(t, note.ID("test-sensor-resistance"), missing.Nearest)
}

// A reading far off speaks for what has drifted; the next one, right under another
// condition, takes it back in part: it is the same part.
func TestReadingsOfOnePartCombine(t *testing.T) {
	t.Parallel()
	l := librarytest.Shipped(t)
	drifted := func(figures ...string) float64 {
		q := Question{Symptoms: []note.ID{"flow-rises-too-fast"}, Appliance: "combination-boiler", Work: 1, Most: 40}
		for _, f := range figures {
			q.Readings = append(q.Readings, Read{Test: "test-sensor-resistance", Figures: f})
		}
		p := 0.0
		for _, c := range askFor(t, l, q).Causes {
			if c.Mode == "flow-temperature-sensor-drifted" {
				p = c.Probability
			}
		}
		return p
	}
	none, off := drifted(), drifted("7k at=25C")
	assert.Greater(t, off, none)
	assert.Less(t, drifted("10k at=25C"), none+1e-9)
	assert.Greater(t, drifted("7k at=25C", "2.5k at=50C"), off*0.9, "off by the same part twice")
}

// A mode with a second repair stays a suspect until that was tried too.
func TestASecondRepairIsTriedAfterTheFirst(t *testing.T) {
	t.Parallel()
	l := librarytest.Shipped(t)
	rec, err := l.Entry("expansion-vessel-lost-charge")
	require.NoError(t, err)
	repairs := rec.Entry.(*note.Mode).Repair
	require.Len(t, repairs, 2)
	q := Question{Text: "pressure climbs when hot and drops when cold", Work: 1, Mended: repairs[:1]}
	a := askFor(t, l, q)
	i := slices.IndexFunc(a.Causes, func(c Cause) bool { return c.Mode == "expansion-vessel-lost-charge" })
	require.GreaterOrEqual(t, i, 0)
	q.Mended = repairs
	a = askFor(t, l, q)
	assert.False(t, slices.ContainsFunc(a.Causes, func(c Cause) bool { return c.Mode == "expansion-vessel-lost-charge" }))
}

// What is not there speaks against every mode that would show it, however the mode
// came into the question.
func TestWhatIsAbsentSpeaksAgainstAllThatWouldShowIt(t *testing.T) {
	t.Parallel()
	l := librarytest.Shipped(t)
	said := []hear.Finding{
		{Present: true, Senses: []hear.Sense{{ID: "all-radiators-lukewarm", Kind: note.KindSymptom, Weight: 1}}},
		{Senses: []hear.Sense{{ID: "pressure-climbs-hot", Kind: note.KindSymptom, Weight: 1}}},
	}
	n, err := adviser{l}.around(t.Context(), said, diagnose.Evidence{}, nil)
	require.NoError(t, err)
	checked := 0
	for id, m := range n.modes {
		if m == nil {
			continue
		}
		edges, err := l.Out(t.Context(), id, link.Shows)
		require.NoError(t, err)
		for _, e := range edges {
			if e.To == "pressure-climbs-hot" {
				checked++
				assert.True(t, slices.ContainsFunc(m.shows, func(x link.Edge) bool { return x.To == e.To }), id)
			}
		}
	}
	assert.NotZero(t, checked)
}

func TestTheSameThingSaidTwiceCountsOnce(t *testing.T) {
	t.Parallel()
	l := librarytest.Shipped(t)
	first := func(q Question) float64 { return askFor(t, l, q).Causes[0].Probability }
	once := first(Question{Symptoms: []note.ID{"no-pressure-rise-on-pump-start"}, Work: 1})
	twice := first(Question{Symptoms: []note.ID{"no-pressure-rise-on-pump-start", "no-pressure-rise-on-pump-start"}, Work: 1})
	assert.InDelta(t, once, twice, 1e-12)
	q := Question{Symptoms: []note.ID{"no-pressure-rise-on-pump-start"}, Work: 1}
	q.Results = []Tested{{Test: "test-pressure-sensor-drained", Result: "1"}}
	tested := first(q)
	q.Results = append(q.Results, q.Results[0])
	assert.InDelta(t, tested, first(q), 1e-12)
}

// A part that a cause names fits the appliance that was asked about.
func TestPartsOfCausesFitTheAppliance(t *testing.T) {
	t.Parallel()
	l := librarytest.Shipped(t)
	found := 0
	for appliance, maker := range map[note.ID]string{"skerry-c24": "Skerryfold", "tholen-combi-30": "Tarn & Thole", "hollin-combi-25": "Hollin Works", "anvil-combi-27": "Brae Anvil"} {
		for _, words := range []string{"no hot water but heating is fine", "pressure not rising on pump start", "pump hums and nothing gets warm", "clicks but does not light"} {
			a, err := Ask(t.Context(), l, Question{Text: words, Appliance: appliance})
			require.NoError(t, err)
			for _, c := range a.Causes {
				for _, p := range c.Parts {
					found++
					assert.Equal(t, maker, p.Maker, "%s on %s", p.Number, appliance)
				}
			}
		}
	}
	assert.Greater(t, found, 20)
}
