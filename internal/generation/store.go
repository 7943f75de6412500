// Package generation owns the folders of a library on disk. One generation of a
// library is a folder that is built aside, sealed, and then never changes. A
// pointer file names the current one and is swapped in one step, so that a
// reader has either the last good library or the new one, and a build that is
// killed leaves nothing behind but a folder that the next build sweeps away.
//
//	current                  the name of the current generation
//	generations/NAME/        sealed generations; lease is held while one is read
//	building/NAME/           builds under way; lease is held by the builder
//	lock                     held for a moment by who begins, ends or sweeps
package generation

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/gofrs/flock"

	"kg/internal/durable"
)

const (
	pointerName = "current"
	sealedName  = "generations"
	draftsName  = "building"
	leaseName   = "lease"
	lockName    = "lock"
)

// ErrNone says that no library has been built yet.
var ErrNone = errors.New("there is no library yet: run `kg build`")

// Store is the folder that holds the generations of one library.
type Store struct {
	Root string
}

// Draft is a generation that is being built. It is its builder's alone until it
// is published.
type Draft struct {
	// Folder is where the parts are written.
	Folder string
	store  Store
	lease  *flock.Flock
}

// Begin makes an empty draft. Several drafts may be under way at once; the one
// that is published last prevails.
func (s Store) Begin() (*Draft, error) {
	var unique [6]byte
	rand.Read(unique[:])
	d := &Draft{Folder: filepath.Join(s.Root, draftsName, hex.EncodeToString(unique[:])), store: s}
	if err := os.MkdirAll(s.Root, 0o755); err != nil {
		return nil, fmt.Errorf("starting a build: %w", err)
	}
	// A draft without its lease would look abandoned to a sweep.
	err := s.alone(func() error {
		if err := os.MkdirAll(d.Folder, 0o755); err != nil {
			return err
		}
		d.lease = flock.New(filepath.Join(d.Folder, leaseName))
		ok, err := d.lease.TryLock()
		if err == nil && !ok {
			err = errors.New("somebody else has locked it")
		}
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("starting a build in %s: %w", d.Folder, err)
	}
	return d, nil
}

// aloneWait is how long a build waits for another one's moment with the store.
// Such a moment takes milliseconds; one that lasts is a process that hangs.
const aloneWait = 30 * time.Second

// alone runs f while nobody else begins or ends a draft, or sweeps.
// Readers do not take part.
func (s Store) alone(f func() error) error {
	const retry = 2 * time.Millisecond
	lock := flock.New(filepath.Join(s.Root, lockName))
	ctx, cancel := context.WithTimeout(context.Background(), aloneWait)
	defer cancel()
	_, err := lock.TryLockContext(ctx, retry)
	if errors.Is(err, context.DeadlineExceeded) {
		return fmt.Errorf("another build holds %s and does not go on: end it, then try again", lock.Path())
	}
	if err != nil {
		return err
	}
	return errors.Join(f(), lock.Close())
}

// Discard throws a draft away; after Publish it does nothing.
func (d *Draft) Discard() error {
	if d.lease == nil {
		return nil
	}
	return d.store.alone(func() error {
		err := errors.Join(d.lease.Close(), os.RemoveAll(d.Folder))
		d.lease = nil
		return err
	})
}

// Publish seals the draft, with the manifest as its last file, and makes it the
// current generation.
func (d *Draft) Publish(m Manifest) error {
	if err := d.publish(m); err != nil {
		return fmt.Errorf("publishing the library: %w", err)
	}
	return nil
}

func (d *Draft) publish(m Manifest) error {
	files, err := seal(d.Folder)
	if err != nil {
		return err
	}
	m.Format, m.Files = Format, files
	content, err := json.MarshalIndent(m, "", "  ")
	if err != nil {
		return err
	}
	if err := durable.Write(filepath.Join(d.Folder, manifestName), 0o444, text(content)); err != nil {
		return err
	}
	name := m.Notes[:min(12, len(m.Notes))] + "-" + filepath.Base(d.Folder)
	sealed := filepath.Join(d.store.Root, sealedName)
	if err := os.MkdirAll(sealed, 0o755); err != nil {
		return err
	}
	return d.store.alone(func() error {
		if err := os.Rename(d.Folder, filepath.Join(sealed, name)); err != nil {
			return err
		}
		if err := durable.Sync(sealed); err != nil {
			return err
		}
		// Given back before the swap, since a reader must be able to take it at once
		// after; nobody sweeps in between.
		err := d.lease.Close()
		d.lease = nil
		if err != nil {
			return err
		}
		return durable.Write(filepath.Join(d.store.Root, pointerName), 0o644, text([]byte(name+"\n")))
	})
}

// text writes some content.
func text(content []byte) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := w.Write(content)
		return err
	}
}

