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

func TestHelpOfEveryCommandHasAnExampleThatWorks(t *testing.T) {
	home := shipped(t)
	t.Chdir(t.TempDir())
	require.NoError(t, os.MkdirAll(filepath.Join("site-notes", "remark"), 0o755))
	require.NoError(t, os.WriteFile(filepath.Join("site-notes", "remark", "keys.md"),
		[]byte("---\nname: Where the keys are\nabout: [combination-boiler]\n---\nAt the bakery.\n"), 0o644))
	require.NoError(t, os.WriteFile("list.csv", []byte("Part No,type\nA-1,pump\n"), 0o644))
	require.NoError(t, os.WriteFile("stock-count.csv", []byte("van,maker,number,count\nnorth,Skerryfold,SF-4155-03,2\n"), 0o644))
	for _, command := range commandsBelow(nil, (&program{}).app().Commands) {
		t.Run(strings.Join(append([]string{"kg"}, command...), " "), func(t *testing.T) {
			help := kg(append(command[:len(command):len(command)], "--help")...)
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
					require.NoError(t, copyHome(in, home))
					require.Equal(t, exitAnswered, kg("--home", in, "job", "start", "no hot water but heating is fine").status)
					require.Equal(t, exitAnswered, kg("--home", in, "stock", "put", "SF-4155-03", "2", "--van", "north").status)
					require.Equal(t, exitAnswered, kg("--home", in, "job", "tell", "last", "the pressure is falling").status)
				}
				a := kg(append([]string{"--home", in}, words...)...)
				assert.Equal(t, exitAnswered, a.status, "kg %s: %s", strings.Join(words, " "), a.err)
				assert.NotEmpty(t, a.out)
			}
		})
	}
}
