package diagnose

import (
	"fmt"
	"math"
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
	return Finding{Label: string(symptom), Readings: []Reading{{ID: symptom, Weight: 1}}}
}

func of(t require.TestingT, b Beliefs, id ID) Belief {
	i := slices.IndexFunc(b.Causes, func(c Belief) bool { return c.ID == id })
	require.GreaterOrEqual(t, i, 0, "no cause %s", id)
	return b.Causes[i]
}

func total(b Beliefs) float64 {
	sum := b.Other
	for _, c := range b.Causes {
		sum += c.Probability
	}
	return sum
}

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
		b := m.Posterior([]Finding{seen("positive")})
		assert.InDelta(t, c.want, b.Causes[0].Probability, 5e-7, c.name)
		assert.InDelta(t, 1-c.want, b.Other, 5e-7, c.name)

		// The same as a test that is done afterwards.
		after := m.Posterior(nil).After(Result{Given: map[ID]float64{"disease": c.sensitivity}, Otherwise: leak})
		assert.InDelta(t, c.want, after.Causes[0].Probability, 5e-7, c.name)
	}
}

// Pearl 1988, the burglary and the alarm. The model knows single causes only, so
// each state of the world with a burglary or an earthquake is a cause of its own;
// neither of them is "something else". Tables from memory, results recomputed by
// enumeration; tolerance half of the last digit given.
func TestPosteriorOfTheBurglaryIsThePublishedOne(t *testing.T) {
	t.Parallel()
	const burglary, quake = 0.001, 0.002
	alarm := map[ID]float64{"both": 0.95, "burglary": 0.94, "quake": 0.29, "": 0.001}
	rate := map[ID]float64{
		"both": burglary * quake, "burglary": burglary * (1 - quake), "quake": (1 - burglary) * quake, "": (1 - burglary) * (1 - quake),
	}

	t.Run("the alarm is heard", func(t *testing.T) {
		m := Model{Leak: map[ID]float64{"alarm": alarm[""]}}
		for _, id := range []ID{"both", "burglary", "quake"} {
			m.Causes = append(m.Causes, Cause{id, rate[id]})
			m.Shows = append(m.Shows, Link{id, "alarm", link(alarm[id], alarm[""])})
		}
		b := m.Posterior([]Finding{seen("alarm")})
		p := func(b Beliefs, id ID) float64 { return of(t, b, id).Probability }
		assert.InDelta(t, 0.373551228, p(b, "both")+p(b, "burglary"), 5e-10, "P(B|a)")

		b = b.After(Result{Name: "the earth shook", Given: map[ID]float64{"both": 1, "quake": 1, "burglary": 0}, Otherwise: 0})
		assert.InDelta(t, 0.003268424, p(b, "both"), 5e-10, "P(B|a,e): the earthquake explains it away")
	})

	t.Run("both neighbours ring", func(t *testing.T) {
		const john, mary, johnAnyway, maryAnyway = 0.9, 0.7, 0.05, 0.01
		m := Model{Leak: map[ID]float64{"john": johnAnyway, "mary": maryAnyway}}
		for _, id := range []ID{"both", "burglary", "quake", ""} {
			loud := id + " loud"
			m.Causes = append(m.Causes, Cause{loud, rate[id] * alarm[id]})
			m.Shows = append(m.Shows, Link{loud, "john", link(john, johnAnyway)}, Link{loud, "mary", link(mary, maryAnyway)})
			if id != "" {
				m.Causes = append(m.Causes, Cause{id + " silent", rate[id] * (1 - alarm[id])})
			}
		}
		b := m.Posterior([]Finding{seen("john"), seen("mary")})
		p := func(ids ...ID) (sum float64) {
			for _, id := range ids {
				sum += of(t, b, id+" loud").Probability + of(t, b, id+" silent").Probability
			}
			return sum
		}
		assert.InDelta(t, 0.284171835, p("both", "burglary"), 5e-10, "P(B|j,m)")
		assert.InDelta(t, 0.176066838, p("both", "quake"), 5e-10, "P(E|j,m)")
	})
}

