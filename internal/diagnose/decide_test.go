package diagnose

import (
	"context"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"kg/internal/diagnose/plan"
)

func decide(t require.TestingT, m Model, e Evidence, w Work, confidence float64) Decision {
	d, err := m.Decide(context.Background(), e, posterior(t, m, e), w, confidence, plan.Budget{})
	require.NoError(t, err)
	require.NotEmpty(t, d.Options)
	return d
}

// twoSuspects is a model of two causes of one symptom, and what can be done: one
// test that tells them apart, and a repair for each. Made up.
func twoSuspects() (Model, Work) {
	m := Model{
		Causes: []Cause{{"sensor", 0.03}, {"pump", 0.02}},
		Shows:  []Link{{"sensor", "flat", 0.9}, {"pump", "flat", 0.9}},
		Leak:   map[ID]float64{"flat": 1e-4},
	}
	turns := Test{ID: "turn it", Results: []Result{
		{Name: "stands", Given: map[ID]float64{"pump": 0.98}, Otherwise: 0.02},
		{Name: "turns", Given: map[ID]float64{"pump": 0.02}, Otherwise: 0.98},
	}}
	return m, Work{
		Tests: []Method{{Test: turns, Cost: 10}},
		Repairs: []Repair{
			{ID: "new sensor", Mends: []ID{"sensor"}, Cost: 90, Part: 50, Settles: []ID{"turn it"}},
			{ID: "new pump", Mends: []ID{"pump"}, Cost: 150, Part: 100, Settles: []ID{"turn it"}},
		},
		Call: 500,
	}
}

func TestATestThatTellsSuspectsApartComesBeforeAPart(t *testing.T) {
	t.Parallel()
	m, w := twoSuspects()
	d := decide(t, m, findings(seen("flat")), w, 0)
	assert.Equal(t, ID("turn it"), d.Options[0].ID)
	assert.False(t, d.Options[0].Repair)

	e := findings(seen("flat"))
	e.Outcomes = []Outcome{w.Tests[0].Seen("turn it", 0)}
	w.Tests = nil
	d = decide(t, m, e, w, 0)
	assert.Equal(t, Choice{"new pump", true, d.Options[0].Cost}, d.Options[0])
}

func TestNoPartBeforeItsCauseIsProvedUnlessTheTestIsDearer(t *testing.T) {
	t.Parallel()
	m, w := twoSuspects()
	e := findings(seen("flat"))
	advised := func(d Decision, id ID) bool {
		return slices.ContainsFunc(d.Options, func(c Choice) bool { return c.ID == id })
	}
	assert.False(t, advised(decide(t, m, e, w, 0), "new sensor"), "neither is at nine in ten")
	assert.True(t, advised(decide(t, m, e, w, 0.5), "new sensor"), "the sensor is at three in five")

	dear := w
	dear.Tests = []Method{{Test: w.Tests[0].Test, Cost: 95}}
	assert.True(t, advised(decide(t, m, e, dear, 0), "new sensor"), "part and work cost 90")
	assert.False(t, advised(decide(t, m, e, dear, 0), "new pump"), "part and work cost 150")
	dear.Repairs = slices.Clone(w.Repairs)
	dear.Repairs[0].Wrong = 20
	assert.False(t, advised(decide(t, m, e, dear, 0), "new sensor"), "being wrong costs 110")

	free := w
	free.Repairs = slices.Clone(w.Repairs)
	free.Repairs[0].Part = 0
	assert.True(t, advised(decide(t, m, e, free, 0), "new sensor"), "no part goes in")
}

func TestWithNothingThatMayBeDoneHelpIsCalled(t *testing.T) {
	t.Parallel()
	m, _ := twoSuspects()
	d := decide(t, m, findings(seen("flat")), Work{Call: 300}, 0)
	assert.Equal(t, []Choice{{Cost: 300}}, d.Options)
}

func TestARepairThatDidNotHelpIsNotAdvisedAgain(t *testing.T) {
	t.Parallel()
	m, w := twoSuspects()
	e := findings(seen("flat"))
	e.Cleared = []ID{"pump"}
	d := decide(t, m, e, w, 0)
	assert.Equal(t, ID("new sensor"), d.Options[0].ID)
	assert.False(t, slices.ContainsFunc(d.Options, func(c Choice) bool { return c.ID == "new pump" }))
}

// Where a call for help is hardly cheaper, what can be done here comes first.
func TestWhatCanBeDoneComesBeforeHelpThatIsHardlyCheaper(t *testing.T) {
	t.Parallel()
	options := func(call, step float64) []Choice {
		d := Decision{Options: []Choice{{Cost: call}, {ID: "new pump", Repair: true, Cost: step}}}
		d.preferDoing()
		return d.Options
	}
	assert.Equal(t, ID("new pump"), options(100, 104)[0].ID)
	assert.Empty(t, options(100, 106)[0].ID)
	alone := Decision{Options: []Choice{{Cost: 100}}}
	alone.preferDoing()
	assert.Len(t, alone.Options, 1)
}

// A job is done when what was found goes away; what more likely meant something else does
// not hold it up.
func TestWhatWasHardlyHeardDoesNotHoldUpTheJob(t *testing.T) {
	t.Parallel()
	m := Model{Causes: []Cause{{"pump", 0.02}, {"valve", 0.02}}, Shows: []Link{{"pump", "cold", 0.9}, {"valve", "noise", 0.9}}}
	c, err := m.compile()
	require.NoError(t, err)
	heard := func(sure float64) Evidence {
		return Evidence{Findings: []Finding{seen("cold"), {Senses: []Sense{{Weight: 1 - sure}, {ID: "noise", Weight: sure}}}}}
	}
	valve := []int{c.at["valve"]}
	assert.True(t, c.works(heard(0.4), valve), "the noise was hardly heard")
	assert.False(t, c.works(heard(0.6), valve), "the valve makes it still")
	assert.False(t, c.works(heard(0.4), []int{c.at["pump"]}), "it is cold still")
	assert.True(t, c.explains(heard(0.4), []int{c.at["pump"]}))
	assert.False(t, c.explains(heard(0.6), []int{c.at["pump"]}))
}

