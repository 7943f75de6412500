// Package librarytest has libraries for tests: of the shipped notes, made once for
// all tests of a package, and of notes that a test brings itself.
package librarytest

import (
	"context"
	"io/fs"
	"sync"
	"testing"

	"kg/data"
	"kg/internal/generation"
	"kg/internal/ingest"
	"kg/internal/library"
	"kg/internal/library/disk"
)

// ShippedSource are the shipped notes.
func ShippedSource() ingest.Source {
	return ingest.Source{Name: "shipped", Root: "shipped", FS: data.Notes}
}

var shipped = sync.OnceValues(func() (library.Bundle, error) {
	b, _, err := ingest.Pack(context.Background(), []ingest.Source{ShippedSource()})
	return b, err
})

// Shipped is a library of the shipped notes in memory, for one test.
func Shipped(t testing.TB) *library.Library {
	t.Helper()
	b, err := shipped()
	if err != nil {
		t.Fatal(err)
	}
	l, err := b.Open()
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// ShippedBundle is the bundle of the shipped notes.
func ShippedBundle(t testing.TB) library.Bundle {
	t.Helper()
	b, err := shipped()
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// OnDisk builds a library of a source and opens it. The store is returned for
// tests that damage it.
func OnDisk(t testing.TB, source ingest.Source) (*disk.Library, generation.Store) {
	t.Helper()
	store := generation.Store{Root: t.TempDir()}
	if _, err := ingest.Build(t.Context(), store, ingest.Options{Sources: []ingest.Source{source}}); err != nil {
		t.Fatal(err)
	}
	l, err := disk.Open(store)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := l.Close(); err != nil {
			t.Error(err)
		}
	})
	return l, store
}

// InMemory is a library of some notes in memory.
func InMemory(t testing.TB, notes fs.FS) *library.Library {
	t.Helper()
	b, _, err := ingest.Pack(t.Context(), []ingest.Source{{Name: "team", Root: "team", FS: notes}})
	if err != nil {
		t.Fatal(err)
	}
	l, err := b.Open()
	if err != nil {
		t.Fatal(err)
	}
	return l
}
