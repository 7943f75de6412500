package lint

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/catalogue/lists"
	"kg/internal/note"
	"kg/internal/parts"
)

// review parses the notes of an archive and applies the rules. The first part of
// a path is the name of the source: "shipped" comes before "team".
func review(t *testing.T, files []txtar.File) Verdict {
	t.Helper()
	var notes []*note.Note
	var leftOut []LeftOut
	var rows []*parts.Part
	for _, source := range []string{"shipped", "team"} {
		for _, f := range files {
			if !strings.HasPrefix(f.Name, source+"/") {
				continue
			}
			if strings.HasSuffix(f.Name, ".csv") {
				rows = append(rows, catalogue(t, f)...)
				continue
			}
			n, problems := note.Parse(f.Name, f.Data)
			if n == nil {
				require.NotEmpty(t, problems)
				leftOut = append(leftOut, LeftOut{ID: note.ID(strings.TrimSuffix(filepath.Base(f.Name), ".md"))})
				continue
			}
			require.Empty(t, problems, "the notes of a case break no rule of single notes")
			n.Source = source
			notes = append(notes, n)
		}
	}
	v := Check(notes, leftOut)
	v.AddParts(lists.Assemble(v.Kept, rows, func(p *parts.Part) int { return len(p.Where.File) }))
	return v
}

func catalogue(t *testing.T, f txtar.File) []*parts.Part {
	t.Helper()
	rows, err := parts.NewRows(bytes.NewReader(f.Data), parts.Reading{File: f.Name})
	require.NoError(t, err)
	var out []*parts.Part
	for {
		p, err := rows.Next()
		if err == io.EOF {
			return out
		}
		require.NoError(t, err, "the rows of a case break no rule of single rows")
		out = append(out, p)
	}
}

// sound are notes with which nothing is wrong; every case adds to them.
func sound(t *testing.T) []txtar.File {
	t.Helper()
	a, err := txtar.ParseFile("testdata/sound.txtar")
	require.NoError(t, err)
	return a.Files
}

// A case file is named for its rule. The notes in it stand beside the sound ones,
// or in place of one of the same path; its comment says what is wrong, `want`
// what is said about it: a place, the rule, and how bad it is.
func TestEachRule(t *testing.T) {
	t.Parallel()
	for _, file := range cases(t) {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".txtar"), func(t *testing.T) {
			t.Parallel()
			a, err := txtar.ParseFile(file)
			require.NoError(t, err)
			files := sound(t)
			want := ""
			for _, f := range a.Files {
				if f.Name == "want" {
					want = string(f.Data)
					continue
				}
				files = slices.DeleteFunc(files, func(s txtar.File) bool { return s.Name == f.Name })
				files = append(files, f)
			}
			var got strings.Builder
			for _, p := range review(t, files).Problems {
				fmt.Fprintf(&got, "%s %s %s\n", p.Pos, p.Rule, p.Grade)
				assert.NotEmpty(t, p.Message)
			}
			assert.Equal(t, want, got.String())
			assert.Contains(t, want, " "+strings.TrimSuffix(filepath.Base(file), ".txtar")+" ", "the rule that the file is named for fires")
		})
	}
}

func cases(t *testing.T) []string {
	t.Helper()
	files, err := filepath.Glob("testdata/*.txtar")
	require.NoError(t, err)
	return slices.DeleteFunc(files, func(f string) bool { return filepath.Base(f) == "sound.txtar" })
}

func TestNothingIsSaidOfSoundNotes(t *testing.T) {
	t.Parallel()
	files := sound(t)
	v := review(t, files)
	assert.Empty(t, v.Problems)
	assert.Len(t, v.Kept, len(files))
}

// ofLists are the rules across lists and notes.
const ofLists = "../catalogue/lists/assemble.go"

func TestEveryRuleHasACase(t *testing.T) {
	t.Parallel()
	named := regexp.MustCompile(`note\.(?:Broken|Incomplete), "([a-z-]+)"`)
	sources, err := filepath.Glob("*.go")
	require.NoError(t, err)
	ofParts, err := os.ReadFile("../parts/assemble.go")
	require.NoError(t, err)
	for _, m := range regexp.MustCompile(`(?:p\.Where|s\.at\(p\)|c\.at\(p\)|\.Where), "([a-z-]+)"`).FindAllSubmatch(ofParts, -1) {
		assert.FileExists(t, filepath.Join("testdata", string(m[1])+".txtar"))
	}
	rules := 0
	for _, s := range append(sources, ofLists) {
		text, err := os.ReadFile(s)
		require.NoError(t, err)
		for _, m := range named.FindAllStringSubmatch(string(text), -1) {
			rules++
			assert.FileExists(t, filepath.Join("testdata", m[1]+".txtar"))
		}
	}
	assert.Greater(t, rules, 20)
}

func TestOneBrokenNoteOfAHundredLeavesNinetyNine(t *testing.T) {
	t.Parallel()
	var files []txtar.File
	for i := range 100 {
		text := fmt.Sprintf("---\nname: Part %d\n---\n", i)
		if i == 50 {
			text = "---\nname: Part 50\nis-a: [nowhere]\n---\n"
		}
		files = append(files, txtar.File{Name: fmt.Sprintf("shipped/component/part-%d.md", i), Data: []byte(text)})
	}
	v := review(t, files)
	assert.Len(t, v.Kept, 99)
	require.Len(t, v.Problems, 1)
	assert.Equal(t, "shipped/component/part-50.md:3:8", v.Problems[0].Pos.String())
}

func TestATeamNoteStandsInForAShippedOneUnlessItIsBroken(t *testing.T) {
	t.Parallel()
	files := append(sound(t), txtar.File{Name: "team/component/pump.md", Data: []byte("---\nname: Our pump\n---\n")})
	v := review(t, files)
	require.Len(t, v.Replaced, 1)
	assert.Equal(t, "team/component/pump.md", v.Replaced[0].By.Path)
	assert.Equal(t, "shipped/component/pump.md", v.Replaced[0].Of.Path)
	assert.Equal(t, "Our pump", kept(t, v, "pump").Name())

	files[len(files)-1].Data = []byte("---\nname: Our pump\nis-a: [nowhere]\n---\n")
	v = review(t, files)
	assert.Empty(t, v.Replaced)
	assert.Equal(t, "shipped/component/pump.md", kept(t, v, "pump").Path, "the shipped one stays in use")
}

func kept(t *testing.T, v Verdict, id note.ID) *note.Note {
	t.Helper()
	i := slices.IndexFunc(v.Kept, func(n *note.Note) bool { return n.ID() == id })
	require.GreaterOrEqual(t, i, 0, "%s is kept", id)
	return v.Kept[i]
}
