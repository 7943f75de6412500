package main

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/hear"
	"kg/internal/note"
)

func TestWhatIsSaidOtherwise(t *testing.T) {
	t.Parallel()
	forms := map[string][]string{}
	for _, c := range changes(alone(t)[0].lib) {
		forms[c.name] = c.forms("It hums in the attic.")
	}
	assert.Equal(t, map[string][]string{
		"with a suffix": {
			"It hums in the attic for no reason", "It hums in the attic and it won't stop", "It hums in the attic, no idea why",
		},
		"with a word dropped": {
			"hums in the attic.", "It in the attic.", "It hums the attic.", "It hums in attic.", "It hums in the",
		},
		"with letters swapped": {"It husm in the attic."},
		"in capitals":          {"IT HUMS IN THE ATTIC."},
		"without vowels":       {"t hms n th ttc."},
	}, forms)
}

func TestFormsThatASayingDoesNotHave(t *testing.T) {
	t.Parallel()
	forms := map[string][]string{}
	for _, c := range changes(alone(t)[0].lib) {
		forms[c.name] = c.forms("and it is the hob")
	}
	assert.NotContains(t, forms["with a word dropped"], "and it is the", "nothing is left that means anything")
	assert.Len(t, forms["with a word dropped"], 4)
	assert.Empty(t, forms["with letters swapped"], "no word has four letters")
	assert.Empty(t, withoutAWord("it hums up there"), "four words")
	assert.Empty(t, withoutVowels("bzzt"))
	assert.Equal(t, []string{"a lk"}, withoutVowels("a leak"), "a word of vowels alone stays")
	assert.Empty(t, withLettersSwapped("aaaa"), "nothing would change")
}

// The interval is that of Newcombe, R. G. 1998. Two-sided confidence intervals for the
// single proportion. Statistics in Medicine 17: 857-872, table I, method 3.
func TestShareHasItsInterval(t *testing.T) {
	t.Parallel()
	s := tally{81, 263}.share()
	assert.InDelta(t, 0.3080, s.value, 5e-5)
	assert.InDelta(t, 0.2553, s.low, 5e-5)
	assert.InDelta(t, 0.3662, s.high, 5e-5)
	none := tally{0, 20}.share()
	assert.InDelta(t, 0, none.low, 1e-9)
	assert.InDelta(t, 0.1611, none.high, 5e-5)
	assert.Equal(t, estimate{0, 0, 1, "none"}, tally{}.share())
}

func TestCalibrationErrorIsWeighedByBins(t *testing.T) {
	t.Parallel()
	// Two of four at 0.75 are right, and the one at 1 is not: (4*0.25 + 1*1) / 5.
	all := []judged{{0.75, true}, {0.75, true}, {0.75, false}, {0.75, false}, {1, false}}
	assert.InDelta(t, 0.4, calibrationError(all), 1e-12)
	e := resampled(all, calibrationError)
	assert.Equal(t, e, resampled(all, calibrationError), "the same draws")
	assert.Less(t, e.low, e.high)
}

func TestTheLikeliestThingHeardIsJudged(t *testing.T) {
	t.Parallel()
	sense := func(id string, p float64) hear.Sense { return hear.Sense{ID: note.ID(id), Score: p} }
	there := hear.Finding{Present: true, Senses: []hear.Sense{sense("hums", 0.5)}}
	result := hear.Told{Test: "test-hum", Results: []hear.Likely{{Result: "it hums", Score: 0.7}}}
	symptom := said{means: []string{"hums"}}
	_, ok := judge(symptom)
	assert.False(t, ok)
	symptom.Unsure = []hear.Sense{sense("hums", 0.2)}
	j, _ := judge(symptom)
	assert.Equal(t, judged{0.2, true}, j)
	symptom.Findings = []hear.Finding{there}
	j, _ = judge(symptom)
	assert.Equal(t, judged{0.5, true}, j)
	symptom.Told = []hear.Told{result}
	j, _ = judge(symptom)
	assert.Equal(t, judged{0.7, false}, j)
	j, _ = judge(said{means: []string{"test-hum", "it hums"}, Heard: symptom.Heard})
	assert.Equal(t, judged{0.7, true}, j)
	there.Present = false
	j, _ = judge(said{means: []string{"hums"}, Heard: hear.Heard{Findings: []hear.Finding{there}}})
	assert.False(t, j.right, "it was heard as absent")
}

