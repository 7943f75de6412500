package advise

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/diagnose"
	"kg/internal/hear"
	"kg/internal/library"
	"kg/internal/library/librarytest"
	"kg/internal/link"
	"kg/internal/note"
)

// The checks in this file are on the shipped notes. Figures without another
// source are common practice, no source.

func ask(t *testing.T, l *library.Library, words string, appliance note.ID) Answer {
	t.Helper()
	a, err := Ask(t.Context(), l, Question{Text: words, Appliance: appliance})
	require.NoError(t, err, words)
	return a
}

func TestAPressureThatDoesNotRiseIsTheSensorNineteenTimesInTwenty(t *testing.T) {
	t.Parallel()
	l := librarytest.Shipped(t)
	sensors := func(a Answer) (sum float64) {
		for _, c := range a.Causes {
			if c.Component == "pressure-sensor" {
				sum += c.Probability
			}
		}
		return sum
	}
	certain, err := Ask(t.Context(), l, Question{Symptoms: []note.ID{"no-pressure-rise-on-pump-start"}})
	require.NoError(t, err)
	assert.InDelta(t, 0.95, sensors(certain), 0.02)
	a := ask(t, l, "pressure not rising on pump start", "")
	assert.InDelta(t, 0.95, sensors(a), 0.05, "with a little doubt about what the words mean")
	require.NotEmpty(t, a.Causes)
	assert.Equal(t, note.ID("pressure-sensor-stuck"), a.Causes[0].Mode)
	for _, c := range a.Causes[1:min(4, len(a.Causes))] {
		about := c.ComponentName + " " + c.Name + " through " + c.Path[0].Name
		assert.Regexp(t, `(?i)pump|water|pressure sensor|valve|air`, about, "the pump not running and too little water are the rest")
	}
	require.NotEmpty(t, a.Causes[0].Path)
	assert.Equal(t, note.ID("no-pressure-rise-on-pump-start"), a.Causes[0].Path[0].From)
	assert.Equal(t, note.ID("pressure-sensor"), a.Causes[0].Path[len(a.Causes[0].Path)-1].To)
}

func TestAStuckSensorIsProvedOnADrainedSystem(t *testing.T) {
	t.Parallel()
	l := librarytest.Shipped(t)
	rec, err := l.Entry("test-pressure-sensor-drained")
	require.NoError(t, err)
	test := TestFigures(rec.Entry.(*note.Test))
	above := slices.IndexFunc(test.Results, func(r diagnose.Result) bool { return strings.Contains(r.Name, "above zero") })
	require.GreaterOrEqual(t, above, 0)
	stuck := test.Results[above].Given["pressure-sensor-stuck"]
	assert.Greater(t, stuck, 0.9, "a stuck one shows pressure that is not there")
	assert.Less(t, test.Results[above].Otherwise, 0.1, "a healthy one reads zero")
}

func TestTheRepairOfTheSensorIsCheckedAndTheStopGapIsLimited(t *testing.T) {
	t.Parallel()
	c := ask(t, librarytest.Shipped(t), "pressure not rising on pump start", "").Causes[0]
	require.NotNil(t, c.Repair)
	checks := strings.Join(c.Repair.Checks, "\n")
	assert.Regexp(t, `(?i)zero.*drained`, checks)
	assert.Regexp(t, `1 to 1\.5 bar`, checks)
	assert.Regexp(t, `(?i)half a bar.*discharge side`, checks, "the rise is seen only there")
	require.NotNil(t, c.StopGap)
	rec, err := librarytest.Shipped(t).Entry(c.StopGap.Remedy)
	require.NoError(t, err)
	gap := rec.Entry.(*note.Remedy)
	assert.Equal(t, note.StopGap, gap.Measure)
	text := strings.Join(append(gap.Steps, gap.Limits...), "\n") + gap.Body
	assert.Regexp(t, `1\.7`, text)
	assert.Regexp(t, `(?i)above (?:about )?2 bar`, text)
	assert.Regexp(t, `(?i)both filling valves`, text)
}

