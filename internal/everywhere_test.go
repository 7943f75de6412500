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
	program := func(pkg, name string, env ...string) string {
		file := filepath.Join(folder, name)
		build := exec.CommandContext(t.Context(), "go", "build", "-o", file, pkg)
		build.Env = append(build.Environ(), env...)
		out, err := build.CombinedOutput()
		require.NoError(t, err, string(out))
		return file
	}
	answers := func(env string, command ...string) []byte {
		run := exec.CommandContext(t.Context(), command[0], append(command[1:], bundle, asked)...)
		run.Env = append(run.Environ(), env)
		var errs bytes.Buffer
		run.Stderr = &errs
		out, err := run.Output()
		require.NoError(t, err, errs.String())
		return out
	}
	want := answers("", program("kg/bench/pack", "pack"))
	require.Equal(t, askedEverywhere, bytes.Count(want, []byte("\n")))
	same := func(where string, got []byte) {
		t.Helper()
		a, b := strings.Split(string(want), "\n"), strings.Split(string(got), "\n")
		require.Len(t, b, len(a), where)
		differ := 0
		for i := range a {
			if a[i] != b[i] {
				differ++
				if differ == 1 {
					t.Logf("%s:\n%s\n%s", where, a[i], b[i])
				}
			}
		}
		assert.Zero(t, differ, "answers that differ %s", where)
	}
	native := program("kg/bench/answers", "native")
	same("in memory", answers("", native))
	same("without what the processor can do beyond the least", answers("GODEBUG=cpu.all=off", native))
	same("compiled for newer processors", answers("", program("kg/bench/answers", "newer", "GOAMD64=v3")))
	root, err := exec.CommandContext(t.Context(), "go", "env", "GOROOT").Output()
	require.NoError(t, err)
	node := filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "wasm_exec_node.js")
	same("in the browser", answers("", "node", "--stack-size=8192", node, program("kg/bench/answers", "answers.wasm", "GOOS=js", "GOARCH=wasm")))
}
