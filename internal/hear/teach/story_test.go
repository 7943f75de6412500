package main

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/hear"
	"kg/internal/note"
	"kg/speech"
)

var known = map[hear.Meaning]bool{
	{Says: hear.ThereSaid, ID: "no-heat"}: true, {Says: hear.ThereSaid, ID: "no-hot-water"}: true, {Says: hear.ThereSaid, ID: "gas-smell"}: true,
}

func TestAStoryTeachesWhatItsPartsSay(t *testing.T) {
	t.Parallel()
	there := func(id note.ID) hear.Meaning { return hear.Meaning{Says: hear.ThereSaid, ID: id} }
	absent := func(id note.ID) hear.Meaning { return hear.Meaning{Says: hear.AbsentSaid, ID: id} }
	got, err := parts(speech.Story{Pieces: []speech.Piece{
		{ID: speech.Nothing, Text: "morning,"},
		{ID: "no-heat", Text: "it's cold"},
		{ID: "no-heat", Text: "stone cold"},
		{ID: "no-hot-water", Absent: true, Text: "but the taps are hot"},
	}}, known)
	require.NoError(t, err)
	type taught struct {
		text, around string
		means        hear.Meaning
	}
	var all []taught
	for _, l := range got {
		all = append(all, taught{l.text, l.around, l.means})
	}
	several := hear.Meaning{Says: hear.SeveralSaid}
	assert.Equal(t, []taught{
		{"morning,", " it's cold stone cold but the taps are hot", hear.Meaning{}},
		{"morning, it's cold", " stone cold but the taps are hot", there("no-heat")},
		{"morning, it's cold stone cold", " but the taps are hot", there("no-heat")},
		{"morning, it's cold stone cold but the taps are hot", " ", several},
		{"it's cold", "morning, stone cold but the taps are hot", there("no-heat")},
		{"it's cold stone cold", "morning, but the taps are hot", there("no-heat")},
		{"it's cold stone cold but the taps are hot", "morning, ", several},
		{"stone cold", "morning, it's cold but the taps are hot", there("no-heat")},
		{"stone cold but the taps are hot", "morning, it's cold ", several},
		{"but the taps are hot", "morning, it's cold stone cold ", absent("no-hot-water")},
	}, all)

	_, err = parts(speech.Story{Speaker: "old", Pieces: []speech.Piece{{ID: "unheard-of", Text: "eh?"}}}, known)
	assert.EqualError(t, err, `a story of old: no note has unheard-of, of which it is told "eh?"`)
}

// What says several things sounds like the gravest of them.
func TestTheToneOfSeveralThingsIsThatOfTheGravest(t *testing.T) {
	t.Parallel()
	tone := func(of ...hear.Meaning) hear.Tone {
		return lesson{means: hear.Meaning{Says: hear.SeveralSaid}, of: of}.tone(map[note.ID]bool{"gas-smell": true})
	}
	there, fine := hear.Meaning{Says: hear.ThereSaid, ID: "no-heat"}, hear.Meaning{Says: hear.AbsentSaid, ID: "no-hot-water"}
	smell, none := hear.Meaning{Says: hear.ThereSaid, ID: "gas-smell"}, hear.Meaning{Says: hear.AbsentSaid, ID: "gas-smell"}
	assert.Equal(t, hear.GraveTone, tone(fine, smell, there))
	assert.Equal(t, hear.Tone(hear.ThereSaid), tone(fine, there, none))
	assert.Equal(t, hear.Tone(hear.AbsentSaid), tone(fine, none))
}
