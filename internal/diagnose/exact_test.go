package diagnose

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"kg/internal/diagnose/plan"
)

func compiledOf(t require.TestingT, m Model) *compiled {
	c, err := m.compile()
	require.NoError(t, err)
	return c
}

// What is known beforehand multiplies the odds of a cause (not its probability, and
// it does not divide them), and what is found then multiplies them by its likelihood
// ratio, as Bayes' rule has it.
func TestWhatIsKnownBeforehandMultipliesTheOdds(t *testing.T) {
	t.Parallel()
	odds := func(p float64) float64 { return p / (1 - p) }
	rapid.Check(t, func(t *rapid.T) {
		rate := rapid.Float64Range(0.001, 0.6).Draw(t, "rate")
		times := rapid.Float64Range(0.01, 50).Draw(t, "times")
		strength := rapid.Float64Range(0.1, 0.9).Draw(t, "strength")
		const leak = 0.05
		m := Model{
			Causes: []Cause{{"a", rate}, {"b", 0.01}}, Shows: []Link{{"a", "x", strength}},
			Leak: map[ID]float64{"x": leak}, Times: map[ID]float64{"a": times},
		}
		b := posterior(t, m, Evidence{})
		assert.InEpsilon(t, odds(rate)*times, odds(of(t, b, "a").Probability), 1e-9)
		assert.InEpsilon(t, odds(rate)*times, odds(of(t, b, "a").Prior), 1e-9)
		assert.InEpsilon(t, 0.01, of(t, b, "b").Probability, 1e-9, "the others are as usual")
		b = posterior(t, m, findings(seen("x")))
		ratio := NoisyOR(leak, strength) / leak
		assert.InEpsilon(t, odds(rate)*times*ratio, odds(of(t, b, "a").Probability), 1e-6)
	})
	m := Model{Causes: []Cause{{"a", 0.2}}}
	for _, times := range []float64{0, 0.5, 1} {
		m.Times = map[ID]float64{"a": times}
		b := posterior(t, m, Evidence{})
		assert.InDelta(t, 0.2*times/(0.8+0.2*times), b.Causes[0].Probability, near, "%v", times)
	}
	for _, times := range []float64{-0.1, math.Inf(1), math.NaN()} {
		m.Times = map[ID]float64{"a": times}
		_, err := m.Posterior(Evidence{})
		assert.ErrorContains(t, err, `the odds of "a" are`)
	}
}

// Base rates reach the plan with what is known beforehand: a repair of what is
// likelier in a frost comes first then, and not otherwise. Made up.
func TestWhatIsKnownBeforehandDecidesWhatIsDoneFirst(t *testing.T) {
	t.Parallel()
	m := Model{
		Causes: []Cause{{"ice", 0.01}, {"pump", 0.03}},
		Shows:  []Link{{"ice", "cold", 0.9}, {"pump", "cold", 0.9}}, Leak: map[ID]float64{"cold": 1e-4},
	}
	w := Work{Call: 500, Repairs: []Repair{{ID: "thaw", Mends: []ID{"ice"}, Cost: 20}, {ID: "free the pump", Mends: []ID{"pump"}, Cost: 20}}}
	e := findings(seen("cold"))
	assert.Equal(t, ID("free the pump"), decide(t, m, e, w, 0).Options[0].ID)
	m.Times = map[ID]float64{"ice": 30}
	assert.Equal(t, ID("thaw"), decide(t, m, e, w, 0).Options[0].ID)
	m.Times = map[ID]float64{"ice": 1.0 / 30}
	assert.Equal(t, ID("free the pump"), decide(t, m, e, w, 0).Options[0].ID)
}

