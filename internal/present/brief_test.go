package present

import (
	"bytes"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/advise"
	"kg/internal/library"
	"kg/internal/signal"
)

// ladder is an answer with one of everything that a short answer may hold.
func ladder() advise.Answer {
	step := []library.Alert{{ID: "hot", Name: "Hot", Level: signal.Danger, Text: "It is hot enough to scald, and stays so long after it is off."}, {ID: "wet", Name: "Wet floor", Level: signal.Caution, Text: "Mind the floor."}}
	return advise.Answer{
		Query:    "no heat at all since this morning, and it drips",
		Findings: []advise.Found{{Symptom: "no-heat", Name: "No heat", Present: true, Score: 0.9, Text: "no heat at all since this morning"}},
		Causes: []advise.Cause{
			{Mode: "pump-seized", Name: "Seized", ComponentName: "Pump", Probability: 0.7, IfLeft: "It burns out.", StopGap: &advise.RemedyRef{Remedy: "free-it", Name: "Free it"}},
			{Mode: "valve-stuck", Name: "Stuck", ComponentName: "Valve", Probability: 0.2},
			{Mode: "board-dead", Name: "Dead", ComponentName: "Board", Probability: 0.01},
		},
		Next: &advise.Next{Kind: advise.StepTest, ID: "turn-it", Name: "Turn it by hand", Minutes: 5, Why: "about 20 minutes", Steps: []string{"Turn it."}, Caveats: step,
			Results: []advise.NextResult{{Name: "it turns", FirstName: "Valve: Stuck", First: "valve-stuck", Probability: 0.8, Means: "Look further."}, {Name: "it stands"}}},
		Caveats: append(step, library.Alert{ID: "gas", Name: "Gas work", Level: signal.Danger, Text: "For those licensed."}),
	}
}

// On a ladder the next step comes first, with its own dangers in full and its results by
// number; then the causes, a line each, the first with its stop-gap and what comes of
// leaving it.
func TestAShortAnswerBeginsWithTheNextStep(t *testing.T) {
	t.Parallel()
	for _, width := range []int{Narrowest, Columns, Widest} {
		var out bytes.Buffer
		NewPage(&out, width, false).Answer(ladder(), false, false)
		text := strings.Join(strings.Fields(out.String()), " ")
		at := -1
		for _, want := range []string{
			"yes No heat", "Next Turn it by hand", "DANGER It is hot enough to scald, and stays so long after it is off.", "CAUTION Wet floor", "1 Turn it.",
			"1 it turns: Valve: Stuck, 4 in 5", "2 it stands", "Causes", "1 7 in 10 Pump: Seized", "stop-gap Free it [free-it]: no repair", "if left It burns out.",
			"2 1 in 5 Valve: Stuck", "DANGER Gas work",
		} {
			i := strings.Index(text, want)
			require.Greater(t, i, at, "%q at %d columns, in its place", want, width)
			at = i
		}
		assert.NotContains(t, text, "Board", "what is hardly probable has no line")
		assert.NotContains(t, text, "For those licensed.", "only the step's own dangers are in full")
		for _, line := range strings.Split(out.String(), "\n") {
			assert.LessOrEqual(t, utf8.RuneCountInString(line), width, line)
		}
	}
}

// In full, nothing is left out.
func TestAFullAnswerHoldsWhatAShortOneLeavesOut(t *testing.T) {
	t.Parallel()
	var out bytes.Buffer
	NewPage(&out, Columns, false).Answer(ladder(), true, false)
	for _, want := range []string{"DANGER   For those licensed.", "Board: Dead", "Look further."} {
		assert.Contains(t, out.String(), want)
	}
}
