package generation

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/gofrs/flock"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// SHA-256 of "abc" and of the empty message, from the examples of FIPS 180-4 that
// NIST publishes.
const (
	hashOfABC   = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
	hashOfEmpty = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"
)

// rewrite changes the manifest of a generation on disk.
func rewrite(t *testing.T, folder string, change func(*Manifest)) {
	t.Helper()
	m, err := readManifest(folder)
	require.NoError(t, err)
	change(&m)
	content, err := json.Marshal(m)
	require.NoError(t, err)
	file := filepath.Join(folder, manifestName)
	require.NoError(t, os.Remove(file))
	require.NoError(t, os.WriteFile(file, content, 0o444))
}

// A library that an older or a newer program has made is not damaged. It is
// refused, with both formats in the message, before any of its files is looked at:
// what those mean is another program's affair. The lease on it is given back, so that
// a build can replace it.
func TestALibraryOfAnOlderOrANewerFormatIsRefused(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		format int
		says   string
	}{
		"older": {Format - 1, "it has format"},
		"newer": {Format + 1, "this program reads"},
		"none":  {0, "it has format 0"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := Store{Root: t.TempDir()}
			folder := publish(t, s, "aaaaaaaaaaaaaaaa", "content")
			rewrite(t, folder, func(m *Manifest) {
				m.Format = c.format
				m.Files = append(m.Files, File{Path: "of another layout", Size: 1})
			})
			_, err := s.Open()
			require.ErrorIs(t, err, ErrOtherFormat)
			require.NotErrorIs(t, err, ErrDamaged)
			assert.ErrorContains(t, err, c.says)

			publish(t, s, "bbbbbbbbbbbbbbbb", "built anew")
			n, err := s.Sweep()
			require.NoError(t, err)
			assert.Equal(t, 1, n)
			assert.NoDirExists(t, folder)
		})
	}
}

// The manifest is the list of all that has to be there: every file in every folder
// with its size and hash, but not the lease, which comes and goes, nor itself.
func TestASealedLibraryListsEachFileWithItsSizeAndHash(t *testing.T) {
	t.Parallel()
	s := Store{Root: t.TempDir()}
	d, err := s.Begin()
	require.NoError(t, err)
	require.NoError(t, os.MkdirAll(filepath.Join(d.Folder, "index", "deep"), 0o755))
	for file, content := range map[string]string{"parts.bolt": "abc", "index/deep/root": "", "index/meta": "abc"} {
		require.NoError(t, os.WriteFile(filepath.Join(d.Folder, filepath.FromSlash(file)), []byte(content), 0o644))
	}
	require.NoError(t, d.Publish(Manifest{Notes: "0123456789abcdef", Format: 77, Files: []File{{Path: "of before"}}}))
	assert.NoDirExists(t, d.Folder, "it has moved")
	l, err := s.Open()
	require.NoError(t, err)
	defer l.Close()
	assert.Equal(t, []File{
		{Path: "index/deep/root", Size: 0, SHA256: hashOfEmpty},
		{Path: "index/meta", Size: 3, SHA256: hashOfABC},
		{Path: "parts.bolt", Size: 3, SHA256: hashOfABC},
	}, l.Manifest.Files)
	assert.True(t, strings.HasPrefix(filepath.Base(l.Folder), "0123456789ab-"), "the folder is named after the notes: %s", l.Folder)
	for _, file := range []string{"parts.bolt", "index/deep/root", "index/meta", manifestName} {
		info, err := os.Stat(filepath.Join(l.Folder, filepath.FromSlash(file)))
		require.NoError(t, err)
		assert.Equal(t, os.FileMode(0o444), info.Mode().Perm(), file)
	}
	require.NoError(t, l.Verify())
	require.NoError(t, d.Discard(), "what is published cannot be thrown away")
	assert.DirExists(t, l.Folder)
}

