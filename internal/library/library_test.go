package library_test

import (
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/library/librarytest"
	"kg/internal/note"
)

// rates is a library with a mode of a component that half of the systems have.
func rates() fstest.MapFS {
	file := func(text string) *fstest.MapFile { return &fstest.MapFile{Data: []byte("---\n" + text + "\n---\n")} }
	return fstest.MapFS{
		"component/pump.md":       file("name: Pump\nfitted: 0.5\nsource: common practice"),
		"mode/pump-seized.md":     file("name: Seized\ncomponent: pump\noccurs: 0.1\nif-left: It stays so.\nshows: {no-flow: likely}\nsettled-by: [test-turns]\nrepair: [replace-pump]\nsource: common practice"),
		"test/test-turns.md":      file("name: See it turn\nminutes: 5\nwho: apprentice\nisolation: none needed\nsteps: [Look.]\nresults: {still: {seen-with: {pump-seized: 0.9}, otherwise: 0.1}, turns: }\nsource: common practice"),
		"remedy/replace-pump.md":  file("name: Replace it\nremedy: repair\nminutes: 60\nwho: heating engineer\nisolation: Prove dead.\nsteps: [Change it.]\nchecks: [It turns.]"),
		"symptom/no-flow.md":      file("name: No flow\nsource: common practice"),
		"appliance/demo-combi.md": file("name: Demo\nhas: [pump]"),
		"appliance/demo-fire.md":  file("name: Fire"),
		"appliance/demo-kind.md":  file("name: Kind\nmay-have: {pump: 1 in 4}"),
		"appliance/demo-own.md":   file("name: Own\nis-a: [demo-kind]\nhas: [pump]"),
	}
}

// A rate counts visits to systems that have the component; the library holds it among
// all visits. On an appliance that has it for certain it is what the note says again.
func TestOnAnApplianceAModeIsAsFrequentAsItsNoteSays(t *testing.T) {
	t.Parallel()
	l := librarytest.InMemory(t, rates())
	rec, err := l.Entry("pump-seized")
	require.NoError(t, err)
	m := rec.Entry.(*note.Mode)
	any, err := l.RateOn(t.Context(), nil, m)
	require.NoError(t, err)
	assert.InDelta(t, 0.05, any.Figure.Used, 1e-9)
	s, err := l.Scope(t.Context(), "demo-combi")
	require.NoError(t, err)
	here, err := l.RateOn(t.Context(), s, m)
	require.NoError(t, err)
	assert.InDelta(t, 0.1, here.Figure.Used, 1e-9)
	assert.True(t, s.Allows(m))
	fire, err := l.Scope(t.Context(), "demo-fire")
	require.NoError(t, err)
	assert.False(t, fire.Allows(m))
}

// What not all of a kind have comes in with the share that do; a model that has it has it.
func TestWhatAnApplianceMayHaveComesInByItsShare(t *testing.T) {
	t.Parallel()
	l := librarytest.InMemory(t, rates())
	rec, err := l.Entry("pump-seized")
	require.NoError(t, err)
	m := rec.Entry.(*note.Mode)
	for id, want := range map[note.ID]float64{"demo-kind": 0.025, "demo-own": 0.1} {
		s, err := l.Scope(t.Context(), id)
		require.NoError(t, err)
		assert.True(t, s.Allows(m), id)
		here, err := l.RateOn(t.Context(), s, m)
		require.NoError(t, err)
		assert.InDelta(t, want, here.Figure.Used, 1e-9, id)
	}
}