// The measure of Jensen, Chamberlain, Nordahl and Jensen 1991: the logarithm of the
// product of what each is alone over both together. Two findings are enough for it.
func TestAConflictIsHowMuchRarerTwoFindingsAreTogether(t *testing.T) {
	t.Parallel()
	const rate, strength, leak = 0.01, 0.98, 1e-5
	m := Model{Causes: []Cause{{"a", rate}}, Shows: []Link{{"a", "x", strength}}, Leak: map[ID]float64{"x": leak}}
	test := Test{Results: []Result{
		{Name: "there", Given: map[ID]float64{"a": 1}, Otherwise: 0},
		{Name: "not there", Given: map[ID]float64{"a": 0}, Otherwise: 1},
	}}
	e := findings(seen("x"))
	e.Outcomes = []Outcome{test.Seen("the test", 1)}
	// Both results with room for a slip in a thousand, half of which is each result.
	x := [2]float64{leak, NoisyOR(leak, strength)}
	not := [2]float64{1 - slip/2, slip / 2}
	alone := func(f [2]float64) float64 { return (1-rate)*f[0] + rate*f[1] }
	both := (1-rate)*x[0]*not[0] + rate*x[1]*not[1]
	want := math.Log2(alone(x) * alone(not) / both)
	require.Greater(t, want, math.Log2(100))
	b := posterior(t, m, e)
	require.Len(t, b.Conflicts, 2)
	for _, c := range b.Conflicts {
		assert.InEpsilon(t, want, c.Bits, 1e-6)
	}
	assert.Empty(t, posterior(t, m, findings(seen("x"))).Conflicts, "one finding is at odds with nothing")
	e.Outcomes = []Outcome{test.Seen("the test", 0)}
	assert.Empty(t, posterior(t, m, e).Conflicts)
}

// When a repair was in vain, what was found has to come from elsewhere: from the
// other cause or from what is not known, as often as these bring it about.
func TestARepairFailsAsOftenAsSomethingElseIsBehindIt(t *testing.T) {
	t.Parallel()
	const leak = 0.001
	m := Model{
		Causes: []Cause{{"a", 0.03}, {"b", 0.02}}, Shows: []Link{{"a", "x", 0.8}, {"b", "x", 0.5}}, Leak: map[ID]float64{"x": leak},
	}
	whole := NoisyOR(leak, 0.03*0.8, 0.02*0.5)
	for _, c := range []struct {
		repaired []ID
		want     float64
	}{
		{nil, 1}, {[]ID{"a"}, NoisyOR(leak, 0.02*0.5) / whole}, {[]ID{"b"}, NoisyOR(leak, 0.03*0.8) / whole}, {[]ID{"a", "b"}, leak / whole}, {[]ID{"unknown"}, 1},
	} {
		got, err := m.Fails(findings(seen("x")), c.repaired)
		require.NoError(t, err)
		assert.InEpsilon(t, c.want, got, 1e-9, "%v", c.repaired)
	}
}

// However rare all that was found is together, the results of the next test share out
// 1, each as likely as the beliefs have it.
func TestProspectsAfterManyRareFindings(t *testing.T) {
	t.Parallel()
	m := Model{Causes: []Cause{{"a", 0.2}, {"b", 0.1}}, Leak: map[ID]float64{}}
	var e Evidence
	for i := range 90 {
		id := ID(fmt.Sprint("rare ", i))
		m.Leak[id] = 1e-4 // whatever the causes are
		e.Findings = append(e.Findings, seen(id))
	}
	test := Test{Results: []Result{
		{Name: "bad", Given: map[ID]float64{"a": 0.9}, Otherwise: 0.1},
		{Name: "good", Given: map[ID]float64{"a": 0.1}, Otherwise: 0.9},
	}}
	p, err := m.Prospects(e, test)
	require.NoError(t, err)
	require.Len(t, p, 2)
	assert.InDelta(t, 0.2*likely(0.9, 2)+0.8*likely(0.1, 2), p[0].Probability, 1e-4)
	assert.InDelta(t, 1, p[0].Probability+p[1].Probability, near)
	none, err := m.Prospects(e, Test{})
	require.NoError(t, err)
	assert.Empty(t, none)
}