// The quick check takes a size for enough; the full one wants size and hash, each
// of them, of every file that is listed.
func TestEachCheckComparesWhatItPromises(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(folder, "index"), 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "index", "store"), []byte("abc"), 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "empty"), nil, 0o644))
	sound := []File{{"empty", 0, hashOfEmpty}, {"index/store", 3, hashOfABC}}
	for name, c := range map[string]struct {
		files       []File
		quick, full bool
		says        string
	}{
		"all is as it was":        {sound, true, true, ""},
		"nothing is listed":       {nil, true, true, ""},
		"the hash is another one": {[]File{sound[0], {"index/store", 3, hashOfEmpty}}, true, false, "the content of index/store has changed"},
		"the size is another one": {[]File{sound[0], {"index/store", 4, hashOfABC}}, false, false, "index/store has 3 bytes, should have 4"},
		"the size is too small":   {[]File{sound[0], {"index/store", 2, hashOfABC}}, false, false, "index/store has 3 bytes, should have 2"},
		"the first one is short":  {[]File{{"empty", 1, hashOfEmpty}, sound[1]}, false, false, "empty has 0 bytes"},
		"one is missing":          {[]File{sound[0], sound[1], {"index/gone", 0, hashOfEmpty}}, false, false, "index/gone"},
	} {
		m := Manifest{Files: c.files}
		for check, ok := range map[string]bool{"quick": c.quick, "full": c.full} {
			err := m.checkSizes(folder)
			if check == "full" {
				err = m.checkHashes(folder)
			}
			if ok {
				require.NoError(t, err, "%s: %s", name, check)
			} else {
				require.ErrorIs(t, err, ErrDamaged, "%s: %s", name, check)
			}
		}
		if c.says != "" {
			assert.ErrorContains(t, errorsOf(m.checkSizes(folder), m.checkHashes(folder)), c.says, name)
		}
	}
}

// errorsOf is the first error there is.
func errorsOf(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// A build that cannot be sealed whole is not published: the library of before stays
// the current one, and what was begun can be thrown away.
func TestADraftThatCannotBeReadBackIsNotPublished(t *testing.T) {
	t.Parallel()
	for name, spoil := range map[string]func(t *testing.T, draft string){
		"its folder is gone": func(t *testing.T, draft string) { require.NoError(t, os.RemoveAll(draft)) },
		"a file leads nowhere": func(t *testing.T, draft string) {
			require.NoError(t, os.Symlink(filepath.Join(draft, "nowhere"), filepath.Join(draft, "index")))
		},
		"where the manifest goes there is a folder": func(t *testing.T, draft string) {
			require.NoError(t, os.MkdirAll(filepath.Join(draft, manifestName, "full"), 0o755))
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := Store{Root: t.TempDir()}
			before := publish(t, s, "aaaaaaaaaaaaaaaa", "first")
			d, err := s.Begin()
			require.NoError(t, err)
			spoil(t, d.Folder)
			assert.ErrorContains(t, d.Publish(Manifest{Notes: "bbbbbbbbbbbbbbbb"}), "publishing the library")
			l, err := s.Open()
			require.NoError(t, err)
			assert.Equal(t, before, l.Folder)
			require.NoError(t, l.Verify())
			require.NoError(t, l.Close())
			require.NoError(t, d.Discard())
			assert.NoDirExists(t, d.Folder)
			sealed, err := os.ReadDir(filepath.Join(s.Root, sealedName))
			require.NoError(t, err)
			assert.Len(t, sealed, 1)
		})
	}
}

// The pointer names a folder beside the others, and nothing else.
func TestAPointerThatIsNoNameIsNotFollowed(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"", " \n", ".", "..", "a/b", "../elsewhere", "/tmp", "aaaa/"} {
		s := Store{Root: t.TempDir()}
		publish(t, s, "aaaaaaaaaaaaaaaa", "content")
		require.NoError(t, os.WriteFile(filepath.Join(s.Root, pointerName), []byte(name), 0o644))
		_, err := s.Open()
		require.ErrorIs(t, err, ErrDamaged, "%q", name)
		assert.ErrorContains(t, err, "the pointer", "%q", name)
		_, err = s.Sweep()
		assert.ErrorIs(t, err, ErrDamaged, "a sweep that cannot tell which one is current removes none")
		sealed, err := os.ReadDir(filepath.Join(s.Root, sealedName))
		require.NoError(t, err)
		assert.Len(t, sealed, 1)
	}
}

// Who removes a generation holds its lease alone. A reader that comes then is told
// at once; it does not read files that are going away.
func TestAGenerationThatIsBeingRemovedIsNotOpened(t *testing.T) {
	t.Parallel()
	s := Store{Root: t.TempDir()}
	folder := publish(t, s, "aaaaaaaaaaaaaaaa", "content")
	remover := flock.New(filepath.Join(folder, leaseName))
	ok, err := remover.TryLock()
	require.NoError(t, err)
	require.True(t, ok)
	_, err = s.Open()
	require.ErrorIs(t, err, ErrDamaged)
	assert.ErrorContains(t, err, "it is being removed")
	require.NoError(t, remover.Close())
	l, err := s.Open()
	require.NoError(t, err)
	require.NoError(t, l.Close())
}

// Two sweeps can come upon the same folder: the later one finds it gone, and does
// not count it.
func TestAFolderThatHasGoneIsNotCounted(t *testing.T) {
	t.Parallel()
	removed, err := removeUnused(filepath.Join(t.TempDir(), "gone"))
	require.NoError(t, err)
	assert.False(t, removed)
}