// small is a random model of a few causes with chains, and findings about it.
type small struct {
	Model
	findings []Finding
}

var (
	smallCauses   = []ID{"a", "b", "c", "d"}
	smallSymptoms = []ID{"p", "q", "r"}
)

func drawSmall(t *rapid.T) small {
	share := func(name string) float64 {
		return rapid.OneOf(rapid.Float64Range(0.001, 0.999), rapid.SampledFrom([]float64{0, 1, 0.5, 1e-6})).Draw(t, name)
	}
	s := small{Model: Model{Leak: map[ID]float64{}}}
	n := rapid.IntRange(1, len(smallCauses)).Draw(t, "causes")
	for i, id := range smallCauses[:n] {
		s.Causes = append(s.Causes, Cause{id, share("rate")})
		for _, symptom := range smallSymptoms {
			if rapid.Bool().Draw(t, "shows") {
				s.Shows = append(s.Shows, Link{id, symptom, share("strength")})
			}
		}
		for j, other := range smallCauses[:n] {
			if i != j && len(s.Leads) < 4 && rapid.Bool().Draw(t, "leads") {
				s.Leads = append(s.Leads, Link{id, other, share("lead")})
			}
		}
	}
	for _, symptom := range smallSymptoms {
		if rapid.Bool().Draw(t, "leak stated") {
			s.Leak[symptom] = share("leak")
		}
	}
	for i := range rapid.IntRange(0, 4).Draw(t, "findings") {
		f := Finding{Label: fmt.Sprint(i), Absent: rapid.Bool().Draw(t, "absent")}
		for _, w := range drawShares(t, rapid.IntRange(1, 3).Draw(t, "readings")) {
			r := Reading{Weight: w, IsCause: rapid.Bool().Draw(t, "is cause")}
			if r.IsCause {
				r.ID = rapid.SampledFrom(smallCauses[:n]).Draw(t, "cause")
			} else {
				r.ID = rapid.SampledFrom(append([]ID{"", "never heard of"}, smallSymptoms...)).Draw(t, "symptom")
			}
			f.Readings = append(f.Readings, r)
		}
		s.findings = append(s.findings, f)
	}
	return s
}

// drawShares draws n shares of 1.
func drawShares(t *rapid.T, n int) []float64 {
	out := rapid.SliceOfN(rapid.Float64Range(0.01, 1), n, n).Draw(t, "shares")
	sum := 0.0
	for _, x := range out {
		sum += x
	}
	for i := range out {
		out[i] /= sum
	}
	return out
}

// switches are the events that each happen or not, by themselves, in one world:
// the links of all chains from a cause, and the leak.
type switches []float64

// worlds calls each with all ways in which the switches can stand, and with the
// probability of each.
func (s switches) worlds(each func(on []bool, p float64)) {
	on := make([]bool, len(s))
	for w := range 1 << len(s) {
		p := 1.0
		for i, chance := range s {
			on[i] = w>>i&1 == 1
			if on[i] {
				p *= chance
			} else {
				p *= 1 - chance
			}
		}
		each(on, p)
	}
}

// enumerated is the probability of one finding when a cause, or none (""), is
// what is wrong: the sum over all worlds in which it would be found.
func (s small) enumerated(cause ID, f Finding) float64 {
	sum, least := 0.0, 1e-4 // a tenth of the usual leak
	for _, r := range f.Readings {
		if leak := s.Leak[r.ID]; !r.IsCause && leak > 0 {
			least = min(least, leak)
		}
		if r.ID == "" {
			sum += r.Weight * unknownFinding
			continue
		}
		var all switches
		var chains [][]int // the switches that have to be on together
		leak := DefaultLeak
		if l, ok := s.Leak[r.ID]; ok {
			leak = l
		}
		if r.IsCause {
			leak = 0
		}
		all, chains = switches{leak}, [][]int{{0}}
		if cause != "" {
			s.follow(cause, r, nil, nil, &all, &chains)
		}
		all.worlds(func(on []bool, p float64) {
			there := slices.ContainsFunc(chains, func(links []int) bool {
				return !slices.ContainsFunc(links, func(i int) bool { return !on[i] })
			})
			if there != f.Absent {
				sum += r.Weight * p
			}
		})
	}
	if !f.Absent {
		sum = max(sum, least) // words and people can be wrong
	}
	return sum
}

