package diagnose

import (
	"cmp"
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// near is how far sums of a few products may be off by rounding.
const near = 1e-9

// seen is a finding that stands for one symptom without doubt.
func seen(symptom ID) Finding {
	return Finding{Label: string(symptom), Senses: []Sense{{ID: symptom, Weight: 1}}}
}

func of(t require.TestingT, b Beliefs, id ID) Belief {
	i := slices.IndexFunc(b.Causes, func(c Belief) bool { return c.ID == id })
	require.GreaterOrEqual(t, i, 0, "no cause %s", id)
	return b.Causes[i]
}

// posterior is Posterior of a model whose figures are in order.
func posterior(t require.TestingT, m Model, e Evidence) Beliefs {
	b, err := m.Posterior(e)
	require.NoError(t, err)
	return b
}

func findings(f ...Finding) Evidence { return Evidence{Findings: f} }

// link is the strength that makes a symptom as likely as p with a leak beside it.
func link(p, leak float64) float64 { return 1 - (1-p)/(1-leak) }

// One test for one disease: Eddy 1982, "Probabilistic reasoning in clinical
// medicine", mammography; Casscells, Schoenberger and Graboys 1978, New England
// Journal of Medicine 299. Inputs from memory, results by Bayes' rule; tolerance
// half of the last digit given.
func TestPosteriorOfOneTestIsThePublishedOne(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name                            string
		prior, sensitivity, specificity float64
		want                            float64
	}{
		{"Eddy", 0.01, 0.8, 0.904, 0.077640},
		{"Casscells", 0.001, 1, 0.95, 0.019627},
	} {
		leak := 1 - c.specificity
		m := Model{
			Causes: []Cause{{"disease", c.prior}},
			Shows:  []Link{{"disease", "positive", link(c.sensitivity, leak)}},
			Leak:   map[ID]float64{"positive": leak},
		}
		b := posterior(t, m, findings(seen("positive")))
		assert.InDelta(t, c.want, b.Causes[0].Probability, 5e-7, c.name)
		assert.InDelta(t, 1-c.want, b.Other, 5e-7, c.name)

		// The same as a test that is done afterwards; a slip in a thousand is allowed for.
		test := Test{Results: []Result{
			{Name: "positive", Given: map[ID]float64{"disease": c.sensitivity}, Otherwise: leak},
			{Name: "negative", Given: map[ID]float64{"disease": 1 - c.sensitivity}, Otherwise: c.specificity},
		}}
		b = posterior(t, m, Evidence{Outcomes: []Outcome{test.Seen("test", 0)}})
		assert.InEpsilon(t, c.want, b.Causes[0].Probability, 0.02, c.name)
	}
}

// Pearl 1988, the burglary and the alarm: the alarm is a cause of the calls, and
// brought about by burglary and earthquake. Its table (0.94, 0.29, both 0.95) is a
// noisy-OR but for one digit, so that the published figures are met to 1 in 500.
func TestPosteriorOfTheBurglaryIsNearThePublishedOne(t *testing.T) {
	t.Parallel()
	m := Model{
		Causes: []Cause{{"burglary", 0.001}, {"quake", 0.002}, {"alarm", 1 - (1-0.001*0.939939)*(1-0.002*0.289289)*(1-0.001)}},
		Leads:  []Link{{"burglary", "alarm", link(0.94, 0.001)}, {"quake", "alarm", link(0.29, 0.001)}},
		Shows:  []Link{{"alarm", "john", link(0.9, 0.05)}, {"alarm", "mary", link(0.7, 0.01)}, {"alarm", "alarm heard", 1}},
		Leak:   map[ID]float64{"john": 0.05, "mary": 0.01, "alarm heard": 0},
	}
	b := posterior(t, m, findings(seen("john"), seen("mary")))
	assert.InEpsilon(t, 0.284171835, of(t, b, "burglary").Probability, 0.002)
	assert.InEpsilon(t, 0.176066838, of(t, b, "quake").Probability, 0.002)
	b = posterior(t, m, findings(seen("alarm heard")))
	assert.InEpsilon(t, 0.373551228, of(t, b, "burglary").Probability, 0.002)
}

// small is a random model of a few causes with chains, and evidence about it.
type small struct {
	Model
	evidence Evidence
}

