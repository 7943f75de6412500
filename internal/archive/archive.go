// Package archive owns the entries of one generation as they were written: the
// text of each note and its parsed form, by id. The graph knows who is linked to
// whom, the index which words lead where; what an entry says in full is here.
package archive

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/go-json-experiment/json"
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
	// Caveats are all that must be shown with the entry: those that it names, then
	// those that say they apply to it.
	Caveats []note.ID
	// Led is set for a mode that others lead to, so that only for these the graph
	// has to be asked which.
	Led  bool
	Text string
}

// Title is the id and name of an entry. Full is the name as it is read alone:
// that of a mode after its component.
type Title struct {
	ID   note.ID   `json:"id"`
	Kind note.Kind `json:"kind"`
	Name string    `json:"name"`
	Full string    `json:"-"`
}

// ErrNotFound says that the archive has no entry of that id.
var ErrNotFound = errors.New("no such entry")

// The buckets. Entries and titles are looked up by id, kinds by kind and id.
var (
	bucketEntries = []byte("entries")
	bucketTexts   = []byte("texts")
	bucketTitles  = []byte("titles")
	bucketKinds   = []byte("kinds")
)

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
	names := map[note.ID]string{}
	for _, r := range records {
		names[r.Entry.Head().ID] = r.Entry.Head().Name
	}
	err = db.Update(func(tx *bbolt.Tx) error {
		buckets := map[string]*bbolt.Bucket{}
		for _, name := range [][]byte{bucketEntries, bucketTexts, bucketTitles, bucketKinds} {
			b, err := tx.CreateBucket(name)
			if err != nil {
				return err
			}
			buckets[string(name)] = b
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
			full := h.Name
			if m, ok := r.Entry.(*note.Mode); ok {
				component, known := names[m.Component]
				if !known { // its note was left out
					component = string(m.Component)
				}
				full = component + ": " + h.Name
			}
			title, err := json.Marshal([]string{string(h.Kind), h.Name, full})
			if err != nil {
				return fmt.Errorf("entry %s: %w", h.ID, err)
			}
			err = errors.Join(
				buckets["entries"].Put([]byte(h.ID), value),
				buckets["texts"].Put([]byte(h.ID), []byte(r.Text)),
				buckets["titles"].Put([]byte(h.ID), title),
				buckets["kinds"].Put(kindKey(h.Kind, h.ID), nil))
			if err != nil {
				return fmt.Errorf("entry %s: %w", h.ID, err)
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	return db.Sync()
}

// separator parts the fields of a stored value; no path can hold it.
const separator = "\x00"

// encode writes where an entry came from, and the entry as JSON after it, so that
// its kind is known before it is decoded.
func (r Record) encode() ([]byte, error) {
	entry, err := json.Marshal(r.Entry, json.FormatNilSliceAsNull(true), json.FormatNilMapAsNull(true))
	if err != nil {
		return nil, err
	}
	caveats := make([]string, len(r.Caveats))
	for i, id := range r.Caveats {
		caveats[i] = string(id)
	}
	led := ""
	if r.Led {
		led = "led"
	}
	head := []string{string(r.Entry.Head().Kind), r.Path, r.Source, r.Replaces, strings.Join(caveats, " "), led, ""}
	return append([]byte(strings.Join(head, separator)), entry...), nil
}

func decode(value []byte) (Record, error) {
	parts := strings.SplitN(string(value), separator, 7)
	if len(parts) != 7 {
		return Record{}, errors.New("the record is cut short")
	}
	r := Record{Entry: note.New(note.Kind(parts[0])), Path: parts[1], Source: parts[2], Replaces: parts[3], Led: parts[5] != ""}
	if r.Entry == nil {
		return Record{}, fmt.Errorf("unknown kind %q", parts[0])
	}
	for _, id := range strings.Fields(parts[4]) {
		r.Caveats = append(r.Caveats, note.ID(id))
	}
	return r, json.Unmarshal([]byte(parts[6]), r.Entry)
}

func kindKey(k note.Kind, id note.ID) []byte { return []byte(string(k) + "/" + string(id)) }

// Archive is a finished archive, opened for reading. Any number of processes
// may have it open; within one, it is for one goroutine.
type Archive struct {
	db   *bbolt.DB
	seen map[note.ID]Record // without texts
}

// Open opens a finished archive.
func Open(file string) (*Archive, error) {
	db, err := bbolt.Open(file, 0o400, &bbolt.Options{ReadOnly: true, Timeout: time.Second})
	if err != nil {
		return nil, fmt.Errorf("opening the archive %s: %w", file, err)
	}
	return &Archive{db, map[note.ID]Record{}}, nil
}

// Close releases the file.
func (a *Archive) Close() error { return a.db.Close() }

// Get returns the entry with an id, without its text, or ErrNotFound. What it
// returns is shared and must not be changed.
func (a *Archive) Get(id note.ID) (Record, error) {
	if r, ok := a.seen[id]; ok {
		return r, nil
	}
	var r Record
	err := a.look(bucketEntries, id, func(value []byte) (err error) {
		r, err = decode(value)
		return err
	})
	if err == nil {
		a.seen[id] = r
	}
	return r, err
}

// Text returns the note of an entry as it was written, or ErrNotFound.
func (a *Archive) Text(id note.ID) (text string, err error) {
	err = a.look(bucketTexts, id, func(value []byte) error {
		text = string(value)
		return nil
	})
	return text, err
}

// Title returns the title of an entry, or ErrNotFound.
func (a *Archive) Title(id note.ID) (t Title, err error) {
	err = a.look(bucketTitles, id, func(value []byte) error {
		var parts []string
		if err := json.Unmarshal(value, &parts); err != nil {
			return err
		}
		if len(parts) != 3 {
			return errors.New("the title is cut short")
		}
		t = Title{ID: id, Kind: note.Kind(parts[0]), Name: parts[1], Full: parts[2]}
		return nil
	})
	return t, err
}

func (a *Archive) look(bucket []byte, id note.ID, use func([]byte) error) error {
	err := a.db.View(func(tx *bbolt.Tx) error {
		value := tx.Bucket(bucket).Get([]byte(id))
		if value == nil {
			return ErrNotFound
		}
		return use(value)
	})
	if err != nil {
		return fmt.Errorf("entry %q: %w", id, err)
	}
	return nil
}

// List returns the titles of all entries of a kind, by id.
func (a *Archive) List(k note.Kind) ([]Title, error) {
	var ids []note.ID
	err := a.db.View(func(tx *bbolt.Tx) error {
		c := tx.Bucket(bucketKinds).Cursor()
		prefix := kindKey(k, "")
		for key, _ := c.Seek(prefix); bytes.HasPrefix(key, prefix); key, _ = c.Next() {
			ids = append(ids, note.ID(key[len(prefix):]))
		}
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("listing %s: %w", k.Plural(), err)
	}
	out := make([]Title, len(ids))
	for i, id := range ids {
		if out[i], err = a.Title(id); err != nil {
			return nil, err
		}
	}
	return out, nil
}