// Who is called does the repairs that the world needs, and they are to be paid for:
// by hand, 10 for the last fault, 25 and 10 where one leaves the other, the cheapest
// where there are several ways, and nothing but the call where nothing helps.
func TestACallCostsTheRepairsToo(t *testing.T) {
	t.Parallel()
	p := plan.Problem{
		Worlds: make([]float64, 4),
		Repairs: []plan.Repair{
			{Cost: 10, After: []int{plan.Works, 1, 2, 3}},
			{Cost: 25, After: []int{0, 0, 2, 3}},
			{Cost: 40, After: []int{0, 1, plan.Works, 3}},
			{Cost: 60, After: []int{0, plan.Works, plan.Works, 3}},
		},
	}
	assert.Equal(t, []float64{110, 135, 140, 100}, calls(p, 100))
}

func TestAStepCostsWhatHasToBePreparedForIt(t *testing.T) {
	t.Parallel()
	w := Work{Preparations: []float64{3, 5, 7}}
	assert.InDelta(t, 10, whole(w, 10, nil), 0)
	assert.InDelta(t, 20, whole(w, 10, []int{0, 2}), 0)
}

// Of more tests than can be planned with, those about the likeliest causes are kept;
// one about no cause that is suspected is not a test at all.
func TestTestsOfUnlikelyCausesAreLeftOutFirst(t *testing.T) {
	t.Parallel()
	m := Model{Causes: []Cause{{"a", 0.1}, {"b", 0.1}, {"c", 0.1}}}
	c := compiledOf(t, m)
	worlds := []world{{nil, 0.1}, {[]int{0}, 0.3}, {[]int{1}, 0.5}, {[]int{0, 1}, 0.1}}
	about := func(id ID) Method {
		return Method{Test: Test{ID: id, Results: []Result{{Given: map[ID]float64{id: 1}}, {Given: map[ID]float64{id: 0}}}}}
	}
	var tests []Method
	for range plan.MaxTests {
		tests = append(tests, about("a"))
	}
	assert.Len(t, c.telling(append(tests, about("c")), worlds), plan.MaxTests)
	got := c.telling(append(tests, about("b")), worlds)
	require.Len(t, got, plan.MaxTests)
	assert.Equal(t, ID("b"), got[0].ID, "0.6 against 0.4")
	assert.Empty(t, c.telling([]Method{about("c")}, worlds))
}

// Among as good steps the smallest comes first, up to two per cent dearer in the end.
func TestAsGoodEndsAtTwoPerCent(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		cost  float64
		first ID
	}{{101.99, "small"}, {102, "small"}, {102.01, "large"}} {
		d := Decision{Options: []Choice{{ID: "large", Cost: 100}, {ID: "small", Cost: c.cost}}}
		d.preferSmall([]float64{40, 5})
		assert.Equal(t, c.first, d.Options[0].ID, "%v", c.cost)
		assert.Len(t, d.Options, 2)
	}
	d := Decision{Options: []Choice{{ID: "one", Cost: 100}, {ID: "other", Cost: 100}}}
	d.preferSmall([]float64{5, 5})
	assert.Equal(t, ID("one"), d.Options[0].ID, "of equal ones the first stays")
}

