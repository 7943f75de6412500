package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// processOf is kg in a process of its own, under the race detector if this one is: for
// tests that kill it or run many at once.
func processOf(t *testing.T, home string, args ...string) *exec.Cmd {
	t.Helper()
	program, err := os.Executable()
	require.NoError(t, err)
	c := exec.CommandContext(t.Context(), program, append([]string{"--home", home}, args...)...)
	c.Env = append(c.Environ(), asProgram+"=1")
	return c
}

// built is a home with a library of the notes in testdata/notes, made by a process of
// its own.
func built(t *testing.T) string {
	t.Helper()
	home := t.TempDir()
	build(t, home)
	return home
}

// again are the arguments of a build of the library that built has made.
func again(t *testing.T) []string {
	t.Helper()
	notes, err := filepath.Abs(filepath.Join("testdata", "notes"))
	require.NoError(t, err)
	return []string{"build", "--again", "--no-shipped", "--notes", notes}
}

func build(t *testing.T, home string) {
	t.Helper()
	out, err := processOf(t, home, again(t)...).CombinedOutput()
	assert.NoError(t, err, string(out))
}

const question = "pressure not rising on pump start"

// firstCause asks a question in a process of its own.
func firstCause(t *testing.T, home string) (string, error) {
	out, err := processOf(t, home, "ask", question).Output()
	if err != nil {
		return "", fmt.Errorf("%w: %s", err, out)
	}
	for line := range strings.Lines(string(out)) {
		if strings.HasPrefix(line, " 1  ") {
			return line, nil
		}
	}
	return "", fmt.Errorf("no first cause in %s", out)
}

// remark changes the team's notes, so that the next build has something to do.
func remark(t *testing.T, home string, n int) {
	t.Helper()
	file := filepath.Join(home, "notes", "remark", "changing.md")
	require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o755))
	text := fmt.Sprintf("---\nname: Changing %d\nabout: [pressure-sensor]\n---\nThis note changes.\n", n)
	require.NoError(t, os.WriteFile(file, []byte(text), 0o644))
}

// names are the files and folders of a library that fit a pattern.
func names(t *testing.T, home, pattern string) []string {
	t.Helper()
	found, err := filepath.Glob(filepath.Join(home, "library", filepath.FromSlash(pattern)))
	require.NoError(t, err)
	return found
}

// moments are those at which a build is killed: when something is there that was not
// when it began, in the order in which a build makes it.
var moments = []struct{ name, pattern string }{
	{"begun", "building/*"},
	{"lease", "building/*/lease"},
	{"links", "building/*/graph.bolt"},
	{"entries", "building/*/entries.bolt"},
	{"parts", "building/*/parts.bolt"},
	{"index", "building/*/index"},
	{"content of the index", "building/*/index/store/*.zap"},
	{"manifest, under another name", "building/*/*manifest*"},
	{"manifest", "building/*/manifest.json"},
	{"generation", "generations/*"},
}

func TestABuildThatIsKilledLeavesTheLastGoodLibrary(t *testing.T) {
	t.Parallel()
	home := built(t)
	want, err := firstCause(t, home)
	require.NoError(t, err)

	abandoned := 0
	for n, moment := range moments {
		remark(t, home, n)
		there := names(t, home, moment.pattern)
		build := processOf(t, home, again(t)...)
		require.NoError(t, build.Start())
		ended := make(chan struct{})
		go func() {
			defer close(ended)
			_ = build.Wait()
		}()
		await(t, ended, func() bool { return len(names(t, home, moment.pattern)) > len(there) })
		_ = build.Process.Kill() // it may have ended already
		<-ended
		abandoned += len(names(t, home, "building/*"))
		got, err := firstCause(t, home)
		require.NoError(t, err, "killed when there was: %s", moment.name)
		require.Equal(t, want, got, "killed when there was: %s", moment.name)
	}
	require.Positive(t, abandoned, "some were killed while they built")

	build(t, home)
	assert.Empty(t, names(t, home, "building/*"), "the next build sweeps what the killed ones left")
	assert.Len(t, names(t, home, "generations/*"), 1, "only the current generation is kept when nobody reads another")
}

// await looks until something has come to pass, or the process that would do it has
// ended.
func await(t *testing.T, ended <-chan struct{}, passed func() bool) {
	t.Helper()
	look := time.NewTicker(200 * time.Microsecond)
	defer look.Stop()
	for !passed() {
		select {
		case <-ended:
			return
		case <-look.C:
		}
	}
}

func TestSixteenAskAtOnceWhileBuildsRun(t *testing.T) {
	t.Parallel()
	home := built(t)
	want, err := firstCause(t, home)
	require.NoError(t, err)

	done := make(chan struct{})
	var builds sync.WaitGroup
	for range 2 { // two at once, which do not wait for each other either
		builds.Go(func() {
			for {
				build(t, home)
				select {
				case <-done:
					return
				default:
				}
			}
		})
	}
	var asks sync.WaitGroup
	for range 16 {
		asks.Go(func() {
			for range 2 {
				got, err := firstCause(t, home)
				if assert.NoError(t, err) {
					assert.Equal(t, want, got)
				}
			}
		})
	}
	asks.Wait()
	close(done)
	builds.Wait()
}
