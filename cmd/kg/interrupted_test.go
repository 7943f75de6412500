package main

import (
	"fmt"
	"math/rand/v2"
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

// compiled is the program as a file, for tests that kill it or run many at once.
func compiled(t *testing.T) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "kg")
	out, err := exec.CommandContext(t.Context(), "go", "build", "-o", file, ".").CombinedOutput()
	require.NoError(t, err, string(out))
	return file
}

const question = "pressure not rising on pump start"

// firstCause asks a question in a process of its own.
func firstCause(t *testing.T, kg, home string) (string, error) {
	out, err := exec.CommandContext(t.Context(), kg, "--home", home, "ask", question).Output()
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
	text := fmt.Sprintf("---\nname: Changing %d\nabout: [pump]\n---\nThis note changes.\n", n)
	require.NoError(t, os.WriteFile(file, []byte(text), 0o644))
}

func TestABuildThatIsKilledLeavesTheLastGoodLibrary(t *testing.T) {
	t.Parallel()
	kg, home := compiled(t), t.TempDir()
	want, err := firstCause(t, kg, home)
	require.NoError(t, err)

	const kills = 20
	random := rand.New(rand.NewPCG(1, 2))
	for n := range kills {
		remark(t, home, n)
		build := exec.CommandContext(t.Context(), kg, "--home", home, "build", "--again")
		require.NoError(t, build.Start())
		time.Sleep(time.Duration(random.IntN(700)) * time.Millisecond)
		_ = build.Process.Kill() // it may have ended already
		_ = build.Wait()
		got, err := firstCause(t, kg, home)
		require.NoError(t, err, "after kill %d", n)
		require.Equal(t, want, got, "after kill %d", n)
	}

	out, err := exec.CommandContext(t.Context(), kg, "--home", home, "build", "--again").CombinedOutput()
	require.NoError(t, err, string(out))
	left, err := os.ReadDir(filepath.Join(home, "library", "building"))
	require.NoError(t, err)
	assert.Empty(t, left, "the next build sweeps what the killed ones left")
	kept, err := os.ReadDir(filepath.Join(home, "library", "generations"))
	require.NoError(t, err)
	assert.Len(t, kept, 1, "only the current generation is kept when nobody reads another")
}

func TestSixteenAskAtOnceWhileBuildsRun(t *testing.T) {
	t.Parallel()
	kg, home := compiled(t), t.TempDir()
	want, err := firstCause(t, kg, home)
	require.NoError(t, err)

	done := make(chan struct{})
	var builds sync.WaitGroup
	for range 2 { // two at once, which do not wait for each other either
		builds.Go(func() {
			for {
				out, err := exec.CommandContext(t.Context(), kg, "--home", home, "build", "--again").CombinedOutput()
				assert.NoError(t, err, string(out))
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
			for range 3 {
				got, err := firstCause(t, kg, home)
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
