package hear

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/note"
)

func TestAFindingIsDoubtfulWhereASecondSenseIsAboutAsGood(t *testing.T) {
	t.Parallel()
	senses := func(weights ...float64) Finding {
		var f Finding
		for _, w := range weights {
			f.Senses = append(f.Senses, Sense{Weight: w})
		}
		return f
	}
	assert.False(t, senses(1).Doubtful())
	assert.True(t, senses(0.6, 0.4).Doubtful())
	assert.False(t, senses(0.8, 0.2).Doubtful())
	assert.True(t, senses(0.5, 0.3, 0.2).Doubtful())
}

// The longer a text, the more the whole note counts beside its sayings.
func TestAStoryIsComparedWithTheWholeNote(t *testing.T) {
	t.Parallel()
	assert.InDelta(t, 0.2, storyShare(1), 1e-9)
	assert.InDelta(t, 0.2, storyShare(6), 1e-9)
	assert.InDelta(t, 0.4, storyShare(10), 1e-9)
	assert.InDelta(t, 0.5, storyShare(40), 1e-9)
}

func TestNothingIsLikeNothing(t *testing.T) {
	t.Parallel()
	one := func(string) float64 { return 1 }
	for _, c := range [][2][]string{{nil, {"pump"}}, {{"pump"}, nil}, {nil, nil}} {
		score, common := likeness(c[0], c[1], one)
		assert.Zero(t, score)
		assert.Empty(t, common)
	}
}

// What is nearest adds to what was learned of the same meaning, the first as well.
func TestWhatIsNearestAddsToWhatWasLearned(t *testing.T) {
	t.Parallel()
	e := small(t)
	e.learned = &Learned{known: map[note.ID]bool{"cold": true, "climbs": true}}
	cold, climbs := there("cold", 0.6), there("climbs", 0.4)
	got := e.mixed(guesses{cold, climbs}, 0, guesses{there("cold", 1)}, 0.2)
	require.Len(t, got, 2)
	assert.Equal(t, note.ID("cold"), got[0].ID)
	assert.InDelta(t, 0.8*0.6+0.2, got[0].p, 1e-9)
	assert.InDelta(t, 0.8*0.4, got[1].p, 1e-9)
}

// Only what is fairly probable is offered as what may be meant, each once.
func TestWhatMayBeMeantIsFairlyProbable(t *testing.T) {
	t.Parallel()
	e := small(t)
	var u understanding
	w := window{text: "hm", guesses: guesses{there("cold", 0.15), there("climbs", offered), there("no-rise", offered-0.001)}}
	require.NoError(t, e.take(w, &u))
	assert.Empty(t, u.findings)
	require.Len(t, u.unsure, 2)
	assert.Equal(t, note.ID("cold"), u.unsure[0].ID)
	assert.Equal(t, note.ID("climbs"), u.unsure[1].ID)
}

// What is said not to be there counts whole, whatever else may have been meant.
func TestWhatIsAbsentCountsWhole(t *testing.T) {
	t.Parallel()
	e := small(t)
	var u understanding
	absent := guess{Meaning: Meaning{Says: AbsentSaid, ID: "cold"}, p: 0.7}
	w := window{text: "all hot", guesses: guesses{absent, there("climbs", 0.2)}}
	require.NoError(t, e.take(w, &u))
	require.Len(t, u.findings, 1)
	assert.False(t, u.findings[0].Present)
	assert.Equal(t, 1.0, u.findings[0].Senses[0].Weight)
	// What is mostly said decides, though one other thing is likelier than each of it.
	u = understanding{}
	w.guesses = guesses{there("climbs", 0.44), absent, {Meaning: Meaning{Says: AbsentSaid, ID: "no-rise"}, p: 0.13}}
	w.guesses[1].p = ruledOut
	require.NoError(t, e.take(w, &u))
	require.Len(t, u.findings, 1)
	assert.Equal(t, note.ID("cold"), u.findings[0].Senses[0].ID)
	// What might be either of two absent things rules neither out.
	u = understanding{}
	w.guesses = guesses{absent, {Meaning: Meaning{Says: AbsentSaid, ID: "no-rise"}, p: 0.35}}
	w.guesses[0].p = ruledOut - 0.01
	require.NoError(t, e.take(w, &u))
	assert.Empty(t, u.findings)
}

// What an answer does not name carries no weight: it is as if something unknown was said.
func TestSensesThatAreNotNamedCarryNothing(t *testing.T) {
	t.Parallel()
	clear := Finding{Present: true, Senses: []Sense{{ID: "cold", Score: 0.6, Weight: 0.75}, {ID: "climbs", Score: 0.2, Weight: 0.25}}}
	settled := clear.Settled()
	assert.Equal(t, []Sense{{ID: "cold", Score: 0.6, Weight: 1}}, settled.Senses)
	assert.InDelta(t, 0.75, clear.Senses[0].Weight, 1e-12, "the finding itself is as it was")
	e := settled.Evidence()
	require.Len(t, e.Senses, 2)
	assert.InDelta(t, 0.4, e.Senses[0].Weight, 1e-12, "for something unknown")
	assert.InDelta(t, 0.6, e.Senses[1].Weight, 1e-12)
	doubtful := Finding{Present: true, Senses: []Sense{{ID: "cold", Score: 0.4, Weight: 0.5}, {ID: "climbs", Score: 0.4, Weight: 0.5}}}
	assert.Equal(t, doubtful, doubtful.Settled())
}
