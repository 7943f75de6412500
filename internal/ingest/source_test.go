package ingest

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/generation"
	"kg/internal/note"
)

func TestAFolderOfNotesThatIsNotThereIsAnErrorThatNamesIt(t *testing.T) {
	t.Parallel()
	folder := filepath.Join(t.TempDir(), "nowhere")
	source := Source{Name: "team", Root: folder, Folder: folder, FS: os.DirFS(folder)}
	_, _, err := Review(t.Context(), []Source{small(nil), source})
	require.ErrorContains(t, err, folder)

	_, err = Build(t.Context(), generation.Store{Root: t.TempDir()}, Options{Sources: []Source{source}})
	require.ErrorContains(t, err, folder)
}

// locked is a file system in which some paths cannot be read, whoever asks.
type locked struct {
	fs.FS
	paths map[string]bool
}

var errLocked = errors.New("permission denied")

func (l locked) ReadFile(name string) ([]byte, error) {
	if l.paths[name] {
		return nil, errLocked
	}
	return fs.ReadFile(l.FS, name)
}

func (l locked) ReadDir(name string) ([]fs.DirEntry, error) {
	if l.paths[name] {
		return nil, errLocked
	}
	return fs.ReadDir(l.FS, name)
}

func TestANoteThatCannotBeReadIsReportedAndTheRestIsUsed(t *testing.T) {
	t.Parallel()
	source := small(nil)
	source.FS = locked{source.FS, map[string]bool{"caveat/hot-surfaces.md": true}}
	v, r, err := Review(t.Context(), []Source{source})
	require.NoError(t, err)
	require.Len(t, v.Problems, 1)
	assert.Equal(t, "unreadable", v.Problems[0].Rule)
	assert.Equal(t, note.Broken, v.Problems[0].Grade)
	assert.Equal(t, filepath.Join("shipped", "caveat", "hot-surfaces.md"), v.Problems[0].File)
	assert.Contains(t, v.Problems[0].Message, errLocked.Error())
	assert.Equal(t, 8, r.Files)
	assert.Len(t, v.Kept, 7)
}

// Without the folder of one kind, nearly every other note mentions something
// that is not there: the last good library is better than what would be left.
func TestAFolderThatCannotBeReadIsAnErrorAndTheLibraryStays(t *testing.T) {
	t.Parallel()
	store := generation.Store{Root: t.TempDir()}
	before := build(t, store, small(nil)).Manifest.Notes
	source := small(nil)
	source.FS = locked{source.FS, map[string]bool{"mode": true}}
	_, err := Build(t.Context(), store, Options{Sources: []Source{source}})
	require.ErrorIs(t, err, errLocked)
	require.ErrorContains(t, err, filepath.Join("shipped", "mode"))
	l, err := store.Open()
	require.NoError(t, err)
	assert.Equal(t, before, l.Manifest.Notes)
	assert.NoError(t, l.Close())
}

func TestFilesBesideTheFoldersOfTheKindsAreNoNotes(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	require.NoError(t, os.CopyFS(folder, small(fstest.MapFS{
		"loose.md":              {Data: []byte("---\nname: Loose\n---\n")},
		".drafts/mode/draft.md": {Data: []byte("---\nname: Draft\n---\n")},
		"mode/deeper/too.md":    {Data: []byte("---\nname: Too deep\n---\n")},
		"mode/backup.md~":       {Data: []byte("old")},
	}).FS))
	v, r, err := Review(t.Context(), []Source{{Name: "team", Root: folder, FS: os.DirFS(folder)}})
	require.NoError(t, err)
	assert.Empty(t, v.Problems)
	assert.Equal(t, 8, r.Files)
	assert.Equal(t, map[string]int{folder: 8}, r.FilesOf)
}

func TestReadingCanBeCalledOff(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := Read(ctx, []Source{small(nil)})
	assert.ErrorIs(t, err, context.Canceled)
}

func TestNotesWithoutAnyLinkMakeALibraryToo(t *testing.T) {
	t.Parallel()
	for name, files := range map[string]fstest.MapFS{
		"none at all":    {"README.md": {Data: []byte("nothing yet")}},
		"one on its own": {"component/pump.md": {Data: []byte("---\nname: Pump\n---\n")}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			store := generation.Store{Root: t.TempDir()}
			build(t, store, Source{Name: "team", Root: "team", FS: files})
			l, err := store.Open()
			require.NoError(t, err)
			assert.NoError(t, l.Close())
		})
	}
}

// What a killed build left goes with the next build, even if that one finds
// nothing to do.
func TestABuildWithNothingToDoSweepsWhatAKilledOneLeft(t *testing.T) {
	t.Parallel()
	store := generation.Store{Root: t.TempDir()}
	build(t, store, small(nil))
	debris := filepath.Join(store.Root, "building", "killed")
	require.NoError(t, os.MkdirAll(debris, 0o755))
	o := build(t, store, small(nil))
	assert.True(t, o.Unchanged)
	assert.Equal(t, 1, o.Swept)
	assert.NoDirExists(t, debris)
}

func TestADamagedLibraryIsBuiltAnewFromTheSameNotes(t *testing.T) {
	t.Parallel()
	for name, file := range map[string]string{"the pointer": "current", "a part": "generations/*/" + generation.GraphFile} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			store := generation.Store{Root: t.TempDir()}
			build(t, store, small(nil))
			found, err := filepath.Glob(filepath.Join(store.Root, file))
			require.NoError(t, err)
			require.Len(t, found, 1)
			require.NoError(t, os.Chmod(found[0], 0o644))
			require.NoError(t, os.Truncate(found[0], 0))
			_, err = store.Open()
			require.ErrorIs(t, err, generation.ErrDamaged)

			o := build(t, store, small(nil))
			assert.False(t, o.Unchanged)
			assert.Equal(t, 1, o.Swept, "the damaged one goes")
			l, err := store.Open()
			require.NoError(t, err)
			assert.NoError(t, l.Verify())
			assert.NoError(t, l.Close())
		})
	}
}
