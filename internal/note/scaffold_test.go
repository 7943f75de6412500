package note_test

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"kg/internal/note"
	"kg/internal/place"
)

func broken(problems []place.Problem) []place.Problem {
	var out []place.Problem
	for _, p := range problems {
		if p.Grade == note.Broken {
			out = append(out, p)
		}
	}
	return out
}

func TestScaffoldOfEveryKindIsANote(t *testing.T) {
	t.Parallel()
	for _, k := range note.Kinds() {
		t.Run(string(k), func(t *testing.T) {
			t.Parallel()
			text := note.Scaffold(k, "Something new")
			n, problems := note.Parse(string(k)+"/new.md", text)
			assert.Empty(t, broken(problems))
			require.NotNil(t, n)
			assert.Equal(t, "Something new", n.Entry.Head().Name)
			assert.NotEmpty(t, n.Entry.Head().Body)
		})
	}
	assert.Nil(t, note.Scaffold("gadget", "Something new"))
}

// A scaffold shows the optional keys as comments; taking the comment signs away
// has to leave a complete note.
func TestScaffoldWithAllCommentsTakenInIsACompleteNote(t *testing.T) {
	t.Parallel()
	for _, k := range note.Kinds() {
		t.Run(string(k), func(t *testing.T) {
			t.Parallel()
			text := strings.ReplaceAll("\n"+string(note.Scaffold(k, "Something new")), "\n# ", "\n")[1:]
			n, problems := note.Parse(string(k)+"/new.md", []byte(text))
			assert.Empty(t, problems)
			require.NotNil(t, n)
		})
	}
}

func TestScaffoldKeepsAnyName(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.String().Draw(t, "name")
		k := rapid.SampledFrom(note.Kinds()).Draw(t, "kind")
		checkScaffoldName(t, k, name)
	})
}

// Names that have a meaning in YAML, or none in text.
func TestScaffoldKeepsAwkwardNames(t *testing.T) {
	t.Parallel()
	for _, name := range []string{
		`"`, `\`, `'`, "---", "a: b", "# a", "- a", "&a", "*a", "~", "null", "yes", "1e3", "{a}", "[a]", "!x", "%", "@", "`",
		"\x00", "\x1b[31mred", "a\nb", "a\r\nb", "a\tb", "a\u0085b", "a\u2028b", "\ufeffa", "a\u00a0b", "Kältepumpe 🔧", "\u00ad",
	} {
		checkScaffoldName(t, note.KindMode, name)
	}
}

// checkScaffoldName states that a name comes back with its white space folded.
func checkScaffoldName(t require.TestingT, k note.Kind, name string) {
	n, problems := note.Parse(string(k)+"/new.md", note.Scaffold(k, name))
	require.Empty(t, broken(problems), "%q", name)
	require.NotNil(t, n)
	if want := strings.Join(strings.Fields(name), " "); want != "" {
		require.Equal(t, want, n.Entry.Head().Name)
	} else {
		require.NotEmpty(t, n.Entry.Head().Name, "without a name an example stands there")
	}
}

var (
	section  = regexp.MustCompile(`^## (\w+)$`)
	keyInRow = regexp.MustCompile("`([a-z-]+)`")
)

// Every key that docs/notes.md describes for a kind is in its scaffold and the
// other way round.
func TestTheDescriptionOfTheFormatNamesEveryKey(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("../../docs/notes.md")
	require.NoError(t, err)
	described := map[note.Kind]map[string]bool{}
	var kind note.Kind
	var everyKind []string
	var inAll bool
	for line := range strings.Lines(string(text)) {
		line = strings.TrimSuffix(line, "\n")
		if strings.HasPrefix(line, "## ") {
			kind, inAll = "", line == "## Every kind"
			if m := section.FindStringSubmatch(line); m != nil {
				kind, _ = note.ParseKind(m[1])
			}
			continue
		}
		if cells := strings.Split(line, "|"); len(cells) > 2 {
			for _, m := range keyInRow.FindAllStringSubmatch(cells[1], -1) {
				switch {
				case inAll:
					everyKind = append(everyKind, m[1])
				case kind != "":
					if described[kind] == nil {
						described[kind] = map[string]bool{}
					}
					described[kind][m[1]] = true
				}
			}
		}
	}
	require.ElementsMatch(t, []string{"name", "also", "caveats", "source"}, everyKind)

	keyLine := regexp.MustCompile(`(?m)^(?:# )?([a-z-]+):`)
	for _, k := range note.Kinds() {
		if k == note.KindRemark || k == note.KindSynonym {
			continue // described in a sentence, not a table
		}
		written := map[string]bool{}
		for _, m := range keyLine.FindAllStringSubmatch(string(note.Scaffold(k, "")), -1) {
			if k := m[1]; k != "name" && k != "also" && k != "caveats" && k != "source" {
				written[k] = true
			}
		}
		delete(described[k], "also") // a symptom says more about it
		assert.Equal(t, described[k], written, "%s", k)
	}
}
