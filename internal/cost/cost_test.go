package cost

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"kg/internal/note"
)

func TestWhatATeamDoesNotSetIsUsual(t *testing.T) {
	t.Parallel()
	assert.InDelta(t, 360, Costs{}.Of(Call), 1e-12)
	c := Team([]Item{{Name: Call, Minutes: 240, Reason: "the next van is near"}, {Name: Step, Minutes: 1, Reason: "as usual"}})
	assert.InDelta(t, 240, c.Of(Call), 1e-12)
	assert.InDelta(t, 120, c.Of(Visit), 1e-12)
	assert.Zero(t, c.Of("unheard-of"))
	own := c.Own()
	if assert.Len(t, own, 1, "what is as usual is not one's own") {
		assert.Equal(t, Call, own[0].Name)
		assert.InDelta(t, 360, own[0].Usual, 1e-12)
		assert.Equal(t, "the next van is near", own[0].Reason)
	}
	assert.Empty(t, Costs{}.Own())
	for _, i := range (Costs{}).All() {
		assert.InDelta(t, i.Usual, i.Minutes, 1e-12)
		assert.NotEmpty(t, i.About)
	}
}

// Each state that a step may need has a cost.
func TestEachPreparationHasACost(t *testing.T) {
	t.Parallel()
	for _, p := range note.Preparations() {
		assert.Contains(t, Names(), Name(p))
		assert.Positive(t, Costs{}.Of(Name(p)))
	}
}
