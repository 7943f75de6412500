package advise

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/hear"
	"kg/internal/library"
	"kg/internal/library/librarytest"
	"kg/internal/note"
)

// A result is named in full, by words that only one has, or by its number.
func TestAResultIsNamedInThreeWays(t *testing.T) {
	t.Parallel()
	test := &note.Test{Header: note.Header{ID: "spin-it"}, Results: []note.Result{{Name: "Turns freely"}, {Name: "stands still"}, {Name: "turns"}}}
	for said, want := range map[string]int{
		"turns freely": 0, " Stands   still ": 1, "still": 1, "2": 1, "turns": 2, "3": 2, "freely": 0,
	} {
		got, err := resultOf(test, said)
		require.NoError(t, err, said)
		assert.Equal(t, want, got, said)
	}
	for _, said := range []string{"", " ", "0", "4", "s", "runs"} {
		_, err := resultOf(test, said)
		assert.ErrorAs(t, err, new(*NoResult), said)
	}
	_, err := resultOf(test, "runs")
	assert.EqualError(t, err, `spin-it has no result "runs": say one of 1 "Turns freely", 2 "stands still", 3 "turns", or its number`)
}

func TestAResultOfWhatIsNoTestIsRefused(t *testing.T) {
	t.Parallel()
	l := gasHouse(t)
	name, err := ResultOf(l, "tightness", "holds")
	require.NoError(t, err)
	assert.Equal(t, "holds", name)
	_, err = ResultOf(l, "gas-smell", "holds")
	assert.Error(t, err)
	_, err = ResultOf(l, "unheard-of", "holds")
	assert.ErrorAs(t, err, new(*library.NotFound))
	_, err = ResultOf(l, "tightness", "sings")
	var none *NoResult
	require.True(t, errors.As(err, &none))
	assert.Equal(t, []string{"falls", "holds"}, none.Results)
}

// What a note leaves open is filled in: a result that is not seen with a cause has what
// the others leave.
func TestFiguresOfATestAreFilledIn(t *testing.T) {
	t.Parallel()
	figure := func(p float64) note.Likelihood { return note.Likelihood{P: p, Text: "as given"} }
	got := TestFigures(&note.Test{Results: []note.Result{
		{Name: "bad", SeenWith: []note.Link{{To: "worn", Figure: figure(0.9)}}, Otherwise: figure(0.2)},
		{Name: "good"},
	}})
	require.Len(t, got.Results, 2)
	assert.InDelta(t, 0.9, got.Results[0].Given["worn"], 1e-9)
	assert.InDelta(t, 0.1, got.Results[1].Given["worn"], 1e-9)
	assert.InDelta(t, 0.2, got.Results[0].Otherwise, 1e-9)
	assert.InDelta(t, 0.8, got.Results[1].Otherwise, 1e-9)
}

// Only an answer that asks something asks about entries; the number after the last of
// them says that none is meant.
func TestAnAnswerIsAskedAboutByNumber(t *testing.T) {
	t.Parallel()
	assert.Nil(t, Answer{}.Asked())
	assert.Nil(t, Answer{Next: &Next{Kind: StepTest, ID: "tightness"}, Near: []hear.Sense{{ID: "no-heat"}}}.Asked())
	near := Answer{Next: &Next{Kind: StepAsk}, Near: []hear.Sense{{ID: "no-heat"}, {ID: "hissing-pipe"}}}
	assert.Equal(t, []note.ID{"no-heat", "hissing-pipe"}, near.Asked())
	stop := Answer{Next: &Next{Kind: StepAsk}, Stop: &hear.Danger{Symptom: "gas-smell", Or: &hear.Danger{Symptom: "wet-wiring"}}, Near: near.Near}
	assert.Equal(t, []note.ID{"gas-smell", "wet-wiring"}, stop.Asked(), "a danger is asked about first")

	q := Question{Text: "it whistles", Not: []note.ID{"earlier"}, Symptoms: []note.ID{"no-heat"}}
	assert.Equal(t, []note.ID{"no-heat", "hissing-pipe"}, q.Answered(near, 2).Symptoms)
	assert.Equal(t, []note.ID{"earlier"}, q.Answered(near, 2).Not)
	assert.Equal(t, []note.ID{"earlier", "no-heat", "hissing-pipe"}, q.Answered(near, 3).Not)
	assert.Equal(t, []note.ID{"no-heat"}, q.Answered(near, 3).Symptoms)
	assert.Equal(t, q, q.Answered(near, 0), "no number answers nothing")
}