func TestKeepWarmOffExplainsNoStartAfterAReset(t *testing.T) {
	t.Parallel()
	a := ask(t, librarytest.Shipped(t), "does nothing after a reset, keep warm is off", "")
	require.NotEmpty(t, a.Causes)
	first := a.Causes[:min(2, len(a.Causes))]
	assert.True(t, slices.ContainsFunc(first, func(c Cause) bool { return c.Component == "keep-warm" }), "%v", first)
}

func TestCodesOfTwoMakersLeadToTheSameSymptom(t *testing.T) {
	t.Parallel()
	l := librarytest.Shipped(t)
	for _, c := range []struct {
		code      string
		appliance note.ID
	}{
		{"B14", "skerry-c24"}, {"b 14", "skerry-c24"}, {"B-14", "skerry-c24"}, {"fault B14", "skerry-c24"},
		{"P.04", "tholen-combi-30"}, {"P04", "tholen-combi-30"}, {"p 04", "tholen-combi-30"},
	} {
		a := ask(t, l, c.code, c.appliance)
		require.NotEmpty(t, a.Findings, c.code)
		assert.Equal(t, note.ID("no-pressure-rise-on-pump-start"), a.Findings[0].Symptom, c.code)
		require.NotEmpty(t, a.Causes, c.code)
		assert.Equal(t, note.ID("pressure-sensor"), a.Causes[0].Component, c.code)
		assert.Empty(t, a.Remarks, "%s is a code of %s", c.code, c.appliance)
	}
	wrong := ask(t, l, "B14", "tholen-combi-30")
	require.NotEmpty(t, wrong.Remarks)
	assert.Contains(t, wrong.Remarks[0], "not a code of")
	unknown := ask(t, l, "B15", "skerry-c24")
	require.NotEmpty(t, unknown.Remarks)
	assert.Contains(t, unknown.Remarks[0], "B14", "near codes are named")
}

func TestEveryCodeOfEveryApplianceLeadsSomewhere(t *testing.T) {
	t.Parallel()
	l := librarytest.Shipped(t)
	appliances, err := l.List(note.KindAppliance)
	require.NoError(t, err)
	for _, title := range appliances {
		rec, err := l.Entry(title.ID)
		require.NoError(t, err)
		for _, c := range rec.Entry.(*note.Appliance).Codes {
			a := ask(t, l, c.Shown, title.ID)
			assert.True(t, len(a.Causes) > 0 || a.Stop != nil, "%s on %s", c.Shown, title.ID)
		}
	}
}

func TestTheNameOfEveryStopWorkSymptomStopsTheWork(t *testing.T) {
	t.Parallel()
	l := librarytest.Shipped(t)
	symptoms, err := l.List(note.KindSymptom)
	require.NoError(t, err)
	stops := 0
	for _, title := range symptoms {
		rec, err := l.Entry(title.ID)
		require.NoError(t, err)
		if s := rec.Entry.(*note.Symptom); len(s.StopWork) > 0 {
			stops++
			a := ask(t, l, s.Name, "")
			require.NotNil(t, a.Stop, s.Name)
			assert.True(t, a.Stop.Sure, s.Name)
			assert.NotEmpty(t, a.Stop.First, s.Name)
			assert.Empty(t, a.Causes, "no diagnosis goes on: %s", s.Name)
		}
	}
	assert.Greater(t, stops, 10)
}

func TestWhatIsDeniedDoesNotStopTheWork(t *testing.T) {
	t.Parallel()
	l := librarytest.Shipped(t)
	for _, words := range []string{"no gas smell, boiler won't light", "heating isn't working and no gas smell"} {
		a := ask(t, l, words, "")
		assert.True(t, a.Stop == nil || !a.Stop.Sure, words)
	}
}

