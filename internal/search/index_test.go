package search

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/note"
	"kg/internal/term"
)

const notes = `
component/pump: name: Pump
component/vessel: name: Expansion vessel
mode/pump-seized: name: Seized|component: pump|also: [jammed pump]
mode/vessel-flat: name: Lost its charge|component: vessel|also: [flat vessel]
symptom/no-rise: name: Pressure does not rise when the pump starts|also: [needle stays put when it kicks in]
symptom/climbs: name: Pressure climbs as the system heats|also: [pressure too high when hot]
symptom/cold: name: Radiator cold at the top|also: [top of the radiator is stone cold]
test/turns: name: See whether the pump turns|minutes: 5|who: apprentice|steps: [Look at the shaft]|results: {still: , turns: }
appliance/demo: name: Demo|codes: {B14: no-rise, "B.15": climbs, "117": cold}
appliance/other: name: Other|codes: {P.04: no-rise, B14: climbs}
synonym/start: name: start|words: [start, kick in, kicks in]
`

func terms(text string) []string { return term.List(term.Tokens(text)) }

// small is an index of a few notes.
func small(t *testing.T) *Index {
	t.Helper()
	var parsed []*note.Note
	for line := range strings.Lines(strings.TrimSpace(notes)) {
		path, front, _ := strings.Cut(strings.TrimSpace(line), ": ")
		n, problems := note.Parse(path+".md", []byte("---\n"+strings.ReplaceAll(front, "|", "\n")+"\n---\nProse.\n"))
		require.NotNil(t, n, "%v", problems)
		parsed = append(parsed, n)
	}
	folder := filepath.Join(t.TempDir(), "index")
	count, err := Write(t.Context(), folder, parsed)
	require.NoError(t, err)
	ix, err := Open(folder)
	require.NoError(t, err)
	t.Cleanup(func() { assert.NoError(t, ix.Close()) })
	assert.Equal(t, count, ix.Entries())
	return ix
}

func TestFindLooksEverywhere(t *testing.T) {
	t.Parallel()
	ix := small(t)
	got, err := ix.Find(t.Context(), terms("shaft"), "", nil, 10)
	require.NoError(t, err)
	require.Len(t, got.Hits, 1)
	assert.Equal(t, note.ID("turns"), got.Hits[0].ID, "a word of a step")

	begun, err := ix.Find(t.Context(), terms("expan"), "expan", nil, 10)
	require.NoError(t, err)
	assert.NotEmpty(t, begun.Hits, "the beginning of a word is enough")

	only, err := ix.Find(t.Context(), terms("pump"), "", []note.Kind{note.KindMode}, 10)
	require.NoError(t, err)
	require.Len(t, only.Hits, 1)
	assert.Equal(t, map[note.Kind]int{note.KindMode: 1}, only.Kinds)

	few, err := ix.Find(t.Context(), terms("pump"), "", nil, 1)
	require.NoError(t, err)
	assert.Len(t, few.Hits, 1)
	assert.Greater(t, len(few.Kinds), 1, "all are counted")
}

func TestADamagedIndexIsNotTakenForAnEmptyOne(t *testing.T) {
	t.Parallel()
	_, err := Open(filepath.Join(t.TempDir(), "nowhere"))
	require.Error(t, err)
	empty := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(empty, "index_meta.json"), []byte("{"), 0o644))
	_, err = Open(empty)
	require.Error(t, err)
}

func TestACancelledSearchIsAnError(t *testing.T) {
	t.Parallel()
	ix := small(t)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := ix.Find(ctx, terms("pressure climbs"), "", nil, 3)
	require.Error(t, err)
}
