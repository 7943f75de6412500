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

// TestMain removes what the tests of this package share when they have run.
func TestMain(m *testing.M) {
	code := m.Run()
	for _, folder := range sharedFolders {
		os.RemoveAll(folder)
	}
	os.Exit(code)
}

// programFolder holds kg as it goes on a van, for the scripts: they run it some hundred
// times, which the race detector would make ten times as long. What can race runs in
// this process, see kg.
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

var sharedFolders []string

func sharedFolder() (string, error) {
	folder, err := os.MkdirTemp("", "kg-test-")
	sharedFolders = append(sharedFolders, folder)
	return folder, err
}

// shippedHome is the home of a library of the shipped notes, built once by this
// process and only read from.
var shippedHome = sync.OnceValues(func() (string, error) {
	home, err := sharedFolder()
	if err != nil {
		return "", err
	}
	if a := kg("--home", home, "list"); a.status != exitAnswered {
		return "", fmt.Errorf("building the shared library: status %d: %s", a.status, a.err)
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
