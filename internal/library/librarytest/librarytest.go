// Package librarytest has libraries for tests: of the shipped notes, made once for
// all tests of a package, and of notes that a test brings itself.
package librarytest

import (
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"

	"kg/internal/ingest"
	"kg/internal/ingest/pack"
	"kg/internal/library"
	"kg/internal/library/bundle"
)

// shipped is packed by a program of its own, which the race detector does not slow
// down.
var shipped = sync.OnceValues(func() (bundle.Bundle, error) {
	folder, err := os.MkdirTemp("", "kg-shipped-")
	if err != nil {
		return bundle.Bundle{}, err
	}
	defer os.RemoveAll(folder)
	file := filepath.Join(folder, "bundle")
	if out, err := exec.Command("go", "run", "kg/bench/pack", file).CombinedOutput(); err != nil {
		return bundle.Bundle{}, fmt.Errorf("packing the shipped notes: %w: %s", err, out)
	}
	encoded, err := os.ReadFile(file)
	if err != nil {
		return bundle.Bundle{}, err
	}
	return bundle.Unpack(encoded)
})

// Shipped is a library of the shipped notes in memory, for one test.
func Shipped(t testing.TB) *library.Library {
	t.Helper()
	return opened(t, ShippedBundle(t))
}

// ShippedBundle is the bundle of the shipped notes.
func ShippedBundle(t testing.TB) bundle.Bundle {
	t.Helper()
	b, err := shipped()
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// InMemory is a library of some notes in memory.
func InMemory(t testing.TB, notes fs.FS) *library.Library {
	t.Helper()
	b, _, err := pack.Notes(t.Context(), []ingest.Source{{Name: "team", Root: "team", FS: notes}})
	if err != nil {
		t.Fatal(err)
	}
	return opened(t, b)
}

// opened is the library of a bundle.
func opened(t testing.TB, b bundle.Bundle) *library.Library {
	t.Helper()
	l, err := b.Open()
	if err != nil {
		t.Fatal(err)
	}
	return l
}
