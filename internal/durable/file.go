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

// Write replaces a file: what is written goes into a file beside it, which is
// synced and then takes its place. On an error nothing has changed.
func Write(path string, write func(io.Writer) error) error {
	tmp, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+"-")
	if err != nil {
		return err
	}
	defer os.Remove(tmp.Name()) // gone already when all went well
	out := bufio.NewWriterSize(tmp, 1<<16)
	err = write(out)
	err = errors.Join(err, out.Flush(), tmp.Chmod(0o644), tmp.Sync(), tmp.Close())
	if err != nil {
		return err
	}
	if err := os.Rename(tmp.Name(), path); err != nil {
		return err
	}
	folder, err := os.Open(filepath.Dir(path))
	if err != nil {
		return err
	}
	return errors.Join(folder.Sync(), folder.Close())
}
