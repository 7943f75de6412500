// Package archive owns the entries of one generation as they were written: the
// text of each note and its parsed form, by id; what people say for each; the
// parts, by their numbers. It lays them out in buckets and knows no store: on disk
// and in memory they are the same.
package archive

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/go-json-experiment/json"

	"kg/internal/bucket"
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
const (
	bucketEntries = "entries"
	bucketTexts   = "texts"
	bucketTitles  = "titles"
	bucketKinds   = "kinds"
)

// Write stores records.
func Write(ctx context.Context, w bucket.Writer, records []Record) error {
	if err := write(ctx, w, records); err != nil {
		return fmt.Errorf("writing the entries: %w", err)
	}
	return nil
}

func write(ctx context.Context, w bucket.Writer, records []Record) error {
	names := map[note.ID]string{}
	for _, r := range records {
		names[r.Entry.Head().ID] = r.Entry.Head().Name
	}
	sorted := slices.SortedFunc(slices.Values(records), func(a, b Record) int {
		return cmp.Compare(a.Entry.Head().ID, b.Entry.Head().ID)
	})
	id := func(i int) string { return string(sorted[i].Entry.Head().ID) }
	n := len(sorted)
	err := errors.Join(
		w.Fill(ctx, bucketEntries, n, id, func(i int) ([]byte, error) { return sorted[i].encode() }),
		w.Fill(ctx, bucketTexts, n, id, func(i int) ([]byte, error) { return []byte(sorted[i].Text), nil }),
		w.Fill(ctx, bucketTitles, n, id, func(i int) ([]byte, error) {
			h := sorted[i].Entry.Head()
			full := h.Name
			if m, ok := sorted[i].Entry.(*note.Mode); ok {
				component, known := names[m.Component]
				if !known { // its note was left out
					component = string(m.Component)
				}
				full = component + ": " + h.Name
			}
			return json.Marshal([]string{string(h.Kind), h.Name, full})
		}))
	kinds := make([]string, n)
	for i, r := range sorted {
		kinds[i] = kindKey(r.Entry.Head().Kind, r.Entry.Head().ID)
	}
	slices.Sort(kinds)
	return errors.Join(err, w.Fill(ctx, bucketKinds, n, func(i int) string { return kinds[i] }, nil))
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
		return Record{}, unreadable(errors.New("the record is cut short"))
	}
	r := Record{Entry: note.New(note.Kind(parts[0])), Path: parts[1], Source: parts[2], Replaces: parts[3], Led: parts[5] != ""}
	if r.Entry == nil {
		return Record{}, unreadable(fmt.Errorf("unknown kind %q", parts[0]))
	}
	for _, id := range strings.Fields(parts[4]) {
		r.Caveats = append(r.Caveats, note.ID(id))
	}
	return r, unreadable(json.Unmarshal([]byte(parts[6]), r.Entry))
}

func kindKey(k note.Kind, id note.ID) string { return string(k) + "/" + string(id) }

// Entries are the entries of a finished archive. They are for one goroutine.
type Entries struct {
	in     bucket.Reader
	seen   map[note.ID]Record // without texts
	titles map[note.ID]Title
}

// In reads the entries that some buckets hold.
func In(b bucket.Reader) *Entries { return &Entries{b, map[note.ID]Record{}, map[note.ID]Title{}} }

// Get returns the entry with an id, without its text, or ErrNotFound. What it
// returns is shared and must not be changed.
func (a *Entries) Get(id note.ID) (Record, error) {
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
func (a *Entries) Text(id note.ID) (text string, err error) {
	err = a.look(bucketTexts, id, func(value []byte) error {
		text = string(value)
		return nil
	})
	return text, err
}

// Title returns the title of an entry, or ErrNotFound.
func (a *Entries) Title(id note.ID) (Title, error) {
	if t, ok := a.titles[id]; ok {
		return t, nil
	}
	var t Title
	err := a.look(bucketTitles, id, func(value []byte) error {
		var parts []string
		if err := json.Unmarshal(value, &parts); err != nil {
			return unreadable(err)
		}
		if len(parts) != 3 {
			return unreadable(errors.New("the title is cut short"))
		}
		t = Title{ID: id, Kind: note.Kind(parts[0]), Name: parts[1], Full: parts[2]}
		return nil
	})
	if err == nil {
		a.titles[id] = t
	}
	return t, err
}

func (a *Entries) look(bucket string, id note.ID, use func([]byte) error) error {
	value, err := a.in.Get(bucket, string(id))
	switch {
	case err != nil:
	case value == nil:
		err = ErrNotFound
	default:
		err = use(value)
	}
	if err != nil {
		return fmt.Errorf("entry %q: %w", id, err)
	}
	return nil
}

// List returns the titles of all entries of a kind, by id.
func (a *Entries) List(k note.Kind) ([]Title, error) {
	var ids []note.ID
	prefix := kindKey(k, "")
	err := a.in.From(bucketKinds, prefix, func(key string, _ []byte) bool {
		id, found := strings.CutPrefix(key, prefix)
		if found {
			ids = append(ids, note.ID(id))
		}
		return found
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
