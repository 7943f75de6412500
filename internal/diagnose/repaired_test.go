package diagnose

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// threeSuspects are a, b and c, all of which show s; t1 tells of a, t2 of a and b.
func threeSuspects() (m Model, t1, t2 Test) {
	m = Model{
		Causes: []Cause{{"a", 0.05}, {"b", 0.02}, {"c", 0.02}},
		Shows:  []Link{{"a", "s", 0.9}, {"b", "s", 0.9}, {"c", "s", 0.9}},
		Leak:   map[ID]float64{"s": 1e-4},
	}
	yesNo := func(given map[ID]float64, otherwise float64) Test {
		not := map[ID]float64{}
		for id, p := range given {
			not[id] = 1 - p
		}
		return Test{Results: []Result{{Name: "bad", Given: given, Otherwise: otherwise}, {Name: "good", Given: not, Otherwise: 1 - otherwise}}}
	}
	return m, yesNo(map[ID]float64{"a": 0.95}, 0.02), yesNo(map[ID]float64{"a": 0.95, "b": 0.95}, 0.02)
}

// What was repaired explains no test that is done afterwards.
func TestATestAfterARepairIsNotExplainedByWhatWasRepaired(t *testing.T) {
	t.Parallel()
	m, t1, t2 := threeSuspects()
	e := findings(seen("s"))
	e.Outcomes = []Outcome{t1.Seen("t1", 0)}
	e.Cleared = []ID{"a"}
	before := of(t, posterior(t, m, e), "b").Probability

	p, err := m.Prospects(e, t2)
	require.NoError(t, err)
	assert.InDelta(t, 0.5, p[0].Probability, 0.1, "only b can make it bad now")

	bad := t2.Seen("t2", 0)
	bad.Cleared = []ID{"a"}
	e.Outcomes = append(e.Outcomes, bad)
	after := of(t, posterior(t, m, e), "b").Probability
	assert.InDelta(t, 0.5, before, 0.1)
	assert.Greater(t, after, 0.95)
}

// Steps are planned with what the beliefs say, also about what a repaired cause
// has led to.
func TestPlansAndBeliefsAgreeAfterARepair(t *testing.T) {
	t.Parallel()
	m, t1, _ := threeSuspects()
	m.Leads = []Link{{"a", "b", 0.3}}
	e := findings(seen("s"))
	e.Outcomes = []Outcome{t1.Seen("t1", 0)}
	e.Cleared = []ID{"a"}
	b := posterior(t, m, e)
	c, err := m.compile()
	require.NoError(t, err)
	sums := make([]float64, len(c.causes))
	for _, w := range c.worlds(c.chains(e), b, e.Cleared) {
		for _, i := range w.causes {
			sums[i] += w.p
		}
	}
	for _, id := range []ID{"b", "c"} {
		assert.InDelta(t, of(t, b, id).Probability, sums[c.at[id]], 0.01, id)
	}
}

func TestARepairedCauseIsNoExplanation(t *testing.T) {
	t.Parallel()
	m := Model{
		Causes: []Cause{{"a", 0.1}, {"b", 0.0001}},
		Shows:  []Link{{"a", "s", 0.9}, {"b", "s", 0.5}},
		Leak:   map[ID]float64{"s": 0.001},
	}
	e := findings(seen("s"))
	e.Cleared = []ID{"a"}
	b := posterior(t, m, e)
	assert.InDelta(t, 1, b.Other+of(t, b, "b").Probability, 0.001, "either b, or something that is not known")
}

// Odds that are higher for what is known beforehand are those of the mode itself;
// what it leads to becomes likelier with it.
func TestWhatIsKnownBeforehandReachesWhatItLeadsTo(t *testing.T) {
	t.Parallel()
	m := Model{Causes: []Cause{{"ice", 0.01}, {"burst", 0.05}}, Leads: []Link{{"ice", "burst", 0.5}}}
	usual := posterior(t, m, Evidence{})
	m.Times = map[ID]float64{"ice": 20}
	frost := posterior(t, m, Evidence{})
	assert.InDelta(t, 0.05, of(t, usual, "burst").Probability, near)
	assert.InDelta(t, 20*0.01/(1-0.01+20*0.01), of(t, frost, "ice").Probability, near)
	assert.Greater(t, of(t, frost, "burst").Probability, 0.1)
}

// Not only memory bounds exactness, work does too.
func TestAQuestionThatWouldTakeMinutesIsEstimated(t *testing.T) {
	t.Parallel()
	m := Model{Leak: map[ID]float64{}}
	var e Evidence
	const causes, symptoms = 60, 20
	for i := range causes {
		m.Causes = append(m.Causes, Cause{ID(rune('A' + i)), 0.02})
	}
	for s := range symptoms {
		id := ID(rune('a' + s))
		for i := range causes {
			if (i*i+s*s+i*s*7)%5 < 3 {
				m.Shows = append(m.Shows, Link{m.Causes[i].ID, id + "'", 0.3})
			}
		}
		m.Leak[id+"'"] = 0.001
		e.Findings = append(e.Findings, seen(id+"'"))
	}
	b := posterior(t, m, e)
	assert.NotNil(t, b.Approximate)
	for _, c := range b.Causes {
		assert.False(t, math.IsNaN(c.Probability))
	}
}

func TestEvidenceThatIsNoProbabilityIsSaid(t *testing.T) {
	t.Parallel()
	m, t1, _ := threeSuspects()
	t1.Results[0].Given["a"] = 1.7
	e := Evidence{Outcomes: []Outcome{t1.Seen("a test", 0)}}
	_, err := m.Posterior(e)
	assert.ErrorContains(t, err, `the figure of the result "bad" of "a test" for "a" is 1.7: a probability lies from 0 to 1`)
	_, err = m.Posterior(Evidence{Findings: []Finding{{Label: "x", Senses: []Sense{{ID: "s", Weight: -1}}}}})
	assert.ErrorContains(t, err, `the weight of the sense "s" of "x" is -1`)
}
