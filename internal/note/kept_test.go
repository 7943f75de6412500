package note_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/note"
	"kg/internal/place"
)

func TestMentionsKeepTheirPlaceAndFigure(t *testing.T) {
	t.Parallel()
	n, problems := note.Parse("mode/m.md", []byte("---\nname: Été\ncomponent: pump\n"+
		"shows: {no-heat: 9 in 10, cold-room: likely}\nsettled-by:\n  - spin-test\nrepair: new-pump\n---\n"))
	require.Empty(t, problems)
	at := func(line, column int) place.Pos { return place.Pos{File: "mode/m.md", Line: line, Column: column} }
	assert.Equal(t, []note.Ref{
		{Pos: at(3, 12), ID: "pump", Field: "component", Kinds: []note.Kind{note.KindComponent}},
		{Pos: at(4, 9), ID: "no-heat", Field: "shows", Kinds: []note.Kind{note.KindSymptom}, Figure: figure(t, "9 in 10")},
		{Pos: at(4, 27), ID: "cold-room", Field: "shows", Kinds: []note.Kind{note.KindSymptom}, Figure: figure(t, "likely")},
		{Pos: at(6, 5), ID: "spin-test", Field: "settled-by", Kinds: []note.Kind{note.KindTest}},
		{Pos: at(7, 9), ID: "new-pump", Field: "repair", Kinds: []note.Kind{note.KindRemedy}},
	}, n.Refs)
	assert.Equal(t, at(4, 18), n.FirstFigure)
	assert.Equal(t, at(5, 1), n.At("settled-by"))
	assert.Equal(t, at(1, 1), n.At("leads-to"), "a key that is not there is missed at the start of the note")
}

func TestProseIsKeptWhateverItHolds(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct{ text, want string }{
		"a rule across the page":   {"---\nname: P\n---\nA\n\n---\n\nB\n", "A\n\n---\n\nB"},
		"nothing":                  {"---\nname: P\n---", ""},
		"no line end at the end":   {"---\nname: P\n---\nA", "A"},
		"CRLF":                     {"---\r\nname: P\r\n---\r\nA\r\nB\r\n", "A\nB"},
		"three dashes in a value":  {"---\nname: P\nsource: a --- b\n---\nA\n", "A"},
		"what looks like a key":    {"---\nname: P\n---\nname: Q\n", "name: Q"},
		"separators that YAML has": {"---\nname: P\n---\nA\u2028B\n", "A\u2028B"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			n, problems := note.Parse("component/p.md", []byte(c.text))
			require.Empty(t, problems)
			assert.Equal(t, "P", n.Name())
			assert.Equal(t, c.want, n.Entry.Head().Body)
		})
	}
}

func TestPathsOfBothSlashesNameTheKind(t *testing.T) {
	t.Parallel()
	n, problems := note.Parse("a/b/components/pump.md", []byte("---\nname: P\n---\n"))
	require.Empty(t, problems)
	assert.Equal(t, note.KindComponent, n.Kind(), "a folder may be called by the plural")
	assert.Equal(t, note.ID("pump"), n.ID())
}