// A doubtful finding is gone through sense by sense, those that count, as long as
// there are few combinations.
func TestOnlySensesThatCountAreGoneThrough(t *testing.T) {
	t.Parallel()
	c := compiledOf(t, Model{Causes: []Cause{{"a", 0.1}}, Shows: []Link{{"a", "x", 0.5}}})
	doubtful := func(weights ...float64) Finding {
		f := Finding{}
		for i, w := range weights {
			f.Senses = append(f.Senses, Sense{ID: ID(fmt.Sprint("s", i)), Weight: w})
		}
		return f
	}
	for _, row := range []struct {
		e    Evidence
		want []float64
	}{
		{Evidence{}, []float64{1}},
		{findings(doubtful(1)), []float64{1}},
		{findings(doubtful(0.7, 0.3)), []float64{0.7, 0.3}},
		{findings(doubtful(0.7, 0, 0.3)), []float64{0.7, 0.3}},
		{findings(doubtful(0.5, 0.5), doubtful(0.25, 0.75)), []float64{0.125, 0.125, 0.375, 0.375}},
		{findings(doubtful(0.25, 0.25, 0.25, 0.25), doubtful(0.25, 0.25, 0.5)), []float64{0.0625, 0.0625, 0.0625, 0.0625, 0.0625, 0.0625, 0.0625, 0.0625, 0.125, 0.125, 0.125, 0.125}},
		{findings(doubtful(0.25, 0.25, 0.25, 0.25), doubtful(0.25, 0.25, 0.25, 0.25)), []float64{1}},
	} {
		var got []float64
		for _, v := range c.variants(row.e) {
			got = append(got, v.weight)
		}
		assert.Equal(t, row.want, got)
	}
}

// Nothing is impossible: what has no leak is there by a slip of a slip, what was named
// as a cause is a guess.
func TestNothingThatIsSeenIsImpossible(t *testing.T) {
	t.Parallel()
	c := compiledOf(t, Model{Causes: []Cause{{"a", 0.1}}, Leak: map[ID]float64{"never": 0, "rare": 1e-5}})
	assert.InDelta(t, 1e-6, c.leakOf(Sense{ID: "never"}), 1e-18)
	assert.InDelta(t, 1e-5, c.leakOf(Sense{ID: "rare"}), 1e-18)
	assert.InDelta(t, DefaultLeak, c.leakOf(Sense{ID: "other"}), 1e-18)
	assert.InDelta(t, 0.0125, c.leakOf(Sense{ID: "a", IsCause: true}), 1e-18)
}

// Repaired causes are taken as there or not there, the first six of them, each once.
func TestOfManyRepairedCausesSixAreLookedAt(t *testing.T) {
	t.Parallel()
	var m Model
	for i := range 9 {
		m.Causes = append(m.Causes, Cause{ID(fmt.Sprint("c", i)), 0.1})
	}
	c := compiledOf(t, m)
	assert.Equal(t, []int{8, 1, 0, 2, 3, 4}, c.places([]ID{"c8", "c1", "c8", "unknown", "c0", "c2", "c3", "c4", "c5"}))
}

// Each cause is drawn as often as the finding that speaks most for it would have it if
// it were the only one: its share of what brings the finding about.
func TestCausesAreDrawnAsOftenAsTheirFindingHasThem(t *testing.T) {
	t.Parallel()
	const leak = 0.01
	m := Model{
		Causes: []Cause{{"a", 0.05}, {"b", 0.02}, {"c", 0.3}, {"d", 1e-5}}, Shows: []Link{{"a", "x", 0.8}, {"b", "x", 0.5}, {"b", "y", 1}},
		Leak: map[ID]float64{"x": leak, "y": leak},
	}
	c := compiledOf(t, m)
	a, b := 0.05*NoisyOR(leak, 0.8), 0.02*NoisyOR(leak, 0.5)
	got := c.proposal(c.chains(findings(seen("x"))))
	assert.InDeltaSlice(t, []float64{a / (leak + a + b), b / (leak + a + b), 0.3, 1e-3}, got, 1e-9)
	got = c.proposal(c.chains(findings(seen("x"), seen("y"))))
	assert.InDelta(t, 0.02/(leak+0.02), got[1], 1e-9, "the finding that speaks most for it")
	m.Causes[2].Rate = 0.99
	c = compiledOf(t, m)
	assert.InDelta(t, 0.9, c.proposal(nil)[2], 1e-12, "the other way is drawn too")
}

