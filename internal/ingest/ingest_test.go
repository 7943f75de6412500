package ingest

import (
	"context"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/archive"
	"kg/internal/bucket/bolt"
	"kg/internal/generation"
	"kg/internal/note"
)

// small is a source of a few sound notes, and what is put beside them.
func small(more fstest.MapFS) Source {
	files := fstest.MapFS{
		"README.md":               {Data: []byte("no note")},
		"component/pump.md":       {Data: []byte("---\nname: Pump\n---\n")},
		"mode/pump-seized.md":     {Data: []byte("---\nname: Seized\ncomponent: pump\noccurs: 4 per 1000 call-outs\nshows: {no-flow: likely}\nif-left: It stays so.\nsettled-by: [test-turns]\nrepair: [replace-pump]\nsource: common practice\n---\n")},
		"mode/pump-burnt.md":      {Data: []byte("---\nname: Burnt\ncomponent: pump\noccurs: 4 per 1000 call-outs\nshows: {no-flow: likely}\nif-left: It stays so.\nsettled-by: [test-turns]\nrepair: [replace-pump]\nsource: common practice\n---\n")},
		"symptom/no-flow.md":      {Data: []byte("---\nname: No flow\nusual-causes: {pump-seized: 8 in 10, pump-burnt: 1 in 10}\nsource: common practice\n---\n")},
		"test/test-turns.md":      {Data: []byte("---\nname: See it turn\nminutes: 5\nwho: apprentice\nisolation: none needed\nsteps: [Look.]\nresults: {still: {seen-with: {pump-seized: 0.9, pump-burnt: 0.9}, otherwise: 0.1}, turns: }\nsource: common practice\n---\n")},
		"remedy/replace-pump.md":  {Data: []byte("---\nname: Replace it\nremedy: repair\nminutes: 60\nwho: heating engineer\nisolation: Prove dead.\nsteps: [Change it.]\nchecks: [It turns.]\n---\n")},
		"caveat/hot-surfaces.md":  {Data: []byte("---\nname: Hot\nlevel: caution\ntext: It is hot.\napplies-to: [pump]\n---\n")},
		"mode/.hidden.md":         {Data: []byte("not read")},
		"mode/notes.txt":          {Data: []byte("not read")},
		"appliance/demo-combi.md": {Data: []byte("---\nname: Demo\nhas: [pump]\ncodes: {B14: no-flow}\n---\n")},
	}
	for name, f := range more {
		files[name] = f
	}
	return Source{Name: "shipped", Root: "shipped", FS: files}
}

func build(t *testing.T, store generation.Store, sources ...Source) Outcome {
	t.Helper()
	o, err := Build(t.Context(), store, Options{Sources: sources, Program: "test"})
	require.NoError(t, err)
	return o
}

func TestOnlyNotesAreRead(t *testing.T) {
	t.Parallel()
	v, r, err := Review(t.Context(), []Source{small(nil)})
	require.NoError(t, err)
	assert.Empty(t, v.Problems)
	assert.Equal(t, 8, r.Files)
	assert.Len(t, v.Kept, 8)
}

func TestAFolderThatIsNoKindIsReported(t *testing.T) {
	t.Parallel()
	v, _, err := Review(t.Context(), []Source{small(fstest.MapFS{"moods/sad.md": {Data: []byte("---\nname: Sad\n---\n")}})})
	require.NoError(t, err)
	require.Len(t, v.Problems, 1)
	assert.Equal(t, "unknown-kind", v.Problems[0].Rule)
	assert.Len(t, v.Kept, 8, "the rest is used")
}

func TestABuildIsWhatTheNotesSay(t *testing.T) {
	t.Parallel()
	store := generation.Store{Root: t.TempDir()}
	var stages []string
	o, err := Build(t.Context(), store, Options{Sources: []Source{small(nil)}, Program: "test", Progress: func(s string) { stages = append(stages, s) }})
	require.NoError(t, err)
	assert.Equal(t, 8, o.Manifest.Counts.Entries)
	assert.Equal(t, 2, o.Manifest.Counts.ByKind[note.KindMode])
	assert.Zero(t, o.Manifest.Counts.LeftOut)
	assert.Len(t, stages, 4)
	assert.Empty(t, o.Fit.Missed)
	l, err := store.Open()
	require.NoError(t, err)
	defer l.Close()
	require.NoError(t, l.Verify())
	file, err := bolt.Open(l.Folder + "/" + generation.ArchiveFile)
	require.NoError(t, err)
	defer file.Close()
	rec, err := archive.In(file).Get("pump")
	require.NoError(t, err)
	assert.Equal(t, []note.ID{"hot-surfaces"}, rec.Caveats, "a caveat that says what it applies to is shown with it")
	assert.Equal(t, "shipped/component/pump.md", rec.Path)
}