func drawSmall(t *rapid.T) small {
	p := rapid.Float64Range(0, 1)
	s := small{Model: Model{Leak: map[ID]float64{}}}
	n := rapid.IntRange(1, 5).Draw(t, "causes")
	cause := func(i int) ID { return ID(fmt.Sprint("cause ", i)) }
	symptoms := []ID{"x", "y", "z"}
	for i := range n {
		s.Causes = append(s.Causes, Cause{cause(i), rapid.Float64Range(0.001, 0.5).Draw(t, "rate")})
		for j := range i {
			if rapid.IntRange(0, 2).Draw(t, "leads") == 0 {
				s.Leads = append(s.Leads, Link{cause(j), cause(i), p.Draw(t, "lead")})
			}
		}
		for _, symptom := range symptoms {
			if rapid.Bool().Draw(t, "shows") {
				s.Shows = append(s.Shows, Link{cause(i), symptom, p.Draw(t, "strength")})
			}
		}
	}
	for _, symptom := range symptoms {
		s.Leak[symptom] = rapid.Float64Range(1e-4, 0.2).Draw(t, "leak")
	}
	for k := range rapid.IntRange(0, 3).Draw(t, "findings") {
		f := Finding{Label: fmt.Sprint("finding ", k), Absent: rapid.Bool().Draw(t, "absent")}
		senses := rapid.IntRange(1, 3).Draw(t, "senses")
		for _, symptom := range rapid.Permutation(symptoms).Draw(t, "of")[:senses] {
			f.Senses = append(f.Senses, Sense{ID: symptom, Weight: 1 / float64(senses)})
		}
		if rapid.IntRange(0, 3).Draw(t, "names a cause") == 0 {
			f.Senses[0] = Sense{ID: cause(0), IsCause: true, Weight: f.Senses[0].Weight}
		}
		s.evidence.Findings = append(s.evidence.Findings, f)
	}
	for k := range rapid.IntRange(0, 2).Draw(t, "outcomes") {
		test := drawTest(t, "test", s.Causes)
		o := Outcome{Label: fmt.Sprint("outcome ", k), Test: test}
		for range test.Results {
			o.Result = append(o.Result, rapid.Float64Range(0.01, 1).Draw(t, "likelihood"))
		}
		s.evidence.Outcomes = append(s.evidence.Outcomes, o)
	}
	return s
}

// enumerate goes through all worlds of a small model, and returns the probability
// of the evidence, of each cause with it, and of none with it. It takes the
// direct strengths from the network; that these make stated links whole has a
// test of its own.
func (s small) enumerate(t require.TestingT) (evidence float64, causes []float64, none float64) {
	c, err := s.compile()
	require.NoError(t, err)
	n := len(c.causes)
	causes = make([]float64, n)
	for w := range 1 << n {
		world := make([]bool, n)
		for i := range n {
			world[i] = w>>i&1 == 1
		}
		p := c.prior(world)
		for _, f := range s.evidence.Findings {
			p *= s.findingUnder(c, f, world)
		}
		for _, o := range s.evidence.Outcomes {
			p *= outcomeUnder(o, c, world)
		}
		evidence += p
		for i := range n {
			if world[i] {
				causes[i] += p
			}
		}
		if w == 0 {
			none = p
		}
	}
	return evidence, causes, none
}

func (s small) findingUnder(c *compiled, f Finding, world []bool) float64 {
	sum := 0.0
	for _, r := range f.Senses {
		not := 1 - c.leakOf(r)
		for i, strength := range c.strengths(r) {
			if f.Absent {
				strength = min(strength, 1-slip)
			}
			if world[i] {
				not *= 1 - strength
			}
		}
		if f.Absent {
			sum += r.Weight * not
		} else {
			sum += r.Weight * (1 - not)
		}
	}
	return sum
}

// outcomeUnder goes through all that the causes may bring about and takes the
// rarest of it.
func outcomeUnder(o Outcome, c *compiled, world []bool) float64 {
	results := o.Test.Results
	rank := make([]int, len(results))
	for i := range rank {
		rank[i] = i
	}
	slices.SortStableFunc(rank, func(a, b int) int { return cmp.Compare(results[b].Otherwise, results[a].Otherwise) })
	atMost := func(k int) float64 { // that no cause brings about more than the k-th of the ranks
		p := 1.0
		for i, on := range world {
			if !on || !o.Test.knows(c.causes[i].ID) {
				continue
			}
			sum := 0.0
			for _, r := range rank[:k] {
				sum += likely(results[r].Given[c.causes[i].ID], len(results))
			}
			p *= sum
		}
		return p
	}
	acting := false
	for i, on := range world {
		acting = acting || on && o.Test.knows(c.causes[i].ID)
	}
	sum := 0.0
	for k, r := range rank {
		if acting {
			sum += o.Result[r] * (atMost(k+1) - atMost(k))
		} else {
			sum += o.Result[r] * likely(results[r].Otherwise, len(results))
		}
	}
	return sum
}

func TestPosteriorAgreesWithEnumeration(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := drawSmall(t)
		evidence, causes, none := s.enumerate(t)
		got := posterior(t, s.Model, s.evidence)
		assert.InDelta(t, none/evidence, got.Other, near)
		for i, c := range s.Causes {
			assert.InDelta(t, causes[i]/evidence, of(t, got, c.ID).Probability, near, c.ID)
		}
	})
}

