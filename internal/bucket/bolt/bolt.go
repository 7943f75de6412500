// Package bolt keeps buckets in a bbolt file. It is the only package beside graph
// and generation that knows bbolt.
package bolt

import (
	"context"
	"errors"
	"fmt"
	"time"

	"go.etcd.io/bbolt"
)

// lockWait is how long opening waits for the shared file lock. Finished files are
// never written again, so it is not waited for in practice.
const lockWait = time.Second

// File is a finished file, opened for reading. Any number of processes may have it
// open; within one, it is for one goroutine.
type File struct {
	db *bbolt.DB
	tx *bbolt.Tx
}

// Open opens a finished file.
func Open(file string) (*File, error) {
	db, err := bbolt.Open(file, 0o400, &bbolt.Options{ReadOnly: true, Timeout: lockWait})
	if err != nil {
		return nil, fmt.Errorf("opening %s: %w", file, err)
	}
	tx, err := db.Begin(false)
	if err != nil {
		return nil, fmt.Errorf("opening %s: %w", file, errors.Join(err, db.Close()))
	}
	return &File{db, tx}, nil
}

// Close releases the file.
func (f *File) Close() error { return errors.Join(f.tx.Rollback(), f.db.Close()) }

// Get returns the value of a key, nil if there is none.
func (f *File) Get(bucket, key string) ([]byte, error) {
	b := f.tx.Bucket([]byte(bucket))
	if b == nil {
		return nil, missing(bucket)
	}
	return b.Get([]byte(key)), nil
}

// From calls use with the keys from one on.
func (f *File) From(bucket, key string, use func(string, []byte) bool) error {
	b := f.tx.Bucket([]byte(bucket))
	if b == nil {
		return missing(bucket)
	}
	c := b.Cursor()
	for k, v := c.Seek([]byte(key)); k != nil && use(string(k), v); k, v = c.Next() {
	}
	return nil
}

// Before calls use with the keys before one.
func (f *File) Before(bucket, key string, use func(string, []byte) bool) error {
	b := f.tx.Bucket([]byte(bucket))
	if b == nil {
		return missing(bucket)
	}
	c := b.Cursor()
	step := c.Prev
	if k, _ := c.Seek([]byte(key)); k == nil { // all keys are less
		step = c.Last
	}
	for k, v := step(); k != nil && use(string(k), v); k, v = c.Prev() {
	}
	return nil
}

func missing(bucket string) error { return fmt.Errorf("it has no table %q", bucket) }

// together is how many keys are written in one transaction.
const together = 50_000

// Writer fills a new file.
type Writer struct{ db *bbolt.DB }

// Create makes a file that must not exist. It is complete after Close.
func Create(file string) (*Writer, error) {
	// Synced once at the end: a generation that was cut short is thrown away.
	db, err := bbolt.Open(file, 0o600, &bbolt.Options{NoSync: true, NoFreelistSync: true, NoGrowSync: true})
	if err != nil {
		return nil, err
	}
	return &Writer{db}, nil
}

// Close brings the file to the disk.
func (w *Writer) Close() error { return errors.Join(w.db.Sync(), w.db.Close()) }

// Fill puts keys, in their order, with their values into a new bucket.
func (w *Writer) Fill(ctx context.Context, bucket string, n int, key func(i int) string, value func(i int) ([]byte, error)) error {
	for from := 0; from == 0 || from < n; from += together {
		if err := ctx.Err(); err != nil {
			return err
		}
		err := w.db.Update(func(tx *bbolt.Tx) error {
			b, err := tx.CreateBucketIfNotExists([]byte(bucket))
			if err != nil {
				return err
			}
			b.FillPercent = 1 // they come in order
			for i := from; i < min(n, from+together); i++ {
				var v []byte
				if value != nil {
					if v, err = value(i); err != nil {
						return fmt.Errorf("%s: %w", key(i), err)
					}
				}
				if err := b.Put([]byte(key(i)), v); err != nil {
					return fmt.Errorf("%s: %w", key(i), err)
				}
			}
			return nil
		})
		if err != nil {
			return err
		}
	}
	return nil
}
