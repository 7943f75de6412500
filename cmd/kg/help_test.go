package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/urfave/cli/v2"

	"kg/internal/present/presenttest"
)

// commandsBelow are the command lines of a command and all below it.
func commandsBelow(name []string, commands []*cli.Command) [][]string {
	out := [][]string{name}
	for _, c := range commands {
		if c.Name == "help" {
			continue
		}
		out = append(out, commandsBelow(append(name[:len(name):len(name)], c.Name), c.Subcommands)...)
	}
	return out
}

var typedWord = regexp.MustCompile(`"[^"]*"|\S+`)

// examples are the command lines in a help text: those that begin with three
// spaces more than the text around them, and "kg ".
func examples(help string) [][]string {
	var out [][]string
	for _, line := range strings.Split(help, "\n") {
		line, ok := strings.CutPrefix(line, "      kg ")
		if !ok {
			line, ok = strings.CutPrefix(line, "   source <(kg ")
			line = strings.TrimSuffix(line, ")")
		}
		if !ok {
			line, ok = strings.CutPrefix(line, "      source <(kg ")
			line = strings.TrimSuffix(line, ")")
		}
		if !ok {
			continue
		}
		words := typedWord.FindAllString(line, -1)
		for i, w := range words {
			words[i] = strings.Trim(w, `"`)
		}
		out = append(out, words)
	}
	return out
}

// begun is a copy of a home, with a job and something on a van.
func begun(t *testing.T, home string) string {
	t.Helper()
	in := t.TempDir()
	require.NoError(t, copyHome(in, home))
	for _, args := range [][]string{
		{"job", "start", "no hot water but heating is fine"},
		{"stock", "put", "SF-4155-03", "2", "--van", "north"},
		{"job", "tell", "last", "the pressure is falling"},
	} {
		a := kgProgram(t, append([]string{"--home", in}, args...)...)
		require.Equal(t, exitAnswered, a.status, a.err)
	}
	return in
}

func TestHelpOfEveryCommandHasAnExampleThatWorks(t *testing.T) {
	t.Parallel()
	home := shipped(t)
	withJob := begun(t, home)
	work := t.TempDir()
	for name, text := range map[string]string{
		"site-notes/remark/keys.md": "---\nname: Where the keys are\nabout: [combination-boiler]\n---\nAt the bakery.\n",
		"list.csv":                  "Part No,type\nA-1,pump\n",
		"stock-count.csv":           "van,maker,number,count\nnorth,Skerryfold,SF-4155-03,2\n",
	} {
		file := filepath.Join(work, filepath.FromSlash(name))
		require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o755))
		require.NoError(t, os.WriteFile(file, []byte(text), 0o644))
	}
	for _, command := range commandsBelow(nil, (&program{}).app().Commands) {
		t.Run(strings.Join(append([]string{"kg"}, command...), " "), func(t *testing.T) {
			t.Parallel()
			help := kgProgram(t, append(command[:len(command):len(command)], "--help")...)
			require.Equal(t, exitAnswered, help.status, help.err)
			assert.Empty(t, presenttest.LayoutFaults(help.out))
			assert.Contains(t, help.out, "Exit status: 0 answered")
			examples := examples(help.out)
			require.NotEmpty(t, examples, help.out)
			for _, words := range examples {
				in := home
				switch words[0] {
				case "note", "build", "job", "why", "stock", "parts": // these change their home, or need something in it
					in = t.TempDir()
					require.NoError(t, copyHome(in, withJob))
				}
				a := kgIn(t, work, append([]string{"--home", in}, words...)...)
				assert.Equal(t, exitAnswered, a.status, "kg %s: %s", strings.Join(words, " "), a.err)
				assert.NotEmpty(t, a.out)
			}
		})
	}
}
