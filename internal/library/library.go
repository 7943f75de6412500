// Package library is the one door to a library of notes: what an entry says, who is
// linked to whom, what people say for it, which parts there are. Hearing, advice
// and the catalogue are written against it and know nothing of where it lies: its
// stores are behind three small interfaces (buckets of sorted keys, links, a
// finder of words), so that a library on disk and one in memory answer alike. It
// cannot build one; that is what ingest is for.
package library

import (
	"context"
	"errors"
	"fmt"

	"kg/internal/archive"
	"kg/internal/bucket"
	"kg/internal/link"
	"kg/internal/note"
	"kg/internal/spell"
	"kg/internal/term"
)

// Stores are what a library reads.
type Stores struct {
	Entries bucket.Reader // entries, and what people say for them
	Parts   bucket.Reader
	Links   link.Reader
	Finder  Finder
}

// Finder finds entries of some kinds, or of all, that hold terms; begun, if it is
// not empty, is the beginning of one.
type Finder interface {
	Find(ctx context.Context, terms []string, begun string, kinds []note.Kind, limit int) (Located, error)
}

// Located is what a finder has found: the best entries, and how many there are of
// each kind in all.
type Located struct {
	Entries []Match
	Kinds   map[note.Kind]int
}

// Match is one entry that a finder has found. Its score can be compared within one
// search only.
type Match struct {
	ID    note.ID
	Kind  note.Kind
	Score float64
}

// Guard runs a reading of the stores and makes an error of whatever goes wrong
// with them.
type Guard func(read func() error) error

// Library is a library that is read. It is not safe for concurrent use; open one
// for each goroutine, they share the files.
type Library struct {
	entries *archive.Entries
	sayings *archive.Sayings
	parts   *archive.Parts
	links   link.Reader
	finder  Finder
	guard   Guard
	alerts  map[note.ID][]Alert
}

// New makes a library of its stores. Each reading of them goes through the guard;
// none stands for one that does nothing.
func New(s Stores, guard Guard) (*Library, error) {
	if guard == nil {
		guard = func(read func() error) error { return read() }
	}
	l := &Library{entries: archive.In(s.Entries), links: s.Links, finder: s.Finder, guard: guard, alerts: map[note.ID][]Alert{}}
	err := guard(func() (err error) {
		if l.sayings, err = archive.SayingsIn(s.Entries); err != nil {
			return err
		}
		l.parts, err = archive.PartsIn(s.Parts)
		return err
	})
	return l, err
}