func TestTheNameOfEverySymptomFindsIt(t *testing.T) {
	t.Parallel()
	l := librarytest.Shipped(t)
	symptoms, err := l.List(note.KindSymptom)
	require.NoError(t, err)
	var missed []string
	for _, s := range symptoms {
		a := ask(t, l, s.Name, "")
		found := a.Stop != nil && a.Stop.Symptom == s.ID
		for _, f := range a.Findings {
			found = found || f.Symptom == s.ID || slices.ContainsFunc(f.Others, func(r hear.Sense) bool { return r.ID == s.ID })
		}
		if !found {
			missed = append(missed, string(s.ID))
		}
	}
	assert.Empty(t, missed)
}

// The stated usual causes are constraints on the fit: the posterior given the
// symptom alone reproduces them within one hundredth. Source: the notes' own
// statements.
func TestStatedUsualCausesComeOut(t *testing.T) {
	t.Parallel()
	l := librarytest.Shipped(t)
	symptoms, err := l.List(note.KindSymptom)
	require.NoError(t, err)
	checked := 0
	for _, title := range symptoms {
		rec, err := l.Entry(title.ID)
		require.NoError(t, err)
		s := rec.Entry.(*note.Symptom)
		said := []hear.Finding{{Present: true, Senses: []hear.Sense{{ID: s.ID, Kind: note.KindSymptom, Score: 1, Weight: 1}}}}
		n, err := adviser{l}.around(t.Context(), said, diagnose.Evidence{}, nil)
		require.NoError(t, err)
		got := map[note.ID]float64{}
		beliefs, err := n.model.Posterior(diagnose.Evidence{Findings: []diagnose.Finding{said[0].Evidence()}})
		require.NoError(t, err)
		for _, b := range beliefs.Causes {
			got[b.ID] = b.Probability
		}
		for _, share := range s.UsualCauses {
			checked++
			assert.InDelta(t, share.Figure.P, got[share.To], 0.01, "%s given %s", share.To, s.ID)
		}
	}
	assert.Greater(t, checked, 500)
}

func TestOddQuestionsHaveNoConfidentAnswer(t *testing.T) {
	t.Parallel()
	l := librarytest.Shipped(t)
	for name, words := range map[string]string{
		"one letter": "x", "spaces": "   ", "emoji": "🔥🔥🔥", "only stop words": "it is the and of",
		"Arabic": "المرجل لا يعمل", "Hebrew": "הדוד לא עובד", "control characters": "\x00\x07\x1b[31m\r\n\t",
		"right to left override": "\u202epump", "SQL": "'; DROP TABLE notes; --", "a cat": "my cat likes to sing opera",
		"German": "Wann fährt der nächste Bus nach Hause", "French": "je voudrais un café s'il vous plaît",
		"ten thousand words": strings.Repeat("quantum banana ", 5000), "digits": "1234567890", "punctuation": "?!.,;:--//",
	} {
		t.Run(name, func(t *testing.T) {
			a, err := Ask(t.Context(), l, Question{Text: words})
			require.NoError(t, err)
			if len(a.Causes) > 0 {
				assert.Less(t, a.Causes[0].Probability, 0.8, fmt.Sprint(a.Findings))
			}
		})
	}
}

func TestTheChainOfEverySymptomCanBeWalkedBothWays(t *testing.T) {
	t.Parallel()
	l := librarytest.Shipped(t)
	for _, id := range []note.ID{"pressure-climbs-hot", "expansion-vessel-lost-charge"} {
		for _, d := range []link.Direction{link.Back, link.Ahead} {
			tree, err := Chain(t.Context(), l, id, d, 3)
			require.NoError(t, err)
			assert.Equal(t, id, tree.ID)
		}
	}
	_, err := Chain(t.Context(), l, "nothing-like-it", link.Back, 3)
	var missing *library.NotFound
	require.ErrorAs(t, err, &missing)
}

func TestACancelledQuestionIsNoAnswer(t *testing.T) {
	t.Parallel()
	l := librarytest.Shipped(t)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := Ask(ctx, l, Question{Text: "pressure not rising on pump start"})
	require.ErrorIs(t, err, context.Canceled)
}
