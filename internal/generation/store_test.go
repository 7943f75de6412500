package generation

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// publish makes a generation of one file and returns its folder.
func publish(t *testing.T, s Store, notes, content string) string {
	t.Helper()
	d, err := s.Begin()
	require.NoError(t, err)
	require.NoError(t, os.MkdirAll(filepath.Join(d.Folder, "index"), 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(d.Folder, "index", "store"), []byte(content), 0o644))
	require.NoError(t, d.Publish(Manifest{Notes: notes, Sources: []Source{{Name: "shipped", Files: 3}}}))
	l, err := s.Open()
	require.NoError(t, err)
	defer l.Close()
	return l.Folder
}

func TestBeforeTheFirstBuildThereIsNone(t *testing.T) {
	t.Parallel()
	_, err := Store{Root: t.TempDir()}.Open()
	require.ErrorIs(t, err, ErrNone)
	assert.Contains(t, err.Error(), "kg build", "the error says what to do")
}

func TestWhatIsPublishedIsOpened(t *testing.T) {
	t.Parallel()
	s := Store{Root: t.TempDir()}
	publish(t, s, "aaaaaaaaaaaaaaaa", "first")
	l, err := s.Open()
	require.NoError(t, err)
	defer l.Close()
	assert.Equal(t, Format, l.Manifest.Format)
	assert.Equal(t, "aaaaaaaaaaaaaaaa", l.Manifest.Notes)
	assert.Equal(t, []string{"index/store"}, []string{l.Manifest.Files[0].Path})
	require.NoError(t, l.Verify())
	info, err := os.Stat(filepath.Join(l.Folder, "index", "store"))
	require.NoError(t, err)
	assert.Zero(t, info.Mode().Perm()&0o222, "a sealed file cannot be written")
}

func TestADraftIsNoLibrary(t *testing.T) {
	t.Parallel()
	s := Store{Root: t.TempDir()}
	publish(t, s, "aaaaaaaaaaaaaaaa", "first")
	d, err := s.Begin()
	require.NoError(t, err)
	l, err := s.Open()
	require.NoError(t, err)
	assert.Equal(t, "aaaaaaaaaaaaaaaa", l.Manifest.Notes)
	require.NoError(t, l.Close())
	require.NoError(t, d.Discard())
	assert.NoDirExists(t, d.Folder)
	require.NoError(t, d.Discard(), "a second time does nothing")
}

func TestALeaseKeepsAnOldGenerationUntilItIsGivenBack(t *testing.T) {
	t.Parallel()
	s := Store{Root: t.TempDir()}
	first := publish(t, s, "aaaaaaaaaaaaaaaa", "first")
	reader, err := s.Open()
	require.NoError(t, err)
	second := publish(t, s, "bbbbbbbbbbbbbbbb", "second")

	n, err := s.Sweep()
	require.NoError(t, err)
	assert.Zero(t, n)
	content, err := os.ReadFile(filepath.Join(first, "index", "store"))
	require.NoError(t, err)
	assert.Equal(t, "first", string(content), "the reader still has what it opened")

	require.NoError(t, reader.Close())
	n, err = s.Sweep()
	require.NoError(t, err)
	assert.Equal(t, 1, n)
	assert.NoDirExists(t, first)
	assert.DirExists(t, second, "the current one stays")
}

func TestADraftIsSweptOnlyWhenItsBuilderIsGone(t *testing.T) {
	t.Parallel()
	s := Store{Root: t.TempDir()}
	alive, err := s.Begin()
	require.NoError(t, err)
	gone, err := s.Begin()
	require.NoError(t, err)
	require.NoError(t, gone.lease.Close()) // as the system does when a process dies
	n, err := s.Sweep()
	require.NoError(t, err)
	assert.Equal(t, 1, n)
	assert.DirExists(t, alive.Folder)
	assert.NoDirExists(t, gone.Folder)
	require.NoError(t, alive.Discard())
}

func TestTheBuildThatIsPublishedLastPrevails(t *testing.T) {
	t.Parallel()
	s := Store{Root: t.TempDir()}
	one, err := s.Begin()
	require.NoError(t, err)
	two, err := s.Begin()
	require.NoError(t, err)
	require.NoError(t, two.Publish(Manifest{Notes: "two"}))
	require.NoError(t, one.Publish(Manifest{Notes: "one"}))
	l, err := s.Open()
	require.NoError(t, err)
	defer l.Close()
	assert.Equal(t, "one", l.Manifest.Notes)
}

// Each way in which the files of a library can be damaged gives an error that
// says what to do, never a library that answers less than it should.
func TestDamageIsNoticed(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		damage func(t *testing.T, s Store, folder string)
		want   error
	}{
		"the pointer names a folder that is gone": {func(t *testing.T, _ Store, folder string) {
			require.NoError(t, os.RemoveAll(folder))
		}, ErrDamaged},
		"the pointer is empty": {func(t *testing.T, s Store, _ string) {
			require.NoError(t, os.WriteFile(filepath.Join(s.Root, pointerName), nil, 0o644))
		}, ErrDamaged},
		"the pointer leads out of the library": {func(t *testing.T, s Store, _ string) {
			require.NoError(t, os.WriteFile(filepath.Join(s.Root, pointerName), []byte("../../elsewhere\n"), 0o644))
		}, ErrDamaged},
		"the manifest is missing": {func(t *testing.T, _ Store, folder string) {
			require.NoError(t, os.Remove(filepath.Join(folder, manifestName)))
		}, ErrDamaged},
		"the manifest is cut short": {func(t *testing.T, _ Store, folder string) {
			file := filepath.Join(folder, manifestName)
			require.NoError(t, os.Chmod(file, 0o644))
			require.NoError(t, os.Truncate(file, 20))
		}, ErrDamaged},
		"another version wrote it": {func(t *testing.T, _ Store, folder string) {
			file := filepath.Join(folder, manifestName)
			content, err := os.ReadFile(file)
			require.NoError(t, err)
			require.NoError(t, os.Chmod(file, 0o644))
			content = bytes.Replace(content, fmt.Appendf(nil, `"format": %d`, Format), []byte(`"format": 999`), 1)
			require.NoError(t, os.WriteFile(file, content, 0o644))
		}, ErrOtherFormat},
		"a file is missing": {func(t *testing.T, _ Store, folder string) {
			require.NoError(t, os.Remove(filepath.Join(folder, "index", "store")))
		}, ErrDamaged},
		"a file is cut short": {func(t *testing.T, _ Store, folder string) {
			file := filepath.Join(folder, "index", "store")
			require.NoError(t, os.Chmod(file, 0o644))
			require.NoError(t, os.Truncate(file, 2))
		}, ErrDamaged},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := Store{Root: t.TempDir()}
			c.damage(t, s, publish(t, s, "aaaaaaaaaaaaaaaa", "content"))
			_, err := s.Open()
			require.ErrorIs(t, err, c.want)
			assert.Contains(t, err.Error(), "kg build")
		})
	}
}

func TestAFlippedByteIsFoundByAFullCheckOnly(t *testing.T) {
	t.Parallel()
	s := Store{Root: t.TempDir()}
	file := filepath.Join(publish(t, s, "aaaaaaaaaaaaaaaa", "content"), "index", "store")
	require.NoError(t, os.Chmod(file, 0o644))
	require.NoError(t, os.WriteFile(file, []byte("contenT"), 0o644))
	l, err := s.Open()
	require.NoError(t, err, "the sizes are right")
	defer l.Close()
	require.ErrorIs(t, l.Verify(), ErrDamaged)
}