// Two faults at once: mending one leaves the other, and the cost of both is seen.
func TestTwoFaultsAtOnceTakeTwoRepairs(t *testing.T) {
	t.Parallel()
	m := Model{
		Causes: []Cause{{"a", 0.02}, {"b", 0.02}},
		Shows:  []Link{{"a", "x", 0.99}, {"b", "y", 0.99}},
		Leak:   map[ID]float64{"x": 1e-6, "y": 1e-6},
	}
	w := Work{Call: 1e6, Repairs: []Repair{{ID: "mend a", Mends: []ID{"a"}, Cost: 30}, {ID: "mend b", Mends: []ID{"b"}, Cost: 40}}}
	d := decide(t, m, findings(seen("x"), seen("y")), w, 0)
	assert.InDelta(t, 70, d.Options[0].Cost, 2)
}

// Likelihoods of what is found are those of the posterior: the worlds that are
// looked at make up nearly all there is, and agree with it.
func TestWorldsAgreeWithThePosterior(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := drawSmall(t)
		c, err := s.compile()
		require.NoError(t, err)
		chains := c.chains(s.evidence)
		now, err := c.solve(chains)
		require.NoError(t, err)
		worlds := c.worlds(chains, posterior(t, s.Model, s.evidence), nil)
		total := 0.0
		sums := make([]float64, len(c.causes))
		for n, w := range worlds {
			total += w.p
			for _, i := range w.causes {
				sums[i] += w.p
				rest := place(worlds, without(w.causes, i))
				assert.True(t, rest >= 0 && rest < n, "what is left comes first")
			}
		}
		assert.InDelta(t, 1, total, near)
		if len(c.causes) <= 3 { // all worlds are among them
			for i := range c.causes {
				assert.InDelta(t, now.probability[i], sums[i], 1e-4)
			}
		}
	})
}

func TestProspectsShareOutOneAndNameWhatComesFirst(t *testing.T) {
	t.Parallel()
	m, w := twoSuspects()
	p, err := m.Prospects(findings(seen("flat")), w.Tests[0].Test)
	require.NoError(t, err)
	require.Len(t, p, 2)
	assert.InDelta(t, 1, p[0].Probability+p[1].Probability, near)
	assert.Equal(t, ID("pump"), p[0].First.ID)
	assert.Equal(t, ID("sensor"), p[1].First.ID)
	// The law of total probability.
	pump := of(t, posterior(t, m, findings(seen("flat"))), "pump").Probability
	assert.InDelta(t, pump, p[0].Probability*p[0].First.Probability+p[1].Probability*pumpAfter(t, m, w), 1e-3)
}

func pumpAfter(t *testing.T, m Model, w Work) float64 {
	e := findings(seen("flat"))
	e.Outcomes = []Outcome{w.Tests[0].Seen("turns", 1)}
	return of(t, posterior(t, m, e), "pump").Probability
}

func TestAmongStepsThatAreAsGoodTheSmallestComesFirst(t *testing.T) {
	t.Parallel()
	d := Decision{Options: []Choice{{ID: "large", Cost: 100}, {ID: "small", Cost: 100.4}, {ID: "dear", Cost: 103}}}
	d.preferSmall([]float64{40, 5, 1})
	assert.Equal(t, []ID{"small", "large", "dear"}, []ID{d.Options[0].ID, d.Options[1].ID, d.Options[2].ID})
	assert.False(t, math.IsNaN(d.Options[0].Cost))
}

// A cheap test comes before a part, or before guarded work, however probable its cause,
// where a result could show that it is the wrong one.
func TestACheapProofComesBeforeAPart(t *testing.T) {
	t.Parallel()
	first := func(change func(*Model, *Work)) Decision {
		m, w := twoSuspects()
		m.Causes = []Cause{{"sensor", 0.1}, {"pump", 0.0004}}
		w.Again = 120
		change(&m, &w)
		return decide(t, m, findings(seen("flat")), w, 0)
	}
	d := first(func(*Model, *Work) {})
	assert.Equal(t, ID("turn it"), d.Options[0].ID)
	assert.InDelta(t, 210, d.Wrong, 1e-9)
	assert.Equal(t, ID("new sensor"), d.Options[1].ID)

	for name, change := range map[string]func(*Model, *Work){
		"it costs more than a tenth of being wrong": func(_ *Model, w *Work) { w.Tests[0].Cost = 22 },
		"no part goes in, and anybody may do it":    func(_ *Model, w *Work) { w.Repairs[0].Part = 0 },
		"no result would change anything": func(_ *Model, w *Work) {
			w.Tests[0].Results = []Result{
				{Name: "stands", Given: map[ID]float64{"pump": 0.6}, Otherwise: 0.5},
				{Name: "turns", Given: map[ID]float64{"pump": 0.4}, Otherwise: 0.5},
			}
		},
	} {
		d := first(change)
		assert.Equal(t, ID("new sensor"), d.Options[0].ID, name)
		assert.Zero(t, d.Wrong, name)
	}
	d = first(func(_ *Model, w *Work) { w.Repairs[0].Part, w.Repairs[0].Guarded = 0, true })
	assert.Equal(t, ID("turn it"), d.Options[0].ID, "guarded work is proved first too")
}
