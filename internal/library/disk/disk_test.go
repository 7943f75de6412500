package disk

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/rogpeppe/go-internal/txtar"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/data"
	"kg/internal/advise"
	"kg/internal/catalogue"
	"kg/internal/generation"
	"kg/internal/ingest"
	"kg/internal/library"
	"kg/internal/link"
	"kg/internal/note"
	"kg/internal/search"
)

// smallNotes are the notes in testdata/small.txtar, to be changed at will.
func smallNotes(t *testing.T) fstest.MapFS {
	t.Helper()
	a, err := txtar.ParseFile(filepath.Join("testdata", "small.txtar"))
	require.NoError(t, err)
	notes := fstest.MapFS{}
	for _, f := range a.Files {
		notes[f.Name] = &fstest.MapFile{Data: f.Data}
	}
	return notes
}

// libraryOf builds a library of some notes and opens it. The store is returned
// for tests that damage it.
func libraryOf(t *testing.T, notes fs.FS) (*Library, generation.Store) {
	t.Helper()
	store := generation.Store{Root: t.TempDir()}
	_, err := ingest.Build(t.Context(), store, ingest.Options{Sources: []ingest.Source{{Name: "team", Root: "team", FS: notes}}})
	require.NoError(t, err)
	l, err := Open(store)
	require.NoError(t, err)
	t.Cleanup(func() { assert.NoError(t, l.Close()) })
	return l, store
}

func ask(t *testing.T, l *Library, words string, appliance note.ID) advise.Answer {
	t.Helper()
	a, err := advise.Ask(t.Context(), l.Library, advise.Question{Text: words, Appliance: appliance})
	require.NoError(t, err, words)
	return a
}

const hums = "pump hums and does not turn"

func TestAnAnswerHoldsTheChainTheProofTheRepairAndWhatIsLeftBehind(t *testing.T) {
	t.Parallel()
	l, _ := libraryOf(t, smallNotes(t))
	a := ask(t, l, hums, "")
	require.Len(t, a.Findings, 1)
	assert.Equal(t, note.ID("pump-hums"), a.Findings[0].Symptom)
	require.Len(t, a.Causes, 1)
	c := a.Causes[0]
	assert.Equal(t, note.ID("pump-seized"), c.Mode)
	assert.Equal(t, "Pump", c.ComponentName)
	require.Len(t, c.Path, 2, "from the symptom to the mode, and to its component")
	assert.Equal(t, [2]note.ID{"pump-hums", "pump-seized"}, [2]note.ID{c.Path[0].From, c.Path[0].To})
	assert.Equal(t, [2]note.ID{"pump-seized", "pump"}, [2]note.ID{c.Path[1].From, c.Path[1].To})
	require.Len(t, c.Tests, 1)
	assert.Equal(t, []string{"it is fast"}, c.Tests[0].For)
	assert.Equal(t, []string{"it turns"}, c.Tests[0].Against)
	require.NotNil(t, c.Repair)
	assert.Equal(t, note.ID("replace-pump"), c.Repair.Remedy)
	require.NotNil(t, c.StopGap, "what gets it going is there, and apart from the repair")
	assert.Equal(t, note.ID("free-pump"), c.StopGap.Remedy)
	require.Len(t, c.LeadsTo, 1)
	assert.Equal(t, note.ID("exchanger-scaled"), c.LeadsTo[0].Mode)
	assert.Equal(t, []catalogue.PartType{{Component: "pump", Name: "Pump"}}, c.PartTypes)
	assert.Subset(t, c.Notes, []string{"team/mode/pump-seized.md", "team/test/turn-by-hand.md", "team/remedy/replace-pump.md", "team/remedy/free-pump.md"})
	require.NotEmpty(t, c.Caveats)
	assert.Equal(t, note.ID("live-parts"), c.Caveats[0].ID, "the gravest comes first")
}

// A broken note is left out and stops nobody from using the others, whichever
// one it is.
func TestEveryNoteMayBeBrokenAndTheOthersStillAnswer(t *testing.T) {
	t.Parallel()
	for name := range smallNotes(t) {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			notes := smallNotes(t)
			notes[name] = &fstest.MapFile{Data: []byte("no front matter\n")}
			l, _ := libraryOf(t, notes)
			assert.Equal(t, 1, l.Manifest().Counts.LeftOut)

			for _, appliance := range []note.ID{"", "demo-20"} {
				if path.Base(name) == string(appliance)+".md" {
					continue
				}
				a := ask(t, l, hums, appliance)
				if appliance == "" && path.Dir(name) != "symptom" && path.Base(name) != "pump-seized.md" {
					require.NotEmpty(t, a.Causes, "what was seen and its cause are still there")
					assert.Equal(t, note.ID("pump-seized"), a.Causes[0].Mode)
				}
			}
			for _, words := range []string{"E7", "kettling noise", "gas smell"} {
				ask(t, l, words, "")
			}
			for _, k := range note.Kinds() {
				titles, err := l.List(k)
				require.NoError(t, err)
				for _, title := range titles {
					assert.NotEmpty(t, title.Full)
					_, err := l.Out(t.Context(), title.ID)
					assert.NoError(t, err)
					_, err = l.In(t.Context(), title.ID)
					assert.NoError(t, err)
				}
			}
			_, err := l.Find(t.Context(), "pump", nil, 20)
			assert.NoError(t, err)
			for _, id := range []note.ID{"pump-seized", "exchanger-scaled", "pump-hums", "kettling"} {
				for _, d := range []link.Direction{link.Back, link.Ahead} {
					_, err := advise.Chain(t.Context(), l.Library, id, d, 5)
					var missing *library.NotFound
					if err != nil {
						assert.ErrorAs(t, err, &missing)
						assert.Equal(t, string(id)+".md", path.Base(name))
					}
				}
			}
		})
	}
}