// Rivals for one symptom exclude each other in the first sweeps: each weighs its rate
// times how likely it shows the symptom, and all else the leak.
func TestRivalsWeighWhatTheyBringAbout(t *testing.T) {
	t.Parallel()
	m := Model{Causes: []Cause{{"a", 0.05}, {"b", 0.02}, {"c", 0.4}}, Shows: []Link{{"a", "x", 0.8}, {"b", "x", 0.5}}, Leak: map[ID]float64{"x": 0.01}}
	f := newFitter(m, []Statement{{Symptom: "x"}})
	each, all := f.weights("x")
	a, b := 0.05*NoisyOR(0.01, 0.8), 0.02*NoisyOR(0.01, 0.5)
	assert.InDelta(t, a, each["a"], 1e-12)
	assert.InDelta(t, b, each["b"], 1e-12)
	assert.Len(t, each, 2)
	assert.InDelta(t, a+b+0.93*0.01, all, 1e-12)
	assert.InDelta(t, 0.02, elsewhere(1.2), 1e-12)
}

// Adjusting to one statement again and again makes its shares come out: of the causes
// that it names by what it says, of all others together by what it leaves over.
func TestAStatementThatIsAdjustedToComesOut(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := Model{
			Causes: []Cause{{"a", 0.05}, {"b", rapid.Float64Range(0.002, 0.05).Draw(t, "b")}, {"c", rapid.Float64Range(0.001, 0.1).Draw(t, "c")}},
			Shows:  []Link{{"a", "x", rapid.Float64Range(0.2, 0.9).Draw(t, "a shows")}, {"b", "x", 0.5}, {"c", "x", 0.6}},
			Leak:   map[ID]float64{"x": rapid.Float64Range(0.0005, 0.01).Draw(t, "leak")},
		}
		first := rapid.Float64Range(0.1, 0.5).Draw(t, "first")
		second := rapid.Float64Range(0.1, 0.35).Draw(t, "second")
		s := Statement{"x", []Share{{"a", first}, {"b", second}}}
		f := newFitter(m, []Statement{s})
		for range 60 {
			f.adjust(s)
		}
		each, all := f.weights("x")
		assert.InDelta(t, first, each["a"]/all, closeEnough)
		assert.InDelta(t, second, each["b"]/all, closeEnough)
		assert.LessOrEqual(t, each["c"]/all, 0.9*(1-first-second)+closeEnough, "the leak keeps its part")
		assert.Less(t, f.adjust(s), closeEnough, "and it is said that it does")
		for id, rate := range f.rates {
			assert.True(t, rate >= rarest && rate <= highestRate, "%s: %v", id, rate)
			assert.True(t, f.shows[id]["x"] >= weakestLink && f.shows[id]["x"] <= strongestLink)
		}
	})
}

// Where no cause leads to another, the posterior of a symptom is worked out without a
// network, and is the same.
func TestThePosteriorWithoutChainsIsThatOfTheNetwork(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := truth(t)
		f := newFitter(m, statements(m))
		for _, s := range statements(m) {
			each, whole := f.alone(s.Symptom)
			c := compiledOf(t, m)
			now, err := c.solve(c.chains(findings(seen(s.Symptom))))
			require.NoError(t, err)
			assert.InEpsilon(t, now.evidence.Float(), whole, 1e-9)
			for id, p := range each {
				assert.InDelta(t, now.probability[c.at[id]], p, 1e-9)
			}
		}
	})
}

// A slip leaves each result of a test a little: a thousandth in equal parts.
func TestASlipLeavesEachResultALittle(t *testing.T) {
	t.Parallel()
	assert.InDelta(t, 0.0005, likely(0, 2), 1e-15)
	assert.InDelta(t, 0.9995, likely(1, 2), 1e-15)
	assert.InDelta(t, 0.999*0.4+0.00025, likely(0.4, 4), 1e-15)
}
