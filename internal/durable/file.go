// Package durable replaces files in one step, so that a reader has either the old
// content or the new one, and a program that is killed leaves the old one.
package durable

import (
	"bufio"
	"errors"
	"io"
	"os"
	"path/filepath"
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
