package durable

import (
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func text(s string) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := io.WriteString(w, s)
		return err
	}
}

// A file is replaced whole: nothing else is left beside it, whoever had the old
// one open goes on reading that, and a reader finds the mode that was asked for.
func TestAFileIsReplacedInOneStep(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	file := filepath.Join(folder, "current")
	require.NoError(t, Write(file, 0o444, text("one")))
	old, err := os.Open(file)
	require.NoError(t, err)
	defer old.Close()
	require.NoError(t, Write(file, 0o640, text("two")))
	content, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, "two", string(content))
	b := make([]byte, 3)
	_, err = old.Read(b)
	require.NoError(t, err)
	assert.Equal(t, "one", string(b))
	info, err := os.Stat(file)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o640), info.Mode().Perm())
	beside, err := os.ReadDir(folder)
	require.NoError(t, err)
	assert.Len(t, beside, 1)

	require.Error(t, Write(filepath.Join(folder, "no folder", "current"), 0o644, text("three")))
	require.NoError(t, os.Mkdir(filepath.Join(folder, "full"), 0o755))
	require.NoError(t, os.Mkdir(filepath.Join(folder, "full", "of"), 0o755))
	require.Error(t, Write(filepath.Join(folder, "full"), 0o644, text("four")))
	beside, err = os.ReadDir(folder)
	require.NoError(t, err)
	assert.Len(t, beside, 2, "what could not be put in place is taken away")
}
