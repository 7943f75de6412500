package main

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"kg/internal/advise"
	"kg/internal/hear"
	"kg/internal/note"
)

// At a terminal a question is answered by its number; anything else is asked again, and
// an empty line leaves it.
func TestAQuestionIsAnsweredAtATerminal(t *testing.T) {
	t.Parallel()
	for typed, want := range map[string]int{
		"2\n":           2,
		"no\n":          3,
		"what?\n9\n1\n": 1,
		"\n":            0,
		"":              0,
		"what?":         0,
	} {
		var out bytes.Buffer
		got, answered := answerFrom(strings.NewReader(typed), &out, 2)
		assert.Equal(t, want, got, typed)
		assert.Equal(t, want > 0, answered, typed)
		assert.Contains(t, out.String(), "1 to 3?")
	}
}

func TestAnAnswerGoesIntoTheQuestion(t *testing.T) {
	t.Parallel()
	asks := advise.Answer{Next: &advise.Next{Kind: advise.StepAsk}, Near: []hear.Sense{{ID: "fan-noise"}, {ID: "noisy-radiators"}}}
	q := advise.Question{Text: "funny noise"}
	assert.Equal(t, []note.ID{"noisy-radiators"}, q.Answered(asks, 2).Symptoms)
	assert.Equal(t, []note.ID{"fan-noise", "noisy-radiators"}, q.Answered(asks, 3).Not)
	assert.Empty(t, q.Answered(asks, 3).Symptoms)
	assert.Equal(t, q, q.Answered(advise.Answer{}, 0), "nothing was asked")
}