// follow adds the chains from a cause to a reading.
func (s small) follow(cause ID, r Reading, visited []ID, links []int, all *switches, chains *[][]int) {
	if r.IsCause && r.ID == cause {
		*chains = append(*chains, links)
		return
	}
	for _, l := range s.Shows {
		if !r.IsCause && l.From == cause && l.To == r.ID {
			*all = append(*all, l.Strength)
			*chains = append(*chains, append(slices.Clone(links), len(*all)-1))
			return // what is stated is the whole of it
		}
	}
	visited = append(slices.Clone(visited), cause)
	for _, l := range s.Leads {
		if l.From == cause && !slices.Contains(visited, l.To) {
			*all = append(*all, l.Strength)
			s.follow(l.To, r, visited, append(slices.Clone(links), len(*all)-1), all, chains)
		}
	}
}

func TestPosteriorAgreesWithEnumeration(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := drawSmall(t)
		rates := 0.0
		for _, c := range s.Causes {
			rates += c.Rate
		}
		scale := 1.0
		if rates > 0.98 { // nearly all: the rest is always left for something else
			scale = 0.98 / rates
		}
		joint := map[ID]float64{"": 1 - rates*scale}
		for _, c := range s.Causes {
			joint[c.ID] = c.Rate * scale
		}
		evidence := 0.0
		for id := range joint {
			for _, f := range s.findings {
				joint[id] *= s.enumerated(id, f)
			}
			evidence += joint[id]
		}
		got := s.Posterior(s.findings)
		if evidence == 0 {
			assert.InDelta(t, 1, got.Other, near, "nothing could have been found so")
			return
		}
		assert.InDelta(t, joint[""]/evidence, got.Other, near)
		for _, c := range s.Causes {
			assert.InDelta(t, joint[c.ID]/evidence, of(t, got, c.ID).Probability, near, c.ID)
		}
	})
}

func TestBeliefsShareOutOneAndAreInOrder(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := drawSmall(t)
		b := s.Posterior(s.findings)
		assert.InDelta(t, 1, total(b), near)
		assert.Len(t, b.Causes, len(s.Causes))
		for i, c := range b.Causes {
			assert.False(t, math.IsNaN(c.Probability))
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
		mixed := rapid.Permutation(s.findings).Draw(t, "mixed")
		want, got := s.Posterior(s.findings), s.Posterior(mixed)
		assert.InDelta(t, want.Other, got.Other, near)
		for _, c := range want.Causes {
			same := of(t, got, c.ID)
			assert.InDelta(t, c.Probability, same.Probability, near)
			for _, w := range c.Weights {
				i := slices.IndexFunc(same.Weights, func(o Weight) bool { return o.Label == w.Label })
				if c.Probability > 1e-9 && c.Probability < 1-1e-9 { // else the odds are all rounding
					assert.InDelta(t, w.Decibans, same.Weights[i].Decibans, 1e-4)
				}
			}
		}
	})
}

func TestManyFindingsDoNotDrownInRounding(t *testing.T) {
	t.Parallel()
	// Each of 300 findings is ten times as likely with the cause, and rare with
	// and without it: the products are far below the least float64.
	m := Model{Causes: []Cause{{"a", 0.01}}, Leak: map[ID]float64{}}
	var findings []Finding
	for i := range 300 {
		id := ID(fmt.Sprint(i))
		m.Leak[id] = 0.0002
		m.Shows = append(m.Shows, Link{"a", id, link(0.002, 0.0002)})
		findings = append(findings, seen(id))
	}
	b := m.Posterior(findings)
	assert.InDelta(t, 1, b.Causes[0].Probability, near)
	assert.InDelta(t, 0, b.Other, near)
}

