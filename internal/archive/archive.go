// Package archive owns the entries of one generation as they were written: the
// text of each note and its parsed form, by id. The graph knows who is linked to
// whom, the index which words lead where; what an entry says in full is here.
package archive

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"go.etcd.io/bbolt"

	"kg/internal/note"
)

// Record is one entry with where it came from.
type Record struct {
	Entry note.Entry
	// Path and Source name the note.
	Path, Source string
	// Replaces is the path of the note that this one overrides, if it does.
	Replaces string
	Text     string
}

// ErrNotFound says that the archive has no entry of that id.
var ErrNotFound = errors.New("no such entry")

var (
	bucketEntries = []byte("entries")
	bucketKinds   = []byte("kinds")
)

// stored is the form of a record on disk.
type stored struct {
	Kind     note.Kind       `json:"kind"`
	Path     string          `json:"path"`
	Source   string          `json:"source"`
	Replaces string          `json:"replaces,omitempty"`
	Entry    json.RawMessage `json:"entry"`
	Text     string          `json:"text"`
}

// Write stores records in a new file that must not exist.
func Write(ctx context.Context, file string, records []Record) error {
	if err := write(ctx, file, records); err != nil {
		return fmt.Errorf("writing the archive %s: %w", file, err)
	}
	return nil
}

func write(ctx context.Context, file string, records []Record) (err error) {
	db, err := bbolt.Open(file, 0o600, &bbolt.Options{NoSync: true, NoFreelistSync: true})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	err = db.Update(func(tx *bbolt.Tx) error {
		entries, err := tx.CreateBucket(bucketEntries)
		if err != nil {
			return err
		}
		kinds, err := tx.CreateBucket(bucketKinds)
		if err != nil {
			return err
		}
		for _, r := range records {
			if err := ctx.Err(); err != nil {
				return err
			}
			h := r.Entry.Head()
			value, err := r.encode()
			if err != nil {
				return fmt.Errorf("entry %s: %w", h.ID, err)
			}
			if err := entries.Put([]byte(h.ID), value); err != nil {
				return err
			}
			if err := kinds.Put(kindKey(h.Kind, h.ID), []byte(h.Name)); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	return db.Sync()
}

func (r Record) encode() ([]byte, error) {
	entry, err := json.Marshal(r.Entry)
	if err != nil {
		return nil, err
	}
	return json.Marshal(stored{
		Kind: r.Entry.Head().Kind, Path: r.Path, Source: r.Source, Replaces: r.Replaces, Entry: entry, Text: r.Text})
}

func kindKey(k note.Kind, id note.ID) []byte { return []byte(string(k) + "/" + string(id)) }

// Archive is a finished archive, opened for reading. Any number of processes
// may have it open.
type Archive struct {
	db *bbolt.DB
}

// Open opens a finished archive.
func Open(file string) (*Archive, error) {
	db, err := bbolt.Open(file, 0o400, &bbolt.Options{ReadOnly: true, Timeout: time.Second})
	if err != nil {
		return nil, fmt.Errorf("opening the archive %s: %w", file, err)
	}
	return &Archive{db}, nil
}

// Close releases the file.
func (a *Archive) Close() error { return a.db.Close() }

// Get returns the entry with an id, or ErrNotFound.
func (a *Archive) Get(id note.ID) (Record, error) {
	var r Record
	err := a.db.View(func(tx *bbolt.Tx) error {
		value := tx.Bucket(bucketEntries).Get([]byte(id))
		if value == nil {
			return ErrNotFound
		}
		var s stored
		if err := json.Unmarshal(value, &s); err != nil {
			return err
		}
		r = Record{Entry: note.New(s.Kind), Path: s.Path, Source: s.Source, Replaces: s.Replaces, Text: s.Text}
		if r.Entry == nil {
			return fmt.Errorf("unknown kind %q", s.Kind)
		}
		return json.Unmarshal(s.Entry, r.Entry)
	})
	if err != nil {
		return Record{}, fmt.Errorf("entry %q: %w", id, err)
	}
	return r, nil
}

// Title is the id and name of an entry.
type Title struct {
	ID   note.ID `json:"id"`
	Name string  `json:"name"`
}

// List returns the titles of all entries of a kind, by id.
func (a *Archive) List(k note.Kind) ([]Title, error) {
	var out []Title
	err := a.db.View(func(tx *bbolt.Tx) error {
		c := tx.Bucket(bucketKinds).Cursor()
		prefix := string(kindKey(k, ""))
		for key, name := c.Seek([]byte(prefix)); key != nil && len(key) > len(prefix) && string(key[:len(prefix)]) == prefix; key, name = c.Next() {
			out = append(out, Title{note.ID(key[len(prefix):]), string(name)})
		}
		return nil
	})
	return out, err
}