// Lease is a sealed generation in use. It is not swept away before Close.
type Lease struct {
	Folder   string
	Manifest Manifest
	lock     *flock.Flock
}

// swapsWhileOpening is how often the pointer may be swapped between reading it
// and taking the lease before opening gives up.
const swapsWhileOpening = 20

// Open takes a lease on the current generation and compares the sizes of its
// files with the manifest. It waits for nobody.
func (s Store) Open() (*Lease, error) {
	var lastErr error
	for range swapsWhileOpening {
		name, err := s.current()
		if err != nil {
			return nil, err
		}
		l, err := s.lease(name)
		if err == nil {
			return l, nil
		}
		lastErr = err
		if now, err := s.current(); err != nil || now == name {
			break
		}
	}
	return nil, lastErr
}

func (s Store) current() (string, error) {
	b, err := os.ReadFile(filepath.Join(s.Root, pointerName))
	if errors.Is(err, os.ErrNotExist) {
		return "", ErrNone
	}
	if err != nil {
		return "", fmt.Errorf("finding the current library: %w", err)
	}
	name := strings.TrimSpace(string(b))
	if name == "" || name != filepath.Base(name) || name == "." || name == ".." {
		return "", fmt.Errorf("%w (the pointer %s names %q)", ErrDamaged, filepath.Join(s.Root, pointerName), name)
	}
	return name, nil
}

func (s Store) lease(name string) (*Lease, error) {
	folder := filepath.Join(s.Root, sealedName, name)
	if _, err := os.Stat(folder); err != nil {
		return nil, fmt.Errorf("%w (%w)", ErrDamaged, err)
	}
	lock := flock.New(filepath.Join(folder, leaseName), flock.SetFlag(os.O_RDONLY))
	ok, err := lock.TryRLock()
	if err == nil && !ok {
		err = errors.New("it is being removed")
	}
	if err != nil {
		return nil, fmt.Errorf("%w (taking a lease on %s: %w)", ErrDamaged, folder, err)
	}
	m, err := readManifest(folder)
	if err == nil && m.Format != Format {
		err = fmt.Errorf("%w (it has format %d, this program reads %d)", ErrOtherFormat, m.Format, Format)
	}
	if err == nil {
		err = m.checkSizes(folder)
	}
	if err != nil {
		lock.Close()
		return nil, err
	}
	return &Lease{Folder: folder, Manifest: m, lock: lock}, nil
}

// Verify reads every byte of the generation and compares it with the manifest.
func (l *Lease) Verify() error { return l.Manifest.checkHashes(l.Folder) }

// Close gives the lease back.
func (l *Lease) Close() error { return l.lock.Close() }

// Sweep removes generations that are neither current nor leased, and drafts
// whose builder is gone. It returns the number of folders removed.
func (s Store) Sweep() (removed int, err error) {
	if _, err := os.Stat(s.Root); errors.Is(err, os.ErrNotExist) {
		return 0, nil
	}
	err = s.alone(func() error {
		removed, err = s.sweep()
		return err
	})
	if err != nil {
		return removed, fmt.Errorf("sweeping old libraries: %w", err)
	}
	return removed, nil
}

func (s Store) sweep() (removed int, err error) {
	current, err := s.current()
	if err != nil && !errors.Is(err, ErrNone) {
		return 0, err
	}
	for _, kind := range []string{sealedName, draftsName} {
		folders, err := os.ReadDir(filepath.Join(s.Root, kind))
		if err != nil && !errors.Is(err, os.ErrNotExist) {
			return removed, err
		}
		for _, f := range folders {
			if !f.IsDir() || kind == sealedName && f.Name() == current {
				continue
			}
			ok, err := removeUnused(filepath.Join(s.Root, kind, f.Name()))
			if err != nil {
				return removed, err
			}
			if ok {
				removed++
			}
		}
	}
	// Pointers that were written but not swapped in.
	left, err := filepath.Glob(filepath.Join(s.Root, durable.Temporary(pointerName)+"*"))
	for _, file := range left {
		err = errors.Join(err, os.Remove(file))
	}
	return removed, err
}

// removeUnused removes a folder whose lease nobody holds.
func removeUnused(folder string) (bool, error) {
	lock := flock.New(filepath.Join(folder, leaseName))
	ok, err := lock.TryLock()
	if errors.Is(err, os.ErrNotExist) {
		return false, nil // it has gone
	}
	if err != nil || !ok {
		return false, err
	}
	return true, errors.Join(os.RemoveAll(folder), lock.Close())
}
