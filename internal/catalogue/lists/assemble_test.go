package lists

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/note"
	"kg/internal/parts"
)

// What a type keeps people safe from stands in its note, and goes for the types that
// are one. A list, or a note of a part, can add to that and takes nothing away.
func TestATypeKeepsPeopleSafeByItsNoteAndByWiderTypes(t *testing.T) {
	t.Parallel()
	var kept []*note.Note
	for file, text := range map[string]string{
		"component/vent-damper.md":      "name: Vent damper\nsafety: combustion\n",
		"component/vent-damper-d80.md":  "name: Vent damper of 80 mm\nis-a: [vent-damper]\n",
		"component/vent-damper-blue.md": "name: Blue vent damper\nis-a: [vent-damper]\nsafety: pressure-sensing\n",
		"component/gas-valve.md":        "name: Gas valve\nsafety: gas\n",
		"component/gas-valve-blue.md":   "name: Blue gas valve\nis-a: [gas-valve]\n",
		"component/knob.md":             "name: Knob\n",
		"component/dial.md":             "name: Dial\n",
	} {
		n, problems := note.Parse(file, []byte("---\n"+text+"---\n"))
		require.Empty(t, problems)
		kept = append(kept, n)
	}
	want := map[string]note.Safety{
		"vent-damper": note.Combustion, "vent-damper-d80": note.Combustion, "vent-damper-blue": note.PressureSensing,
		"gas-valve": note.Gas, "gas-valve-blue": note.Gas, "knob": note.NoSafety, "dial": note.TemperatureLimit,
	}
	ofList := map[string]note.Safety{"gas-valve": note.Relief, "gas-valve-blue": note.Combustion, "dial": note.TemperatureLimit}
	var rows []*parts.Part
	for kind := range want {
		rows = append(rows, &parts.Part{ID: parts.IDOf("Ferrow", kind), Number: kind, Maker: "Ferrow", Type: kind, Safety: ofList[kind]})
	}
	list, problems := Assemble(kept, rows, func(*parts.Part) int { return 0 })
	require.Empty(t, problems)
	require.Len(t, list, len(want))
	for _, p := range list {
		assert.Equal(t, want[p.Type], p.Class(), p.Type)
		like := &parts.Part{ID: "lunt/1", Number: "1", Maker: "Lunt", Type: p.Type}
		p.Claims = []parts.Claim{{By: like.ID, Grade: note.Identical}}
		got, err := parts.Interchange(func(parts.ID) (*parts.Part, error) { return like, nil }, p)
		require.NoError(t, err)
		require.Len(t, got, 1)
		assert.Equal(t, want[p.Type] != note.NoSafety, got[0].Refused != "", p.Type)
	}
}
