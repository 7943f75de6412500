// Package durable replaces files in one step, so that a reader has either the old
// content or the new one, and a program that is killed leaves the old one; and changes
// them by one command at a time.
package durable

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"github.com/gofrs/flock"
)

// Write replaces a file, which then has a mode: what is written goes into a file
// beside it, which is synced and then takes its place. On an error nothing has
// changed.
func Write(path string, mode os.FileMode, write func(io.Writer) error) error {
	tmp, err := os.CreateTemp(filepath.Dir(path), Temporary(filepath.Base(path)))
	if err != nil {
		return err
	}
	defer os.Remove(tmp.Name()) // gone already when all went well
	out := bufio.NewWriterSize(tmp, 1<<16)
	err = write(out)
	err = errors.Join(err, out.Flush(), tmp.Chmod(mode), tmp.Sync(), tmp.Close())
	if err != nil {
		return err
	}
	if err := os.Rename(tmp.Name(), path); err != nil {
		return err
	}
	return Sync(filepath.Dir(path))
}

// patience is how long a change waits for another that is going on.
const patience = 10 * time.Second

// Lock lets one command at a time change a file, which need not be there yet; its folder
// is made. Whoever has it unlocks it in the end.
func Lock(ctx context.Context, path string) (unlock func() error, err error) {
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return nil, err
	}
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	lock := flock.New(path + ".lock")
	if ok, err := lock.TryLockContext(ctx, 10*time.Millisecond); err != nil || !ok {
		return nil, fmt.Errorf("another command is at it: try again: %w", err)
	}
	return lock.Close, nil
}

// Temporary is how the name of a file begins that is to take the place of the one
// called name; what a killed program left of such can be found by it.
func Temporary(name string) string { return "." + name + "-" }

// Sync brings a file, or the names in a folder, to the disk.
func Sync(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}