func TestAnIdThatIsNotThereNamesTheNearestOfItsKind(t *testing.T) {
	t.Parallel()
	l, _ := libraryOf(t, smallNotes(t))
	var missing *library.NotFound

	_, err := l.Entry("pump-siezed")
	require.ErrorAs(t, err, &missing)
	assert.Equal(t, note.ID("pump-seized"), missing.Nearest)
	assert.Contains(t, err.Error(), "did you mean")

	_, err = l.Entry("nothing-at-all-like-it")
	require.ErrorAs(t, err, &missing)
	assert.Empty(t, missing.Nearest)
	assert.Contains(t, err.Error(), "kg find", "the error says what to do")

	for _, id := range []note.ID{"demo-2o", "pump"} { // misspelt, and of another kind
		_, err = advise.Ask(t.Context(), l.Library, advise.Question{Text: hums, Appliance: id})
		require.ErrorAs(t, err, &missing, id)
		assert.Equal(t, "appliance", missing.What)
		assert.NotEqual(t, note.ID("pump"), missing.Nearest)
	}
}

func TestTextIsTheNoteAsItWasWritten(t *testing.T) {
	t.Parallel()
	notes := smallNotes(t)
	l, _ := libraryOf(t, notes)
	text, err := l.Text("pump-seized")
	require.NoError(t, err)
	assert.Equal(t, string(notes["mode/pump-seized.md"].Data), text)
}

func TestOnAnApplianceOnlyWhatItHasCanBeTheCause(t *testing.T) {
	t.Parallel()
	l, _ := libraryOf(t, smallNotes(t))
	with := ask(t, l, hums, "demo-20")
	require.NotEmpty(t, with.Causes, "it has a pump by way of its family")
	assert.Equal(t, note.ID("pump-seized"), with.Causes[0].Mode)
	assert.Empty(t, ask(t, l, hums, "demo-fire").Causes, "it has none")
}

// damage does something to the current generation of a small library.
func damage(t *testing.T, do func(t *testing.T, folder string)) generation.Store {
	t.Helper()
	l, store := libraryOf(t, smallNotes(t))
	do(t, l.lease.Folder)
	return store
}

func overwrite(t *testing.T, file string, change func([]byte) []byte) {
	t.Helper()
	content, err := os.ReadFile(file)
	require.NoError(t, err)
	// Put in its place, since the file that is open is not to change.
	require.NoError(t, os.Remove(file))
	require.NoError(t, os.WriteFile(file, change(content), 0o644))
}

// used opens a library and looks something up in each of its parts.
func used(t *testing.T, store generation.Store) error {
	t.Helper()
	l, err := Open(store)
	if err != nil {
		return err
	}
	_, err = l.Find(t.Context(), "pump", nil, 5)
	return errors.Join(err, l.Close())
}

// Sizes are right in all of these, so only opening or a full check can find them.
func TestDamageInsideAPartIsNoticed(t *testing.T) {
	t.Parallel()
	blank := func(b []byte) []byte { clear(b); return b }
	noise := func(b []byte) []byte { return bytes.Repeat([]byte("x"), len(b)) }
	for name, file := range map[string]string{
		"graph": generation.GraphFile, "entries": generation.ArchiveFile,
		"index store": generation.IndexFolder + "/store/root.bolt", "index meta": generation.IndexFolder + "/index_meta.json",
	} {
		for how, change := range map[string]func([]byte) []byte{"zeros": blank, "noise": noise} {
			t.Run(name+" of "+how, func(t *testing.T) {
				t.Parallel()
				store := damage(t, func(t *testing.T, folder string) {
					overwrite(t, filepath.Join(folder, filepath.FromSlash(file)), change)
				})
				err := used(t, store)
				require.ErrorIs(t, err, generation.ErrDamaged)
				assert.Contains(t, err.Error(), "kg build")
			})
		}
	}
}

