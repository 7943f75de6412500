// Package disk opens a generation of a library for reading: its files together,
// verified, under a lease, with whatever goes wrong with them made an error.
package disk

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"runtime/debug"

	"kg/internal/archive"
	"kg/internal/bucket/bolt"
	"kg/internal/generation"
	"kg/internal/graph"
	"kg/internal/library"
	"kg/internal/note"
	"kg/internal/search"
)

// Library is one generation, opened for reading.
type Library struct {
	*library.Library
	lease  *generation.Lease
	opened []io.Closer
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
		if err := check(lease); err != nil {
			return err
		}
		entries, err := bolt.Open(filepath.Join(lease.Folder, generation.ArchiveFile))
		if err != nil {
			return err
		}
		l.opened = append(l.opened, entries)
		parts, err := bolt.Open(filepath.Join(lease.Folder, generation.PartsFile))
		if err != nil {
			return err
		}
		l.opened = append(l.opened, parts)
		links, err := graph.Open(filepath.Join(lease.Folder, generation.GraphFile))
		if err != nil {
			return err
		}
		l.opened = append(l.opened, links)
		l.Library, err = library.New(library.Stores{Entries: entries, Parts: parts, Links: links, Finder: &finder{library: l}}, guard)
		if err != nil {
			return err
		}
		if n, want := l.PartCount(), lease.Manifest.Counts.Parts; n != want {
			return fmt.Errorf("there are %d parts, there should be %d", n, want)
		}
		if n, want := l.Entries(), lease.Manifest.Counts.Entries; n != want {
			return fmt.Errorf("there are sayings of %d entries, there should be of %d", n, want)
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
	for _, c := range l.opened {
		errs = append(errs, c.Close())
	}
	return errors.Join(append(errs, l.lease.Close())...)
}

// Manifest says what the library was made of.
func (l *Library) Manifest() generation.Manifest { return l.lease.Manifest }

// finder opens the index when something is looked for: no other answer needs it.
type finder struct {
	library *Library
	index   *search.Index
}

func (f *finder) Find(ctx context.Context, terms []string, begun string, kinds []note.Kind, limit int) (library.Located, error) {
	if f.index == nil {
		index, err := search.Open(filepath.Join(f.library.lease.Folder, generation.IndexFolder))
		if err != nil {
			return library.Located{}, damaged(err)
		}
		f.index = index
		f.library.opened = append(f.library.opened, index)
		if n, want := index.Entries(), f.library.lease.Manifest.Counts.Indexed; n != want {
			return library.Located{}, damaged(fmt.Errorf("the index holds %d entries, should hold %d", n, want))
		}
	}
	found, err := f.index.Find(ctx, terms, begun, kinds, limit)
	out := library.Located{Kinds: found.Kinds}
	for _, h := range found.Hits {
		out.Entries = append(out.Entries, library.Match(h))
	}
	return out, err
}

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