// A stated link is the whole of it: what a cause shows through others counts.
func TestACauseAloneShowsWhatIsStated(t *testing.T) {
	t.Parallel()
	m := Model{
		Causes: []Cause{{"pump", 1e-6}, {"burnt", 1e-6}},
		Leads:  []Link{{"pump", "burnt", 0.5}},
		Shows:  []Link{{"pump", "no heat", 0.9}, {"burnt", "no heat", 0.8}},
		Leak:   map[ID]float64{"no heat": 0},
	}
	c, err := m.compile()
	require.NoError(t, err)
	direct := c.strengths(Sense{ID: "no heat"})
	assert.InDelta(t, 0.9, NoisyOR(direct[0], 0.5*direct[1]), near)
	assert.InDelta(t, 0.8, direct[1], near)
}

// Modes that lead to each other in a circle: the weakest link gives way.
func TestACircleIsOpenedAtItsWeakestLink(t *testing.T) {
	t.Parallel()
	m := Model{
		Causes: []Cause{{"a", 0.01}, {"b", 0.01}, {"c", 0.01}},
		Leads:  []Link{{"a", "b", 0.9}, {"b", "c", 0.8}, {"c", "a", 0.1}},
	}
	c, err := m.compile()
	require.NoError(t, err)
	assert.Equal(t, m.Leads[:2], c.leads)
	assert.Len(t, m.Leads, 3, "the model itself is left as it was")
}

func TestBaseRatesComeOutWithTheirCauses(t *testing.T) {
	t.Parallel()
	m := Model{Causes: []Cause{{"vessel", 0.04}, {"valve", 0.05}}, Leads: []Link{{"vessel", "valve", 0.5}}}
	b := posterior(t, m, Evidence{})
	assert.InDelta(t, 0.04, of(t, b, "vessel").Probability, near)
	assert.InDelta(t, 0.05, of(t, b, "valve").Probability, near)
}

// Two findings that no single cause explains are two faults.
func TestTwoFaultsAtOnce(t *testing.T) {
	t.Parallel()
	m := Model{
		Causes: []Cause{{"a", 0.02}, {"b", 0.02}},
		Shows:  []Link{{"a", "x", 0.9}, {"b", "y", 0.9}},
		Leak:   map[ID]float64{"x": 1e-4, "y": 1e-4},
	}
	b := posterior(t, m, findings(seen("x"), seen("y")))
	assert.Greater(t, of(t, b, "a").Probability, 0.9)
	assert.Greater(t, of(t, b, "b").Probability, 0.9)
	assert.Empty(t, b.Conflicts, "they have nothing to do with each other")
}

func TestWhatWasRepairedExplainsNothingAnyMore(t *testing.T) {
	t.Parallel()
	m := Model{
		Causes: []Cause{{"likely", 0.05}, {"other", 0.01}},
		Shows:  []Link{{"likely", "x", 0.9}, {"other", "x", 0.9}},
		Leak:   map[ID]float64{"x": 1e-4},
	}
	e := findings(seen("x"))
	assert.EqualValues(t, "likely", posterior(t, m, e).Causes[0].ID)
	e.Cleared = []ID{"likely"}
	b := posterior(t, m, e)
	assert.InDelta(t, 0.05, of(t, b, "likely").Probability, near, "nothing is known of it any more")
	assert.Greater(t, of(t, b, "other").Probability, 0.95)
}

func TestBeliefsAreInOrder(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := drawSmall(t)
		b := posterior(t, s.Model, s.evidence)
		assert.Len(t, b.Causes, len(s.Causes))
		assert.True(t, b.Other >= 0 && b.Other <= 1)
		for i, c := range b.Causes {
			assert.True(t, c.Probability >= 0 && c.Probability <= 1)
			if i > 0 {
				above := b.Causes[i-1]
				assert.True(t, above.Probability > c.Probability || above.Probability == c.Probability && above.ID < c.ID)
			}
		}
	})
}

func TestOrderOfFindingsDoesNotMatter(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := drawSmall(t)
		mixed := s.evidence
		mixed.Findings = rapid.Permutation(s.evidence.Findings).Draw(t, "mixed")
		want, got := posterior(t, s.Model, s.evidence), posterior(t, s.Model, mixed)
		assert.InDelta(t, want.Other, got.Other, near)
		for _, c := range want.Causes {
			assert.InDelta(t, c.Probability, of(t, got, c.ID).Probability, near)
		}
	})
}

func TestManyFindingsDoNotDrownInRounding(t *testing.T) {
	t.Parallel()
	// Each of 300 findings is ten times as likely with the cause, and rare with
	// and without it: the products are far below the least float64.
	m := Model{Causes: []Cause{{"a", 0.01}}, Leak: map[ID]float64{}}
	var e Evidence
	for i := range 300 {
		id := ID(fmt.Sprint(i))
		m.Leak[id] = 0.0002
		m.Shows = append(m.Shows, Link{"a", id, link(0.002, 0.0002)})
		e.Findings = append(e.Findings, seen(id))
	}
	b := posterior(t, m, e)
	assert.InDelta(t, 1, b.Causes[0].Probability, near)
	assert.InDelta(t, 0, b.Other, near)
}
