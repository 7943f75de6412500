package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"kg/internal/generation"
	"kg/internal/library"
)

// The statuses are those of the design: 0 answered, 1 nothing found or a check
// failed, 2 wrong use, 3 the library or a file is unusable.
func TestEveryErrorHasItsExitStatus(t *testing.T) {
	t.Parallel()
	notFound := &library.NotFound{What: "entry", ID: "x"}
	for _, c := range []struct {
		name string
		err  error
		want int
	}{
		{"no error", nil, 0},
		{"nothing found", errNothing, 1},
		{"no such entry", notFound, 1},
		{"no such entry, wrapped", fmt.Errorf("walking: %w", notFound), 1},
		{"interrupted", fmt.Errorf("walking: %w", context.Canceled), 1},
		{"wrong use", wrongUsef("what?"), 2},
		{"wrong use, wrapped", fmt.Errorf("note: %w", wrongUsef("what?")), 2},
		{"no such entry where the command line named it", wrongUse(notFound), 2},
		{"a damaged library", fmt.Errorf("%w (it is short)", generation.ErrDamaged), 3},
		{"no library", generation.ErrNone, 3},
		{"a file that cannot be read", &fs.PathError{Op: "open", Path: "x", Err: fs.ErrPermission}, 3},
		{"an error nobody thought of", errors.New("?"), 3},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			assert.Equal(t, c.want, exitStatus(c.err))
		})
	}
}

func TestAStoppedCommandSaysThatNothingWasChanged(t *testing.T) {
	stopped, stop := context.WithCancel(t.Context())
	stop()
	var out, errOut strings.Builder
	status := run(stopped, []string{"kg", "--home", t.TempDir(), "build"}, &out, &errOut)
	assert.Equal(t, exitNothing, status)
	assert.Empty(t, out.String())
	assert.Equal(t, "kg: stopped; the library in use is unchanged\n", errOut.String())
}

type fullDisk struct{}

func (fullDisk) Write([]byte) (int, error) { return 0, errors.New("no space left") }

func TestAnAnswerThatCannotBeWrittenIsNoAnswer(t *testing.T) {
	var errOut strings.Builder
	status := run(t.Context(), []string{"kg", "completion", "bash"}, fullDisk{}, &errOut)
	assert.Equal(t, exitUnusable, status)
	assert.Contains(t, errOut.String(), "no space left")
}

func TestAnErrorOfUseIsStillTheErrorThatItWraps(t *testing.T) {
	t.Parallel()
	cause := errors.New("what?")
	assert.ErrorIs(t, wrongUse(cause), cause)
}