func TestFindingsOfAStoryNeedTheirSign(t *testing.T) {
	t.Parallel()
	finding := func(id string, present bool) hear.Finding {
		return hear.Finding{Present: present, Senses: []hear.Sense{{ID: note.ID(id)}}}
	}
	r := said{means: []string{"+hums,-drips,+clicks"}, Heard: hear.Heard{
		Findings: []hear.Finding{finding("hums", true), finding("drips", true)},
		Told:     []hear.Told{{Test: "test-hum"}},
	}}.retold()
	assert.Equal(t, retold{right: 1, heard: 3, labelled: 3}, r)
	assert.InDelta(t, 1.0/3, f1([]retold{r}), 1e-12)
}

func TestWhatIsHeardOfATest(t *testing.T) {
	t.Parallel()
	test := &note.Test{Header: note.Header{ID: "test-hum"}, Healthy: []string{"quiet"}, Results: []note.Result{{Name: "quiet"}, {Name: "it hums"}}}
	heard := func(results ...hear.Likely) told {
		return told{said{means: []string{"test-hum", "quiet"}, Heard: hear.Heard{Told: []hear.Told{{Test: "test-hum", Results: results}}}}, test}
	}
	right := heard(hear.Likely{Result: "quiet", Score: 0.9})
	assert.True(t, right.right())
	assert.False(t, right.fault())
	doubtful := heard(hear.Likely{Result: "it hums", Score: 0.5}, hear.Likely{Result: "quiet", Score: 0.3})
	assert.False(t, doubtful.right())
	assert.True(t, doubtful.asked())
	assert.False(t, doubtful.fault(), "what is asked about is not heard yet")
	wrong := heard(hear.Likely{Result: "it hums", Score: 0.8}, hear.Likely{Result: "quiet", Score: 0.1})
	assert.False(t, wrong.asked(), "it counts as found")
	assert.True(t, wrong.fault())
	assert.True(t, wrong.otherwise())
	right.Findings = []hear.Finding{{Present: true}}
	assert.True(t, right.fault())
	seen := func(p float64) []note.Link {
		return []note.Link{{To: "worn", Figure: note.Likelihood{P: p, Text: "as given"}}}
	}
	usually := func(p float64) note.Likelihood { return note.Likelihood{P: p, Text: "as given"} }
	unsaid := &note.Test{Results: []note.Result{
		{Name: "quiet", SeenWith: seen(0.1), Otherwise: usually(0.8)}, {Name: "it hums", SeenWith: seen(0.9), Otherwise: usually(0.2)},
	}}
	assert.True(t, healthy(unsaid, "quiet"), "it speaks against what is worn")
	assert.False(t, healthy(unsaid, "it hums"))
}

func TestTheTableMarksWhatMissesItsGoal(t *testing.T) {
	t.Parallel()
	var out bytes.Buffer
	require.NoError(t, table{
		{"heard", tally{9, 10}.share(), atLeast(0.95)},
		{"stopped", tally{1, 10}.share(), atMost(0.2)},
		{"beside", tally{1, 2}.share(), goal{}},
	}.print(&out))
	assert.Regexp(t, `heard +0\.900 +0\.596 to 0\.982 +9 of 10 +0\.95 +missed\n`, out.String())
	assert.Regexp(t, `stopped +0\.100 .* at most 0\.2 *\n`, out.String())
	assert.Regexp(t, `beside +0\.500 .* 1 of 2 *\n`, out.String())
}
