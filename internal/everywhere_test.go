package internal_test

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// askedEverywhere is how many questions are compared.
const askedEverywhere = 300

// questions are the words of the query files, then names and sayings of symptoms,
// until there are enough.
func questions(t *testing.T) []string {
	t.Helper()
	var out []string
	files, err := filepath.Glob("../testdata/queries/*.tsv")
	require.NoError(t, err)
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		for line := range strings.Lines(string(text)) {
			words, _, _ := strings.Cut(line, "\t")
			if !strings.HasPrefix(words, "#") {
				out = append(out, strings.TrimSpace(words))
			}
		}
	}
	sayings, err := os.ReadFile("../speech/householder-story/symptoms.tsv")
	require.NoError(t, err)
	for i, line := range strings.Split(string(sayings), "\n") {
		if _, words, ok := strings.Cut(line, "\t"); ok && i%20 == 0 && len(out) < askedEverywhere {
			out = append(out, words)
		}
	}
	require.GreaterOrEqual(t, len(out), askedEverywhere)
	return out[:askedEverywhere]
}

// The same question has the same answer to the last byte: from a library on disk and
// from a bundle in memory, with and without the processor's fused multiplication,
// compiled for an older and a newer one, and in the browser's own instructions. The
// programs run by themselves, since the race detector would make them ten times as
// long.
func TestAnAnswerIsTheSameOnEveryProcessorAndInABrowser(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	bundle, asked := filepath.Join(folder, "bundle"), filepath.Join(folder, "questions")
	require.NoError(t, os.WriteFile(asked, []byte(strings.Join(questions(t), "\n")), 0o644))
	program := func(t *testing.T, pkg, name string, env ...string) string {
		t.Helper()
		file := filepath.Join(folder, name)
		build := exec.CommandContext(t.Context(), "go", "build", "-o", file, pkg)
		build.Env = append(build.Environ(), env...)
		out, err := build.CombinedOutput()
		require.NoError(t, err, string(out))
		return file
	}
	answers := func(t *testing.T, env string, command ...string) []byte {
		t.Helper()
		run := exec.CommandContext(t.Context(), command[0], append(command[1:], bundle, asked)...)
		run.Env = append(run.Environ(), env)
		var errs bytes.Buffer
		run.Stderr = &errs
		out, err := run.Output()
		require.NoError(t, err, errs.String())
		return out
	}
	want := answers(t, "", program(t, "kg/bench/pack", "pack"))
	require.Equal(t, askedEverywhere, bytes.Count(want, []byte("\n")))
	same := func(where, env string, command func(t *testing.T) []string) {
		t.Run(where, func(t *testing.T) {
			t.Parallel()
			got := answers(t, env, command(t)...)
			a, b := strings.Split(string(want), "\n"), strings.Split(string(got), "\n")
			require.Len(t, b, len(a))
			differ := 0
			for i := range a {
				if a[i] != b[i] {
					differ++
					if differ == 1 {
						t.Logf("%s\n%s", a[i], b[i])
					}
				}
			}
			assert.Zero(t, differ, "answers that differ")
		})
	}
	native := program(t, "kg/bench/answers", "native")
	alone := func(*testing.T) []string { return []string{native} }
	same("in the browser", "", func(t *testing.T) []string {
		root, err := exec.CommandContext(t.Context(), "go", "env", "GOROOT").Output()
		require.NoError(t, err)
		node := filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "wasm_exec_node.js")
		return []string{"node", "--stack-size=8192", node, program(t, "kg/bench/answers", "answers.wasm", "GOOS=js", "GOARCH=wasm")}
	})
	same("in memory", "", alone)
	same("without what the processor can do beyond the least", "GODEBUG=cpu.all=off", alone)
	same("compiled for newer processors", "", func(t *testing.T) []string {
		return []string{program(t, "kg/bench/answers", "newer", "GOAMD64=v3")}
	})
}
