package diagnose

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"kg/internal/diagnose/bayes"
)

// Good 1950: ten times the odds are 10 decibans.
func TestTenTimesAsLikelyIsTenDecibans(t *testing.T) {
	t.Parallel()
	const leak = 0.05
	m := Model{
		Causes: []Cause{{"a", 0.2}},
		Shows:  []Link{{"a", "ten times", link(0.5, leak)}, {"a", "never", 0}},
		Leak:   map[ID]float64{"ten times": leak, "never": leak},
	}
	w := posterior(t, m, findings(seen("ten times"), seen("never"))).Causes[0].Weights
	assert.Equal(t, "ten times", w[0].Label)
	assert.InDelta(t, 10, w[0].Decibans, 1e-9)
	assert.InDelta(t, 0, w[1].Decibans, 1e-9, "as likely with as without: no evidence")

	absent := seen("ten times")
	absent.Absent = true
	w = posterior(t, m, findings(absent)).Causes[0].Weights
	assert.InDelta(t, 10*math.Log10((1-0.5)/(1-leak)), w[0].Decibans, 1e-9)
}

// Likelihood-ratio identity: the weights of findings that come one after the
// other add up to the change of the log odds, and each is what leaving it out
// changes.
func TestWeightOfAFindingIsWhatLeavingItOutChanges(t *testing.T) {
	t.Parallel()
	odds := func(p float64) float64 { return 10 * math.Log10(p/(1-p)) }
	rapid.Check(t, func(t *rapid.T) {
		s := drawSmall(t)
		all := posterior(t, s.Model, s.evidence)
		for i := range s.evidence.Findings {
			less := s.evidence
			less.Findings = slices.Delete(slices.Clone(less.Findings), i, i+1)
			without := posterior(t, s.Model, less)
			for _, c := range all.Causes {
				p, q := c.Probability, of(t, without, c.ID).Probability
				if min(p, q, 1-p, 1-q) < 1e-6 {
					continue // bounded, or all rounding
				}
				assert.InDelta(t, odds(p)-odds(q), c.Weights[i].Decibans, 1e-6)
			}
		}
	})
}

func TestWeightsAreBounded(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := drawSmall(t)
		for _, c := range posterior(t, s.Model, s.evidence).Causes {
			assert.Len(t, c.Weights, s.evidence.items())
			for i, w := range c.Weights {
				assert.Equal(t, s.evidence.label(i), w.Label)
				assert.LessOrEqual(t, math.Abs(w.Decibans), float64(MaxDecibans)) // false for NaN too
			}
		}
	})
}

// A result that contradicts all that was seen is flagged, not swallowed.
func TestAFindingThatDoesNotGoWithTheRestIsNamed(t *testing.T) {
	t.Parallel()
	m := Model{
		Causes: []Cause{{"pump", 0.02}, {"sensor", 0.02}},
		Shows:  []Link{{"pump", "no heat", 0.95}, {"pump", "no sound", 0.95}, {"sensor", "wrong figure", 0.95}},
		Leak:   map[ID]float64{"no heat": 0.001, "no sound": 0.001},
	}
	runs := Test{Results: []Result{
		{Name: "turns", Given: map[ID]float64{"pump": 0.001}, Otherwise: 0.999},
		{Name: "stands", Given: map[ID]float64{"pump": 0.999}, Otherwise: 0.001},
	}}
	e := findings(seen("no heat"), seen("no sound"))
	assert.Empty(t, posterior(t, m, e).Conflicts)
	e.Outcomes = []Outcome{runs.Seen("pump turns", 0)}
	b := posterior(t, m, e)
	require.NotEmpty(t, b.Conflicts)
	assert.Equal(t, "pump turns", b.Conflicts[0].Label)
	assert.Greater(t, b.Conflicts[0].Bits, math.Log2(100))
}