// read runs a reading through the guard of a library.
func read[T any](l *Library, f func() (T, error)) (out T, err error) {
	err = l.guard(func() error {
		out, err = f()
		return err
	})
	return out, err
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

// Get returns the entry with an id, or an error that wraps archive.ErrNotFound:
// its note may have been left out. What it returns is shared.
func (l *Library) Get(id note.ID) (archive.Record, error) {
	return read(l, func() (archive.Record, error) { return l.entries.Get(id) })
}

// Entry returns the entry with an id, of any kind; the error is a *NotFound if
// there is none.
func (l *Library) Entry(id note.ID) (archive.Record, error) {
	return l.OfKind(id, "entry", note.Kinds()...)
}

// OfKind returns the entry with an id that has to be of one of some kinds, which
// are called what; the error is a *NotFound if there is none.
func (l *Library) OfKind(id note.ID, what string, kinds ...note.Kind) (archive.Record, error) {
	r, err := l.Get(id)
	if err == nil {
		for _, k := range kinds {
			if r.Entry.Head().Kind == k {
				return r, nil
			}
		}
	} else if !errors.Is(err, archive.ErrNotFound) {
		return r, err
	}
	return archive.Record{}, l.noSuch(what, id, kinds)
}

// Test looks a test method up, with the path of its note; nil where its note was left
// out or is of another kind.
func (l *Library) Test(id note.ID) (*note.Test, string, error) {
	rec, err := l.Get(id)
	if errors.Is(err, archive.ErrNotFound) {
		return nil, "", nil
	}
	if err != nil {
		return nil, "", err
	}
	t, ok := rec.Entry.(*note.Test)
	if !ok {
		return nil, "", nil
	}
	return t, rec.Path, nil
}

// noSuch is the error that says that there is no entry of some kinds with an id.
func (l *Library) noSuch(what string, id note.ID, kinds []note.Kind) error {
	var valid []string
	for _, k := range kinds {
		titles, err := l.List(k)
		if err != nil {
			return err
		}
		for _, t := range titles {
			valid = append(valid, string(t.ID))
		}
	}
	near, _ := spell.Nearest(string(id), valid)
	return &NotFound{What: what, ID: id, Nearest: note.ID(near)}
}

// Text returns the note of an entry as it was written.
func (l *Library) Text(id note.ID) (string, error) {
	return read(l, func() (string, error) { return l.entries.Text(id) })
}

// Title returns the title of an entry, or an error that wraps archive.ErrNotFound.
func (l *Library) Title(id note.ID) (archive.Title, error) {
	return read(l, func() (archive.Title, error) { return l.entries.Title(id) })
}

// Name is the name of an entry, or its id if its note was left out.
func (l *Library) Name(id note.ID) (string, error) {
	t, err := l.Title(id)
	if errors.Is(err, archive.ErrNotFound) {
		return string(id), nil
	}
	return t.Name, err
}

// FullName is the name of an entry as it is read alone: that of a mode after its
// component.
func (l *Library) FullName(id note.ID) (string, error) {
	t, err := l.Title(id)
	return t.Full, err
}

// List returns the titles of all entries of a kind, by id.
func (l *Library) List(k note.Kind) ([]archive.Title, error) {
	return read(l, func() ([]archive.Title, error) { return l.entries.List(k) })
}

// Out returns the links that start at an entry, of some kinds or of all.
func (l *Library) Out(ctx context.Context, id note.ID, names ...link.Name) ([]link.Edge, error) {
	return read(l, func() ([]link.Edge, error) { return l.links.Out(ctx, id, names...) })
}

// In returns the links that end at an entry, of some kinds or of all.
func (l *Library) In(ctx context.Context, id note.ID, names ...link.Name) ([]link.Edge, error) {
	return read(l, func() ([]link.Edge, error) { return l.links.In(ctx, id, names...) })
}

// Rate is the base rate of a mode or the leak of a symptom, as it is used.
func (l *Library) Rate(ctx context.Context, id note.ID) (link.Rate, error) {
	return read(l, func() (link.Rate, error) { return l.links.Rate(ctx, id) })
}

// Tokens takes a text apart as the notes were.
func (l *Library) Tokens(text string) []term.Token { return l.sayings.Tokens(text) }

// Entries is how many entries of all kinds there are.
func (l *Library) Entries() int { return l.sayings.Entries() }

// Lengths are the lengths of the entries that people have sayings for, by their
// numbers.
func (l *Library) Lengths() []archive.Length { return l.sayings.Lengths() }

// Term says where a term stands.
func (l *Library) Term(t string) (archive.Term, error) {
	return read(l, func() (archive.Term, error) { return l.sayings.Term(t) })
}

// Begun calls f with the terms that begin with a prefix, in order, until it returns
// false.
func (l *Library) Begun(prefix string, f func(term string) bool) error {
	return l.guard(func() error { return l.sayings.Begun(prefix, f) })
}

// Spoken is what people say for the entry with a number.
func (l *Library) Spoken(number int) (archive.Spoken, error) {
	return read(l, func() (archive.Spoken, error) { return l.sayings.Spoken(number) })
}

// Codes returns the appliances that use a code, in any spelling.
func (l *Library) Codes(code string) ([]archive.Code, error) {
	return read(l, func() ([]archive.Code, error) { return l.sayings.Codes(code) })
}

// NearCodes returns codes that are written much like one.
func (l *Library) NearCodes(code string) ([]archive.Code, error) {
	return read(l, func() ([]archive.Code, error) { return l.sayings.NearCodes(code) })
}
