package generation

import (
	"os"
	"path/filepath"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/durable"
)

// Builders, sweepers and readers wait for nobody, so each step of one can fall
// between any two steps of another. These tests let them run into each other
// many times; what they check holds at every single time.

const rounds = 25

func TestThereIsALibraryAtEveryMomentWhileSeveralBuildAndSweep(t *testing.T) {
	t.Parallel()
	s := Store{Root: t.TempDir()}
	publish(t, s, "aaaaaaaaaaaaaaaa", "first")
	var builders, readers sync.WaitGroup
	for range 4 {
		builders.Go(func() {
			for range rounds {
				d, err := s.Begin()
				if !assert.NoError(t, err) {
					return
				}
				assert.NoError(t, os.WriteFile(filepath.Join(d.Folder, "store"), []byte("content"), 0o644))
				assert.NoError(t, d.Publish(Manifest{Notes: "bbbbbbbbbbbbbbbb"}))
				_, err = s.Sweep()
				assert.NoError(t, err)
			}
		})
	}
	done := make(chan struct{})
	for range 4 {
		readers.Go(func() {
			for {
				select {
				case <-done:
					return
				default:
				}
				l, err := s.Open()
				if !assert.NoError(t, err) {
					return
				}
				assert.NoError(t, l.Verify(), "what is open stays whole")
				assert.NoError(t, l.Close())
			}
		})
	}
	builders.Wait()
	close(done)
	readers.Wait()
	n, err := s.Sweep()
	require.NoError(t, err)
	assert.LessOrEqual(t, n, 4, "each sweep leaves at most what others were using")
}

func TestABuildThatBeginsWhileOthersSweepIsNotSwept(t *testing.T) {
	t.Parallel()
	s := Store{Root: t.TempDir()}
	done := make(chan struct{})
	var sweepers sync.WaitGroup
	for range 2 {
		sweepers.Go(func() {
			for {
				select {
				case <-done:
					return
				default:
				}
				_, err := s.Sweep()
				assert.NoError(t, err)
			}
		})
	}
	for range 4 * rounds {
		d, err := s.Begin()
		if !assert.NoError(t, err) {
			break
		}
		assert.NoError(t, os.WriteFile(filepath.Join(d.Folder, "store"), []byte("content"), 0o644))
		assert.NoError(t, d.Discard())
	}
	close(done)
	sweepers.Wait()
}

// A desktop leaves files of its own in the folders it has shown.
func TestAFileAmongTheGenerationsDoesNotStopTheSweep(t *testing.T) {
	t.Parallel()
	s := Store{Root: t.TempDir()}
	first := publish(t, s, "aaaaaaaaaaaaaaaa", "first")
	publish(t, s, "bbbbbbbbbbbbbbbb", "second")
	stray := filepath.Join(s.Root, sealedName, ".folder-view")
	require.NoError(t, os.WriteFile(stray, []byte("icons"), 0o644))
	n, err := s.Sweep()
	require.NoError(t, err)
	assert.Equal(t, 1, n)
	assert.NoDirExists(t, first)
	assert.FileExists(t, stray, "what is not ours is left alone")
}

// A build that dies while it swaps the pointer leaves its generation without a
// pointer to it, and the new pointer under another name.
func TestWhatADeadBuildLeftIsSweptWhereverItWasCutShort(t *testing.T) {
	t.Parallel()
	s := Store{Root: t.TempDir()}
	abandoned := publish(t, s, "aaaaaaaaaaaaaaaa", "first")
	current := publish(t, s, "bbbbbbbbbbbbbbbb", "second")
	begun := filepath.Join(s.Root, draftsName, "no-lease-yet")
	require.NoError(t, os.Mkdir(begun, 0o755))
	unswapped := filepath.Join(s.Root, durable.Temporary(pointerName)+"1234")
	require.NoError(t, os.WriteFile(unswapped, []byte("aaaa"), 0o644))

	n, err := s.Sweep()
	require.NoError(t, err)
	assert.Equal(t, 2, n, "folders")
	assert.NoDirExists(t, abandoned)
	assert.NoDirExists(t, begun)
	assert.NoFileExists(t, unswapped)
	l, err := s.Open()
	require.NoError(t, err)
	defer l.Close()
	assert.Equal(t, current, l.Folder)
}

func TestAStoreThatWasNeverUsedIsSweptWithoutMakingIt(t *testing.T) {
	t.Parallel()
	s := Store{Root: filepath.Join(t.TempDir(), "library")}
	n, err := s.Sweep()
	require.NoError(t, err)
	assert.Zero(t, n)
	assert.NoDirExists(t, s.Root)
}