func TestTurnsNameTheFindingThatDecides(t *testing.T) {
	t.Parallel()
	m := Model{
		Causes: []Cause{{"a", 0.02}, {"b", 0.03}},
		Shows:  []Link{{"a", "x", 0.9}, {"b", "x", 0.9}, {"a", "y", 0.9}, {"b", "y", 0.1}},
	}
	turns, err := m.Turns(findings(seen("x"), seen("y")))
	require.NoError(t, err)
	require.Len(t, turns, 1)
	assert.Equal(t, "y", turns[0].Label)
	assert.EqualValues(t, "b", turns[0].First)
}

// Where everything hangs together too widely the answer is estimated, says so,
// and keeps its word about how far off it is.
func TestTooWideIsEstimatedAndSaysSo(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(5, 5))
	m := Model{Leak: map[ID]float64{}}
	var e Evidence
	const causes, symptoms = 60, 40
	for i := range causes {
		m.Causes = append(m.Causes, Cause{ID(fmt.Sprint("cause ", i)), 0.02})
	}
	for s := range symptoms {
		id := ID(fmt.Sprint("symptom ", s))
		for _, i := range r.Perm(causes)[:25] {
			m.Shows = append(m.Shows, Link{m.Causes[i].ID, id, 0.1 + 0.8*r.Float64()})
		}
		m.Leak[id] = 0.001
		e.Findings = append(e.Findings, seen(id))
	}
	b := posterior(t, m, e)
	require.NotNil(t, b.Approximate)
	assert.Greater(t, b.Approximate.Bytes, int64(256<<20))
	assert.Greater(t, b.Approximate.Width, 20)
	assert.Greater(t, b.Approximate.Error, 0.0)
	assert.Less(t, b.Approximate.Error, 0.5)
	for _, c := range b.Causes {
		assert.True(t, c.Probability >= 0 && c.Probability <= 1)
	}
}

// On a problem that exactness can do as well, the estimate is within four of its
// own standard errors.
func TestTheEstimateIsAsGoodAsItSays(t *testing.T) {
	t.Parallel()
	m := Model{
		Causes: []Cause{{"a", 0.05}, {"b", 0.02}, {"c", 0.01}},
		Leads:  []Link{{"a", "c", 0.3}},
		Shows:  []Link{{"a", "x", 0.6}, {"b", "x", 0.9}, {"c", "y", 0.7}, {"b", "y", 0.2}},
	}
	c, err := m.compile()
	require.NoError(t, err)
	chains := c.chains(findings(seen("x"), seen("y")))
	exact, err := c.solve(chains)
	require.NoError(t, err)
	estimate := c.sample(chains, &bayes.TooWide{}).estimate(everything)
	for i := range exact.probability {
		assert.InDelta(t, exact.probability[i], estimate.probability[i], 4*estimate.approximate.Error)
	}
	assert.InEpsilon(t, exact.evidence.Float(), estimate.evidence.Float(), 0.05)
}

func TestFigureThatIsNoProbabilityIsSaid(t *testing.T) {
	t.Parallel()
	for says, m := range map[string]Model{
		"base rate of \"a\" is NaN":        {Causes: []Cause{{"a", math.NaN()}}},
		"base rate of \"a\" is 1.5":        {Causes: []Cause{{"a", 1.5}}},
		"link from \"a\" to \"x\" is -0.1": {Causes: []Cause{{"a", 0.1}}, Shows: []Link{{"a", "x", -0.1}}},
		"leak of \"x\" is 2":               {Leak: map[ID]float64{"x": 2}},
		"\"a\" is there twice":             {Causes: []Cause{{"a", 0.1}, {"a", 0.1}}},
	} {
		_, err := m.Posterior(findings(seen("x")))
		assert.ErrorContains(t, err, says)
	}
}

func TestEmptyModelKnowsNoCause(t *testing.T) {
	t.Parallel()
	var m Model
	for _, f := range [][]Finding{nil, {seen("anything")}, {{Label: "no senses"}}, {{Absent: true}}} {
		b := posterior(t, m, Evidence{Findings: f})
		assert.Empty(t, b.Causes)
		assert.InDelta(t, 1, b.Other, near)
	}
}