// A result that is told counts only where it is the only thing that is told, and clear.
func TestTheLikeliestResultThatIsToldCounts(t *testing.T) {
	t.Parallel()
	l := adviser{gasHouse(t)}
	told := func(score float64) []hear.Told {
		return []hear.Told{{Text: "it held", Test: "tightness", Results: []hear.Likely{{Result: "holds", Score: score}, {Result: "falls", Score: 0.1}}}}
	}
	var q Question
	var a Answer
	require.NoError(t, l.told(told(0.9), &q, &a))
	assert.Equal(t, []Tested{{Test: "tightness", Result: "holds"}}, q.Results)
	assert.Empty(t, a.Remarks)

	q = Question{}
	require.NoError(t, l.told(told(0.3), &q, &a))
	assert.Empty(t, q.Results)
	require.Len(t, a.Remarks, 1)
	assert.Contains(t, a.Remarks[0], `"it held" sounds like holds`)

	q = Question{Results: []Tested{{Test: "tightness", Result: "falls"}}}
	require.NoError(t, l.told(told(0.9), &q, &a))
	assert.Len(t, q.Results, 1, "what was given as the result counts")
}

// What stands over an answer is about what was seen, the next step and the first cause.
func TestCaveatsOverAnAnswerAreThoseOfItsFirstCause(t *testing.T) {
	t.Parallel()
	a := ask(t, gasHouse(t), "no heat", "")
	require.NotEmpty(t, a.Causes)
	w := worker{adviser: adviser{gasHouse(t)}}
	of := func(a Answer) []library.Alert {
		alerts, err := w.foremost(a)
		require.NoError(t, err)
		return alerts
	}
	assert.Equal(t, of(Answer{}), of(Answer{Causes: nil}))
	want, err := w.Alerts("burner-dirty")
	require.NoError(t, err)
	assert.Equal(t, want, of(Answer{Causes: []Cause{{Mode: "burner-dirty"}, {Mode: "hose-worn"}}}))
}

// What the lead wrote down about what was seen, what was done and what had been tried
// stands in the answer.
func TestRemarksAndWhatWasDoneStandInTheAnswer(t *testing.T) {
	t.Parallel()
	l := librarytest.Shipped(t)
	a, err := Ask(t.Context(), l, Question{Symptoms: []note.ID{"no-start-after-reset-keep-warm-off"}})
	require.NoError(t, err)
	require.NotEmpty(t, a.Field)
	assert.Equal(t, note.ID("no-start-after-reset-may-be-no-fault"), a.Field[0].ID)
	assert.NotEmpty(t, a.Field[0].Text)
	assert.NotNil(t, a.Next)

	a, err = Ask(t.Context(), gasHouse(t), Question{
		Symptoms: []note.ID{"no-heat"}, Mended: []note.ID{"change-hose"}, Results: []Tested{{Test: "look-at-burner", Result: "is dirty"}},
	})
	require.NoError(t, err)
	assert.Equal(t, []MendedBefore{{"change-hose", "change-hose"}}, a.Mended)
	assert.Equal(t, []TestedBefore{{"look-at-burner", "Test look-at-burner", "is dirty"}}, a.Tested)
	_, err = Ask(t.Context(), gasHouse(t), Question{Symptoms: []note.ID{"no-heat"}, Mended: []note.ID{"unheard-of"}})
	assert.Error(t, err)
}

// Where a symptom is not there, what would imply it is not there either.
func TestWhatImpliesSomethingAbsentIsAbsent(t *testing.T) {
	t.Parallel()
	l := adviser{gasHouse(t)}
	absent := hear.Finding{Text: "no smell", Senses: []hear.Sense{{ID: "gas-smell", Score: 0.9, Weight: 1}}}
	got, err := l.follow(t.Context(), []hear.Finding{absent})
	require.NoError(t, err)
	require.Len(t, got, 3)
	for _, f := range got[1:] {
		assert.False(t, f.Present)
		assert.Contains(t, []note.ID{"hissing-pipe", "whistling-pipe"}, f.Senses[0].ID)
	}
	there := absent
	there.Present = true
	got, err = l.follow(t.Context(), []hear.Finding{there})
	require.NoError(t, err)
	assert.Len(t, got, 1, "what is there says nothing of what would imply it")
}