// An index that lost its content opens without complaint: the counts tell.
func TestAnEmptyIndexIsDamageAndNotALibraryThatFindsNothing(t *testing.T) {
	t.Parallel()
	l, _ := libraryOf(t, smallNotes(t))
	other := generation.Store{Root: t.TempDir()}
	d, err := other.Begin()
	require.NoError(t, err)
	for _, part := range []string{generation.GraphFile, generation.ArchiveFile, generation.PartsFile} {
		content, err := os.ReadFile(filepath.Join(l.lease.Folder, part))
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(d.Folder, part), content, 0o644))
	}
	_, err = search.Write(t.Context(), filepath.Join(d.Folder, generation.IndexFolder), nil)
	require.NoError(t, err)
	require.NoError(t, d.Publish(l.Manifest()))

	err = used(t, other)
	require.ErrorIs(t, err, generation.ErrDamaged)
	assert.Contains(t, err.Error(), "index holds")
}

// The middle of a part may be damaged where opening does not look. Then a full
// check finds it, and a question ends with an answer or with ErrDamaged, never
// with a panic.
func TestAQuestionToADamagedLibraryNeverPanics(t *testing.T) {
	t.Parallel()
	for _, part := range []string{generation.GraphFile, generation.ArchiveFile} {
		for _, tenth := range []int{2, 5, 8} {
			store := damage(t, func(t *testing.T, folder string) {
				overwrite(t, filepath.Join(folder, part), func(b []byte) []byte {
					at := len(b) * tenth / 10
					for i := range b[at:min(len(b), at+len(b)/10)] {
						b[at+i] ^= 0xff
					}
					return b
				})
			})
			l, err := Open(store)
			if err != nil {
				assert.ErrorIs(t, err, generation.ErrDamaged)
				continue
			}
			_, err = OpenVerified(store)
			require.ErrorIs(t, err, generation.ErrDamaged)
			assert.NotPanics(t, func() {
				if _, err := advise.Ask(t.Context(), l.Library, advise.Question{Text: hums, Appliance: "demo-20"}); err != nil {
					assert.ErrorIs(t, err, generation.ErrDamaged)
				}
			}, "%s at %d tenths", part, tenth)
			assert.NoError(t, l.Close())
		}
	}
}

func TestTheSameQuestionHasTheSameAnswerEveryTime(t *testing.T) {
	t.Parallel()
	l, store := libraryOf(t, smallNotes(t))
	want := ask(t, l, hums, "")
	for range 5 {
		again, err := Open(store)
		require.NoError(t, err)
		assert.Equal(t, want, ask(t, again, hums, ""))
		assert.NoError(t, again.Close())
	}
}

// shippedParts are the shipped lists of parts and the notes that they speak of, without
// the faults, whose figures take long to fit.
func shippedParts(t *testing.T) fs.FS {
	t.Helper()
	some := fstest.MapFS{}
	for _, folder := range []string{"catalogue", "component", "appliance"} {
		files, err := fs.Glob(data.Notes, folder+"/*")
		require.NoError(t, err)
		require.NotEmpty(t, files)
		for _, file := range files {
			content, err := fs.ReadFile(data.Notes, file)
			require.NoError(t, err)
			some[file] = &fstest.MapFile{Data: content}
		}
	}
	return some
}

// Whatever byte of the store of parts has changed, looking a part up answers or says
// that the library is damaged; it does not panic.
func TestADamagedStoreOfPartsIsAnErrorAndNoPanic(t *testing.T) {
	t.Parallel()
	root := t.TempDir()
	store := generation.Store{Root: root}
	_, err := ingest.Build(t.Context(), store, ingest.Options{Sources: []ingest.Source{{Name: "shipped", Root: "shipped", FS: shippedParts(t)}}})
	require.NoError(t, err)
	questions := []string{"SF-4155-00", "60 402 10", "nothing 99", "pump"}
	l, err := Open(store)
	require.NoError(t, err)
	a, err := catalogue.LookUp(t.Context(), l.Library, catalogue.PartQuestion{Text: questions[0]})
	require.NoError(t, err)
	require.NotEmpty(t, a.Found, "there are parts to be damaged")
	require.NoError(t, l.Close())
	files, err := filepath.Glob(filepath.Join(root, "generations", "*", generation.PartsFile))
	require.NoError(t, err)
	require.Len(t, files, 1)
	whole, err := os.ReadFile(files[0])
	require.NoError(t, err)
	require.NoError(t, os.Chmod(files[0], 0o644))
	for at := 0; at < len(whole); at += max(1, len(whole)/150) {
		broken := append([]byte(nil), whole...)
		for i := at; i < min(len(broken), at+8); i++ {
			broken[i] ^= 0xff
		}
		require.NoError(t, os.WriteFile(files[0], broken, 0o644))
		l, err := Open(store)
		if err != nil {
			require.ErrorIs(t, err, generation.ErrDamaged)
			continue
		}
		for _, q := range questions {
			if _, err := catalogue.LookUp(t.Context(), l.Library, catalogue.PartQuestion{Text: q}); err != nil {
				assert.True(t, strings.Contains(err.Error(), "kg build") || strings.Contains(err.Error(), "kg lint"), err.Error())
			}
		}
		require.NoError(t, l.Close())
	}
}