func TestMoreOfWhatOnlyOneCauseShowsNeverLowersIt(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := drawSmall(t)
		cause := rapid.SampledFrom(s.Causes).Draw(t, "cause").ID
		s.Leads = slices.DeleteFunc(s.Leads, func(l Link) bool { return l.To == cause })
		s.Shows = append(s.Shows, Link{cause, "its own", rapid.Float64Range(0, 1).Draw(t, "strength")})
		before := of(t, s.Posterior(s.findings), cause).Probability
		after := of(t, s.Posterior(append(s.findings, seen("its own"))), cause).Probability
		assert.GreaterOrEqual(t, after, before-near)
	})
}

// Good 1950: ten times the odds are 10 decibans.
func TestTenTimesAsLikelyIsTenDecibans(t *testing.T) {
	t.Parallel()
	const leak = 0.05
	m := Model{
		Causes: []Cause{{"a", 0.2}}, // it and something else are complementary
		Shows:  []Link{{"a", "ten times", link(0.5, leak)}, {"a", "never", 0}},
		Leak:   map[ID]float64{"ten times": leak, "never": leak},
	}
	w := m.Posterior([]Finding{seen("ten times"), seen("never")}).Causes[0].Weights
	assert.Equal(t, "ten times", w[0].Label)
	assert.InDelta(t, 10, w[0].Decibans, 1e-9)
	assert.InDelta(t, 0, w[1].Decibans, 1e-9, "as likely with as without: no evidence")

	absent := seen("ten times")
	absent.Absent = true
	w = m.Posterior([]Finding{absent}).Causes[0].Weights
	assert.InDelta(t, 10*math.Log10((1-0.5)/(1-leak)), w[0].Decibans, 1e-9)
}

func TestWeightOfAFindingIsWhatLeavingItOutChanges(t *testing.T) {
	t.Parallel()
	odds := func(p float64) float64 { return 10 * math.Log10(p/(1-p)) }
	rapid.Check(t, func(t *rapid.T) {
		s := drawSmall(t)
		all := s.Posterior(s.findings)
		for i := range s.findings {
			without := s.Posterior(slices.Delete(slices.Clone(s.findings), i, i+1))
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
		for _, c := range s.Posterior(s.findings).Causes {
			assert.Len(t, c.Weights, len(s.findings))
			for i, w := range c.Weights {
				assert.Equal(t, s.findings[i].Label, w.Label)
				assert.LessOrEqual(t, math.Abs(w.Decibans), float64(MaxDecibans)) // false for NaN too
			}
		}
	})
}

func TestFindingThatNothingExplainsIsSomethingElse(t *testing.T) {
	t.Parallel()
	m := Model{Causes: []Cause{{"a", 0.98}}, Shows: []Link{{"a", "always", 1}}, Leak: map[ID]float64{"always": 1}}
	gone := seen("always")
	gone.Absent = true
	b := m.Posterior([]Finding{gone})
	assert.InDelta(t, 1, b.Other, 0)
	assert.Zero(t, b.Causes[0].Probability)
}

func TestEmptyModelKnowsNoCause(t *testing.T) {
	t.Parallel()
	var m Model
	for _, findings := range [][]Finding{nil, {seen("anything")}, {{Label: "no readings"}}, {{Absent: true}}} {
		b := m.Posterior(findings)
		assert.Empty(t, b.Causes)
		assert.InDelta(t, 1, b.Other, 0)
		assert.Empty(t, b.Rank([]Test{{ID: "t", Results: []Result{{Name: "yes", Otherwise: 0.5}, {Name: "no", Otherwise: 0.5}}}}))
		assert.InDelta(t, 1, b.After(Result{Otherwise: 0.5}).Other, 0)
	}
	assert.Zero(t, Beliefs{}.After(Result{Otherwise: 1}))
}