// A test of what the appliance does not have does not suit it; one of nothing that is
// known suits any.
func TestATestSuitsWhatTheApplianceHas(t *testing.T) {
	t.Parallel()
	l := adviser{gasHouse(t)}
	s, err := l.Scope(t.Context(), "gas-boiler")
	require.NoError(t, err)
	for of, want := range map[note.ID]bool{"pipe-leaks": true, "burner-dirty": true, "stove-leaks": false, "left-out": true} {
		got, err := l.suits(&note.Test{Results: []note.Result{{Name: "bad", SeenWith: []note.Link{{To: of}}}}}, s)
		require.NoError(t, err)
		assert.Equal(t, want, got, of)
	}
	got, err := l.suits(&note.Test{Results: []note.Result{{Name: "bad"}}}, s)
	require.NoError(t, err)
	assert.True(t, got)
	got, err = l.suits(&note.Test{Results: []note.Result{{Name: "bad", SeenWith: []note.Link{{To: "stove-leaks"}}}}}, nil)
	require.NoError(t, err)
	assert.True(t, got, "any appliance may be meant")
}

// Words tell the result of the test that was asked for, where they are clear.
func TestWordsTellTheResultThatIsWaitedFor(t *testing.T) {
	t.Parallel()
	l := librarytest.Shipped(t)
	got, ok, err := Told(t.Context(), l, "I measured 231 volts and the polarity is right", []note.ID{"test-supply-voltage"})
	require.NoError(t, err)
	require.True(t, ok)
	assert.Equal(t, Tested{Test: "test-supply-voltage", Result: "right and steady"}, got)
	for _, words := range []string{"there is a smell of gas in the kitchen", "good morning", ""} {
		_, ok, err = Told(t.Context(), l, words, []note.ID{"test-supply-voltage"})
		require.NoError(t, err)
		assert.False(t, ok, words)
	}
}

// A figure that words tell of is judged like one that was typed; where the words make it
// out to be something else, neither counts and the answer says so.
func TestFiguresThatAreToldAreJudged(t *testing.T) {
	t.Parallel()
	l := adviser{librarytest.Shipped(t)}
	const test = "test-sensor-resistance"
	const fits, off = "fits the maker's curve cold and hot", "off the maker's curve"
	take := func(text, result string, score float64) (Question, Answer) {
		var q Question
		var a Answer
		require.NoError(t, l.told([]hear.Told{{Text: text, Test: test, Results: []hear.Likely{{Result: result, Score: score}, {Result: "no path at all", Score: 0.1}}}}, &q, &a))
		return q, a
	}
	// 10 kohm at 25 degrees C and B 3977 K make 2.95 kohm at 55 degrees C by the beta
	// equation of IEC 60539-1.
	q, a := take("the hot sensor is about 3 k at 55, right", fits, 0.9)
	assert.Equal(t, []Read{{Test: test, Figures: "3k at=55C"}}, q.Readings)
	assert.Empty(t, q.Results)
	assert.Empty(t, a.Remarks)
	q, _ = take("the hot sensor is 3.0 k at 55", off, 0.7)
	assert.Equal(t, []Read{{Test: test, Figures: "3.0k at=55C"}}, q.Readings, "the figure decides where the words do not")
	q, a = take("5 k at 55, spot on", fits, 0.9)
	assert.Empty(t, q.Readings)
	assert.Empty(t, q.Results)
	require.Len(t, a.Remarks, 1)
	assert.Contains(t, a.Remarks[0], "the figure in it is high")
	q, _ = take("spot on with the chart", fits, 0.9)
	assert.Equal(t, []Tested{{Test: test, Result: fits}}, q.Results)
	q, _ = take("3.0 k at 55", fits, 0.3)
	assert.Empty(t, q.Readings, "it is not clear of which test it is told")
}
