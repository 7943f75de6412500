package graph_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime/debug"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/graph"
	"kg/internal/link"
	"kg/internal/note"
)

// A walk that was called off must not read as "there are no links", whether or
// not the graph knows the id.
func TestACancelledWalkIsAnErrorAndNeverNoLinks(t *testing.T) {
	t.Parallel()
	g := stored(t, []link.Edge{shows("pump-seized", "cold-radiators", 0.9), shows("scale", "kettling", 0.95), leads("sludge", "pump-seized", 0.6)}, nil)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	for _, id := range []note.ID{"kettling", "pump-seized", "nobody"} {
		for name, walk := range map[string]func() error{
			"out":     func() error { _, err := g.Out(ctx, id); return err },
			"in":      func() error { _, err := g.In(ctx, id, link.Shows); return err },
			"rate":    func() error { _, err := g.Rate(ctx, id); return err },
			"tree":    func() error { _, err := link.Tree(ctx, g, id, link.Back, 5); return err },
			"closure": func() error { _, err := link.Closure(ctx, g, id, link.IsA); return err },
		} {
			assert.ErrorIs(t, walk(), context.Canceled, "%s of %s", name, id)
		}
	}
	out, err := g.Out(t.Context(), "pump-seized")
	require.NoError(t, err, "the graph is as good as before")
	assert.Len(t, out, 1)
}

func TestACancelledWriteIsAnError(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := graph.Write(ctx, filepath.Join(t.TempDir(), "graph.bolt"), []link.Edge{shows("a", "s", 0.5)}, nil)
	assert.ErrorIs(t, err, context.Canceled)
}

func TestAFinishedGraphIsReadBySeveralAtOnce(t *testing.T) {
	t.Parallel()
	file := storedFile(t, []link.Edge{shows("a", "s", 0.5), leads("b", "a", 0.5)}, nil)
	const readers = 8
	var open, done sync.WaitGroup
	open.Add(readers)
	for range readers {
		done.Go(func() {
			g, err := graph.Open(file)
			open.Done()
			open.Wait() // all hold it open now
			if !assert.NoError(t, err) {
				return
			}
			defer g.Close()
			tree, err := link.Tree(t.Context(), g, "s", link.Back, link.MaxDepth)
			if assert.NoError(t, err) {
				assert.Equal(t, note.ID("b"), tree.Branches[0].Branches[0].ID)
			}
		})
	}
	done.Wait()
}

func TestReadingDoesNotNeedTheRightToWrite(t *testing.T) {
	t.Parallel()
	file := storedFile(t, []link.Edge{shows("a", "s", 0.5)}, nil)
	before, err := os.ReadFile(file)
	require.NoError(t, err)
	require.NoError(t, os.Chmod(file, 0o444))
	g, err := graph.Open(file)
	require.NoError(t, err)
	_, err = g.Out(t.Context(), "a")
	require.NoError(t, err)
	require.NoError(t, g.Close())
	after, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.True(t, bytes.Equal(before, after), "reading changed the file")
}

func TestAGraphThatIsNotThereIsAnErrorAndIsNotMade(t *testing.T) {
	t.Parallel()
	file := filepath.Join(t.TempDir(), "graph.bolt")
	_, err := graph.Open(file)
	require.ErrorContains(t, err, file)
	assert.NoFileExists(t, file)
}

// readAll opens a graph and walks it, as the library does: the stores below may
// panic, or fault on a page that is no longer there.
func readAll(ctx context.Context, file string) (err error) {
	defer debug.SetPanicOnFault(debug.SetPanicOnFault(true))
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("panic: %v", r)
		}
	}()
	g, err := graph.Open(file)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, g.Close()) }()
	quads, err := g.Quads(ctx)
	if err != nil {
		return err
	}
	in, err := g.In(ctx, "s")
	if err == nil && (len(in) == 0 || quads == 0) {
		return errNothing
	}
	return err
}

var errNothing = errors.New("it reads as empty")

func TestADamagedGraphFailsAndNeverReadsAsEmpty(t *testing.T) {
	t.Parallel()
	const page = 4096
	var edges []link.Edge
	for i := range 2000 {
		edges = append(edges, shows(note.ID(fmt.Sprintf("m%04d", i)), "s", 0.5))
	}
	sound, err := os.ReadFile(storedFile(t, edges, nil))
	require.NoError(t, err)
	require.Greater(t, len(sound), 100*page)

	for name, damage := range map[string]func(b []byte) []byte{
		"empty":                 func(b []byte) []byte { return nil },
		"cut in the first page": func(b []byte) []byte { return b[:100] },
		"cut after two pages":   func(b []byte) []byte { return b[:2*page] },
		"cut in the middle":     func(b []byte) []byte { return b[:len(b)/2] },
		"another kind of file":  func(b []byte) []byte { return bytes.Repeat([]byte("what is this? "), 10_000) },
		"head overwritten":      func(b []byte) []byte { clear(b[:2*page]); return b },
		"all but the head overwritten": func(b []byte) []byte {
			clear(b[2*page:])
			return b
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			file := filepath.Join(t.TempDir(), "graph.bolt")
			require.NoError(t, os.WriteFile(file, damage(bytes.Clone(sound)), 0o600))
			err := readAll(t.Context(), file)
			require.Error(t, err)
			assert.NotErrorIs(t, err, errNothing)
		})
	}
}
