// Package library is the one door to a generation: it opens graph, index and
// archive together, read-only and verified, and answers what commands and pages
// ask. It does not build; that is what ingest is for.
package library

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"runtime/debug"

	"kg/internal/archive"
	"kg/internal/generation"
	"kg/internal/graph"
	"kg/internal/note"
	"kg/internal/search"
)

// Library is one generation, opened for reading. It is not safe for concurrent
// use; open one for each goroutine, they share the files.
type Library struct {
	lease   *generation.Lease
	graph   *graph.Graph
	index   *search.Index
	archive *archive.Archive
	parts   *archive.Parts
}

// Open opens the current generation of a store. The error wraps
// generation.ErrNone when nothing was built yet and generation.ErrDamaged when
// the files are not what was built.
func Open(store generation.Store) (*Library, error) {
	return open(store, func(*generation.Lease) error { return nil })
}

// OpenVerified opens like Open, but first compares every byte of the library
// with what was built: what was altered is found before a store trips over it.
func OpenVerified(store generation.Store) (*Library, error) {
	return open(store, (*generation.Lease).Verify)
}

func open(store generation.Store, check func(*generation.Lease) error) (*Library, error) {
	lease, err := store.Open()
	if err != nil {
		return nil, err
	}
	l := &Library{lease: lease}
	err = guard(func() error {
		err := check(lease)
		if err != nil {
			return err
		}
		if l.graph, err = graph.Open(filepath.Join(lease.Folder, generation.GraphFile)); err != nil {
			return err
		}
		if l.index, err = search.Open(filepath.Join(lease.Folder, generation.IndexFolder)); err != nil {
			return err
		}
		if l.archive, err = archive.Open(filepath.Join(lease.Folder, generation.ArchiveFile)); err != nil {
			return err
		}
		if n, want := l.index.Entries(), lease.Manifest.Counts.Indexed; n != want {
			return fmt.Errorf("the index holds %d entries, should hold %d", n, want)
		}
		if l.parts, err = archive.OpenParts(filepath.Join(lease.Folder, generation.PartsFile)); err != nil {
			return err
		}
		if n, want := l.parts.Count(), lease.Manifest.Counts.Parts; n != want {
			return fmt.Errorf("there are %d parts, there should be %d", n, want)
		}
		return nil
	})
	if err != nil {
		return nil, errors.Join(damaged(err), l.Close())
	}
	return l, nil
}

// Close releases the files and the lease on the generation.
func (l *Library) Close() error {
	var errs []error
	if l.graph != nil {
		errs = append(errs, l.graph.Close())
	}
	if l.index != nil {
		errs = append(errs, l.index.Close())
	}
	if l.archive != nil {
		errs = append(errs, l.archive.Close())
	}
	if l.parts != nil {
		errs = append(errs, l.parts.Close())
	}
	return errors.Join(append(errs, l.lease.Close())...)
}

// Manifest says what the library was made of.
func (l *Library) Manifest() generation.Manifest { return l.lease.Manifest }

// guard runs f and turns a panic into an error. The stores panic on files that
// were changed behind their back, and read them through memory maps, where a
// missing page is a fault.
func guard(f func() error) (err error) {
	old := debug.SetPanicOnFault(true)
	defer debug.SetPanicOnFault(old)
	defer func() {
		if r := recover(); r != nil {
			err = damaged(fmt.Errorf("reading it failed: %v", r))
		}
	}()
	if err = f(); errors.Is(err, archive.ErrUnreadable) {
		err = damaged(err)
	}
	return err
}

func damaged(err error) error {
	if errors.Is(err, generation.ErrDamaged) || errors.Is(err, generation.ErrOtherFormat) || errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	return fmt.Errorf("%w (%w)", generation.ErrDamaged, err)
}

// NotFound says that the library has no such entry, and names the nearest.
type NotFound struct {
	What    string
	ID      note.ID
	Nearest note.ID
}

func (e *NotFound) Error() string {
	if e.Nearest == "" {
		return fmt.Sprintf("there is no %s %q: `kg find WORDS` looks for one", e.What, e.ID)
	}
	return fmt.Sprintf("there is no %s %q: did you mean %q?", e.What, e.ID, e.Nearest)
}

// Entry returns the entry with an id; the error is a *NotFound if there is none.
func (l *Library) Entry(id note.ID) (archive.Record, error) {
	return l.entry(id, "entry", note.Kinds()...)
}

func (l *Library) entry(id note.ID, what string, kinds ...note.Kind) (r archive.Record, err error) {
	err = guard(func() error {
		r, err = l.archive.Get(id)
		if !errors.Is(err, archive.ErrNotFound) {
			return err
		}
		near, err := l.nearest(id, kinds)
		if err != nil {
			return err
		}
		return &NotFound{What: what, ID: id, Nearest: near}
	})
	return r, err
}

func (l *Library) nearest(id note.ID, kinds []note.Kind) (note.ID, error) {
	var valid []string
	for _, k := range kinds {
		titles, err := l.archive.List(k)
		if err != nil {
			return "", err
		}
		for _, t := range titles {
			valid = append(valid, string(t.ID))
		}
	}
	near, _ := note.Nearest(string(id), valid)
	return note.ID(near), nil
}

// Text returns the note of an entry as it was written.
func (l *Library) Text(id note.ID) (text string, err error) {
	err = guard(func() error {
		text, err = l.archive.Text(id)
		return err
	})
	return text, err
}

// List returns the titles of all entries of a kind, by id.
func (l *Library) List(k note.Kind) (titles []archive.Title, err error) {
	err = guard(func() error {
		titles, err = l.archive.List(k)
		return err
	})
	return titles, err
}

// Links returns the links out of an entry and into it.
func (l *Library) Links(ctx context.Context, id note.ID) (out, in []graph.Edge, err error) {
	err = guard(func() error {
		if out, err = l.graph.Out(ctx, id); err != nil {
			return err
		}
		in, err = l.graph.In(ctx, id)
		return err
	})
	return out, in, err
}
