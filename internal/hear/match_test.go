package hear

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/archive"
	"kg/internal/bucket/memory"
	"kg/internal/library"
	"kg/internal/library/bundle"
	"kg/internal/link"
	"kg/internal/note"
)

const notes = `
component/pump: name: Pump
component/vessel: name: Expansion vessel
mode/pump-seized: name: Seized|component: pump|also: [jammed pump]
mode/vessel-flat: name: Lost its charge|component: vessel|also: [flat vessel]
symptom/no-rise: name: Pressure does not rise when the pump starts|also: [needle stays put when it kicks in]
symptom/climbs: name: Pressure climbs as the system heats|also: [pressure too high when hot]
symptom/cold: name: Radiator cold at the top|also: [top of the radiator is stone cold]
symptom/gas-smell: name: Smell of gas|also: [gas can be smelt]|stop-work: [Get out]
symptom/sparks: name: Sparks from the board|also: [board is arcing]|stop-work: [Keep away]
test/turns: name: See whether the pump turns|minutes: 5|who: apprentice|steps: [Look at the shaft]|results: {still: , turns: }
appliance/demo: name: Demo|codes: {B14: no-rise, "B.15": climbs, "117": cold}
appliance/other: name: Other|codes: {P.04: no-rise, B14: climbs}
synonym/start: name: start|words: [start, kick in, kicks in]
`

// small listens to a library of a few notes and some links, in memory.
func small(t *testing.T, links ...link.Edge) *ear {
	t.Helper()
	var parsed []*note.Note
	var records []archive.Record
	for line := range strings.Lines(strings.TrimSpace(notes)) {
		path, front, _ := strings.Cut(strings.TrimSpace(line), ": ")
		n, problems := note.Parse(path+".md", []byte("---\n"+strings.ReplaceAll(front, "|", "\n")+"\n---\nProse.\n"))
		require.NotNil(t, n, "%v", problems)
		parsed = append(parsed, n)
		records = append(records, archive.Record{Entry: n.Entry, Path: n.Path})
	}
	var entries, parts memory.Buckets
	require.NoError(t, archive.Write(t.Context(), &entries, records))
	require.NoError(t, archive.WriteSayings(t.Context(), &entries, parsed))
	require.NoError(t, archive.WriteParts(t.Context(), &parts, nil))
	lib, err := library.New(library.Stores{Entries: &entries, Parts: &parts, Links: bundle.LinksOf(links, nil)}, nil)
	require.NoError(t, err)
	return listener(lib, note.KindSymptom, note.KindMode)
}

func TestWordsFindTheSymptomTheyAreLike(t *testing.T) {
	t.Parallel()
	e := small(t)
	for words, want := range map[string]note.ID{
		"pressure not rising on pump start":    "no-rise",
		"needle stays put when it starts":      "no-rise", // by the synonym
		"presure climbing as the sytem heats":  "climbs",  // in spite of two mistakes
		"top of radiators cold":                "cold",
		"the pump has jammed":                  "pump-seized",
		"flat vessel":                          "vessel-flat",
		"it is far too hot, pressure high too": "climbs",
	} {
		got, err := e.match(words, 3)
		require.NoError(t, err)
		require.NotEmpty(t, got, words)
		assert.Equal(t, want, got[0].ID, words)
		assert.NotEmpty(t, got[0].Words, words)
		assert.InDelta(t, 0.5, got[0].Score, 0.5)
	}
	none, err := e.match("quantum banana", 3)
	require.NoError(t, err)
	assert.Empty(t, none)
}

func TestAMatchIsTheSameEachTime(t *testing.T) {
	t.Parallel()
	e := small(t)
	first, err := e.match("pressure pump radiator", 10)
	require.NoError(t, err)
	for range 5 {
		again, err := e.match("pressure pump radiator", 10)
		require.NoError(t, err)
		assert.Equal(t, first, again)
	}
}

func TestCodesAreFoundInAnySpelling(t *testing.T) {
	t.Parallel()
	e := small(t)
	for _, spelling := range []string{"B14", "b 14", "B.14", "b-14"} {
		got, err := e.Codes(spelling)
		require.NoError(t, err)
		assert.Len(t, got, 2, spelling)
	}
	got, err := e.Codes("b15")
	require.NoError(t, err)
	assert.Equal(t, []archive.Code{{Appliance: "demo", Shown: "B.15", Means: []note.ID{"climbs"}}}, got)
	none, err := e.Codes("B1")
	require.NoError(t, err)
	assert.Empty(t, none)
	near, err := e.NearCodes("P05")
	require.NoError(t, err)
	require.NotEmpty(t, near)
	assert.Equal(t, "P.04", near[0].Shown)
}
