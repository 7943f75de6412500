package lint

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The file `says` of a case has a line for each line of `want`: what the message
// says at least, so that it names the culprit and what to do.
func TestMessagesSayWhatIsWrongAndWhatToDo(t *testing.T) {
	t.Parallel()
	for _, file := range cases(t) {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".txtar"), func(t *testing.T) {
			t.Parallel()
			a, err := txtar.ParseFile(file)
			require.NoError(t, err)
			files := sound(t)
			var says []string
			for _, f := range a.Files {
				if f.Name == "says" {
					says = strings.Split(strings.TrimSpace(string(f.Data)), "\n")
				}
				files = with(files, f)
			}
			problems := review(t, files).Problems
			require.Len(t, says, len(problems), "%v", problems)
			for i, p := range problems {
				assert.Contains(t, p.Message, says[i])
			}
		})
	}
}

// with adds a note, in place of one of the same path.
func with(files []txtar.File, f txtar.File) []txtar.File {
	return append(slices.DeleteFunc(files, func(s txtar.File) bool { return s.Name == f.Name }), f)
}

func written(name, text string) txtar.File { return txtar.File{Name: name, Data: []byte(text)} }

func TestEveryCaseNamesARuleThatExists(t *testing.T) {
	t.Parallel()
	sources, err := filepath.Glob("*.go")
	require.NoError(t, err)
	var code strings.Builder
	for _, s := range append(sources, "../parts/assemble.go", ofLists) {
		if strings.HasSuffix(s, "_test.go") {
			continue
		}
		text, err := os.ReadFile(s)
		require.NoError(t, err)
		code.Write(text)
	}
	for _, file := range cases(t) {
		rule := strings.TrimSuffix(filepath.Base(file), ".txtar")
		assert.Contains(t, code.String(), `"`+rule+`"`)
	}
}

// A broken note costs that note alone: those that mention it are used as far as
// they go, and so is everything that mentions them.
func TestNotesThatMentionABrokenOneStayInUse(t *testing.T) {
	t.Parallel()
	files := with(sound(t), written("shipped/symptom/no-circulation.md", "---\nname: No circulation\ncolour: blue\n---\n"))
	v := review(t, files)
	assert.Len(t, v.Kept, len(files)-1)
	require.NotEmpty(t, v.Problems)
	for _, p := range v.Problems {
		assert.Equal(t, "left-out incomplete", p.Rule+" "+string(p.Grade), "%v", p)
	}
}

// An id that was never there is the fault of whoever mentions it, and is no
// fault of those who mention that note in turn.
func TestABrokenNoteDoesNotBreakThoseThatMentionIt(t *testing.T) {
	t.Parallel()
	files := with(sound(t), written("shipped/component/fitting.md", "---\nname: Fitting\nhas: [nowhere]\n---\n"))
	v := review(t, files) // the valve is a fitting
	require.Len(t, v.Problems, 1)
	assert.Equal(t, "shipped/component/fitting.md", v.Problems[0].File)
	assert.Len(t, v.Kept, len(files)-1)
	assert.Equal(t, "Valve", kept(t, v, "valve").Name())
}

func TestASymptomThatStopsTheWorkKeepsDoingSo(t *testing.T) {
	t.Parallel()
	dropped := written("team/symptom/gas-smell.md",
		"---\nname: Smell of gas\nusual-causes: {pump-burnt: 1 in 10}\nsource: common practice\n---\n")
	v := review(t, with(sound(t), dropped))
	assert.Empty(t, v.Replaced)
	assert.Equal(t, "shipped/symptom/gas-smell.md", kept(t, v, "gas-smell").Path, "the shipped one stays in use")

	changed := written("team/symptom/gas-smell.md",
		"---\nname: Smell of gas\nusual-causes: {pump-burnt: 1 in 10}\nstop-work: [Out, and ring from outside.]\nsource: common practice\n---\n")
	v = review(t, with(sound(t), changed))
	assert.Empty(t, v.Problems)
	assert.Equal(t, "team/symptom/gas-smell.md", kept(t, v, "gas-smell").Path)
}

func TestKeptNotesAreSortedByKindAndIDAndProblemsByPlace(t *testing.T) {
	t.Parallel()
	files := sound(t)
	for _, name := range []string{"zinc", "anode", "mid"} {
		files = with(files, written("shipped/component/"+name+".md", "---\nname: "+name+"\nfitted: likely\nhas: [nowhere, pump]\n---\n"))
	}
	forwards := review(t, files)
	slices.Reverse(files)
	assert.Equal(t, forwards.Problems, review(t, files).Problems, "the order of the files does not matter")

	var places, ids []string
	for _, p := range forwards.Problems {
		places = append(places, p.Pos.String())
	}
	assert.Equal(t, []string{
		"shipped/component/anode.md:3:9", "shipped/component/anode.md:4:7",
		"shipped/component/mid.md:3:9", "shipped/component/mid.md:4:7",
		"shipped/component/zinc.md:3:9", "shipped/component/zinc.md:4:7",
	}, places)
	for _, n := range review(t, sound(t)).Kept {
		ids = append(ids, string(n.ID()))
	}
	assert.Equal(t, []string{
		"fitting", "pump", "valve", "pump-burnt", "pump-seized", "gas-smell", "no-circulation",
		"test-pump-turns", "free-pump", "replace-pump", "isolate", "words-pump",
	}, ids)
}