func TestTheSameNotesAreNotBuiltTwice(t *testing.T) {
	t.Parallel()
	store := generation.Store{Root: t.TempDir()}
	build(t, store, small(nil))
	assert.True(t, build(t, store, small(nil)).Unchanged)
	changed := build(t, store, small(fstest.MapFS{"component/pump.md": {Data: []byte("---\nname: Pump!\n---\n")}}))
	assert.False(t, changed.Unchanged)
	assert.Equal(t, 1, changed.Swept, "the old one is swept when nobody reads it")
	o, err := Build(t.Context(), store, Options{Sources: []Source{small(fstest.MapFS{"component/pump.md": {Data: []byte("---\nname: Pump!\n---\n")}})}, Program: "another"})
	require.NoError(t, err)
	assert.False(t, o.Unchanged, "another program may read the same notes otherwise")
}

func TestABrokenNoteIsLeftOutAndTheRestIsBuilt(t *testing.T) {
	t.Parallel()
	store := generation.Store{Root: t.TempDir()}
	o := build(t, store, small(fstest.MapFS{"mode/pump-loud.md": {Data: []byte("---\nname: Loud\ncomponent: pomp\n---\n")}}))
	assert.Equal(t, 8, o.Manifest.Counts.Entries)
	assert.Equal(t, 1, o.Manifest.Counts.LeftOut)
	assert.NotEmpty(t, o.Verdict.Problems)
}

func TestATeamNoteStandsInForAShippedOne(t *testing.T) {
	t.Parallel()
	store := generation.Store{Root: t.TempDir()}
	team := Source{Name: "team", Root: "/team", Folder: "/team", FS: fstest.MapFS{"component/pump.md": {Data: []byte("---\nname: Our pump\n---\n")}}}
	o := build(t, store, small(nil), team)
	assert.Equal(t, 8, o.Manifest.Counts.Entries)
	assert.Equal(t, 1, o.Manifest.Counts.Replaced)
	l, err := store.Open()
	require.NoError(t, err)
	defer l.Close()
	file, err := bolt.Open(l.Folder + "/" + generation.ArchiveFile)
	require.NoError(t, err)
	defer file.Close()
	rec, err := archive.In(file).Get("pump")
	require.NoError(t, err)
	assert.Equal(t, "Our pump", rec.Entry.Head().Name)
	assert.Equal(t, "shipped/component/pump.md", rec.Replaces)
}

func TestABuildThatIsCancelledLeavesTheLibraryAsItWas(t *testing.T) {
	t.Parallel()
	store := generation.Store{Root: t.TempDir()}
	before := build(t, store, small(nil)).Manifest.Notes
	for _, at := range []string{"reading the notes", "fitting the figures", "verifying"} {
		ctx, cancel := context.WithCancel(t.Context())
		_, err := Build(ctx, store, Options{Sources: []Source{small(nil)}, Program: "other", Again: true, Progress: func(stage string) {
			if stage == at {
				cancel()
			}
		}})
		cancel()
		require.ErrorIs(t, err, context.Canceled, at)
		l, err := store.Open()
		require.NoError(t, err)
		assert.Equal(t, before, l.Manifest.Notes)
		require.NoError(t, l.Close())
	}
}

func TestASourceThatIsNotThereIsAnError(t *testing.T) {
	t.Parallel()
	_, _, err := Review(t.Context(), []Source{{Name: "nowhere", Root: "/nowhere", FS: fstest.MapFS{}}})
	require.NoError(t, err, "an empty folder is no fault")
	assert.True(t, Under("/notes", "/notes/mode/a.md"))
	assert.False(t, Under("/notes", "/other/mode/a.md"))
}

// What was written is counted as a reader would find it, so that a disk that filled
// up half-way is noticed before anybody answers from it.
func TestABuildThatHoldsLessThanItShouldIsNotPublished(t *testing.T) {
	t.Parallel()
	verdict, _, err := Review(t.Context(), []Source{small(nil)})
	require.NoError(t, err)
	edges, rates, _ := Figures(verdict.Kept)
	folder := t.TempDir()
	var counts generation.Counts
	require.NoError(t, write(t.Context(), folder, verdict, edges, rates, &counts))
	require.NoError(t, verify(t.Context(), folder, counts))
	for name, off := range map[string]func(*generation.Counts){
		"quads":          func(c *generation.Counts) { c.Quads++ },
		"indexed":        func(c *generation.Counts) { c.Indexed++ },
		"quads, fewer":   func(c *generation.Counts) { c.Quads-- },
		"indexed, fewer": func(c *generation.Counts) { c.Indexed-- },
	} {
		wrong := counts
		off(&wrong)
		assert.ErrorContains(t, verify(t.Context(), folder, wrong), "is the disk full?", name)
	}
}
