package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
)

// asProgram is the variable that makes the program of the tests kg itself, under the
// race detector if they are: for tests that need it in processes of its own.
const asProgram = "KG_TEST_AS_PROGRAM"

// TestMain removes what the tests of this package share when they have run.
func TestMain(m *testing.M) {
	if os.Getenv(asProgram) != "" {
		main()
	}
	code := m.Run()
	for _, folder := range sharedFolders {
		os.RemoveAll(folder)
	}
	os.Exit(code)
}

// programFolder holds kg as it goes on a van, for the scripts and for all that is asked
// of the shipped notes: some hundred times, which the race detector would make ten
// times as long. What can race runs under it with a few notes: in this process, see kg,
// and in others, see processOf.
var programFolder = sync.OnceValues(func() (string, error) {
	folder, err := sharedFolder()
	if err != nil {
		return "", err
	}
	out, err := exec.Command("go", "build", "-o", filepath.Join(folder, executable), ".").CombinedOutput()
	if err != nil {
		return "", fmt.Errorf("building kg: %w: %s", err, out)
	}
	return folder, nil
})

const executable = "kg"

var (
	sharedFolders []string
	sharing       sync.Mutex
)

func sharedFolder() (string, error) {
	sharing.Lock()
	defer sharing.Unlock()
	folder, err := os.MkdirTemp("", "kg-test-")
	sharedFolders = append(sharedFolders, folder)
	return folder, err
}

// shippedHome is the home of a library of the shipped notes, built once by the program
// and only read from.
var shippedHome = sync.OnceValues(func() (string, error) {
	home, err := sharedFolder()
	if err != nil {
		return "", err
	}
	a, err := outcome("", "--home", home, "list")
	if err == nil && a.status != exitAnswered {
		err = fmt.Errorf("status %d: %s", a.status, a.err)
	}
	if err != nil {
		return "", fmt.Errorf("building the shared library: %w", err)
	}
	return home, nil
})

func shipped(t *testing.T) string {
	t.Helper()
	home, err := shippedHome()
	require.NoError(t, err)
	return home
}

// answer is what one command line printed, and how it ended.
type answer struct {
	out, err string
	status   int
}

// kg runs a command line in this process. What it logs goes through the standard
// logger, so tests that use it do not run in parallel.
func kg(args ...string) answer {
	var out, errOut strings.Builder
	status := run(context.Background(), append([]string{"kg"}, args...), &out, &errOut)
	return answer{out.String(), errOut.String(), status}
}

// outcome runs a command line with the program in a folder.
func outcome(folder string, args ...string) (answer, error) {
	in, err := programFolder()
	if err != nil {
		return answer{}, err
	}
	var out, errOut strings.Builder
	c := exec.Command(filepath.Join(in, executable), args...)
	c.Dir, c.Stdout, c.Stderr = folder, &out, &errOut
	err = c.Run()
	if ended := (*exec.ExitError)(nil); errors.As(err, &ended) && ended.Exited() {
		err = nil
	}
	return answer{out.String(), errOut.String(), c.ProcessState.ExitCode()}, err
}

// kgIn runs a command line with the program in a folder, and kgProgram where it does
// not matter in which.
func kgIn(t *testing.T, folder string, args ...string) answer {
	t.Helper()
	a, err := outcome(folder, args...)
	require.NoError(t, err)
	return a
}

func kgProgram(t *testing.T, args ...string) answer {
	t.Helper()
	return kgIn(t, "", args...)
}

// generationFolder is the folder of the current generation of a library.
func generationFolder(home string) (string, error) {
	name, err := os.ReadFile(filepath.Join(home, "library", "current"))
	return filepath.Join(home, "library", "generations", strings.TrimSpace(string(name))), err
}

// copyHome copies a home, so that a test can change it; the copy can be written.
func copyHome(to, from string) error {
	if err := os.RemoveAll(to); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return os.CopyFS(to, os.DirFS(from))
}
