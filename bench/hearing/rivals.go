package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"kg/bench/sharing"
	"kg/bench/textindex"
	"kg/internal/note"
	"kg/speech"
)

// rivalRows are what stock indexes make of the unseen symptoms: over the sayings of the
// notes, and over these and all others that hearing is taught by.
func (c crew) rivalRows(heard []said) (table, error) {
	folder, err := os.MkdirTemp("", "kg-hearing-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(folder)
	notes, err := c[0].sayings()
	if err != nil {
		return nil, err
	}
	taught, err := spoken()
	if err != nil {
		return nil, err
	}
	var t table
	for i, over := range []struct {
		what    string
		sayings []textindex.Document
	}{{"the notes' sayings", notes}, {"all sayings", slices.Concat(notes, taught)}} {
		indexes, err := textindex.Both(c[0].ctx, filepath.Join(folder, fmt.Sprint(i)), over.sayings)
		if err != nil {
			return nil, err
		}
		for _, index := range indexes {
			rows, err := c.rival(index, over.what, heard)
			if err != nil {
				return nil, err
			}
			t = append(t, rows...)
		}
	}
	return t, nil
}

// rival says at which place the right symptom stands among those whose sayings an index
// finds.
func (c crew) rival(index textindex.Index, over string, heard []said) (table, error) {
	const most = 200 // sayings, so that three symptoms are among them
	places, err := sharing.Map(c, heard, func(l listener, s said) (int, error) {
		found, err := index.Find(l.ctx, s.text, most)
		return slices.Index(distinct(found), string(s.id())), err
	})
	return table{
		{"  " + index.Name + ", " + over + ", at 1", counted(places, func(at int) bool { return at == 0 }).share(), goal{}},
		{"  " + index.Name + ", " + over + ", at 3", counted(places, func(at int) bool { return at >= 0 && at < 3 }).share(), goal{}},
	}, err
}

// numbered parts the symptom from the number in the id of a saying.
const numbered = "#"

// distinct are the symptoms of sayings, each once.
func distinct(sayings []string) (out []string) {
	for _, s := range sayings {
		if id, _, _ := strings.Cut(s, numbered); !slices.Contains(out, id) {
			out = append(out, id)
		}
	}
	return out
}

// sayings are those of all symptoms in the notes, a document each.
func (l listener) sayings() (out []textindex.Document, err error) {
	return out, l.eachSymptom(func(s *note.Symptom) {
		for i, text := range note.Sayings(s, "") {
			out = append(out, textindex.Document{ID: fmt.Sprint(s.ID, numbered, i), Text: text})
		}
	})
}

// spoken are the sayings of speakers that mean a symptom.
func spoken() (out []textindex.Document, err error) {
	sayings, err := speech.Read(speech.Files)
	for i, s := range sayings {
		switch s.Kind {
		case speech.Symptoms, speech.Dangers, speech.Harmless:
			if s.ID != speech.Nothing {
				out = append(out, textindex.Document{ID: fmt.Sprint(s.ID, numbered, "spoken-", i), Text: s.Text})
			}
		}
	}
	return out, err
}

func (l listener) eachSymptom(f func(*note.Symptom)) error {
	titles, err := l.lib.List(note.KindSymptom)
	if err != nil {
		return err
	}
	for _, t := range titles {
		rec, err := l.lib.Entry(t.ID)
		if err != nil {
			return err
		}
		f(rec.Entry.(*note.Symptom))
	}
	return nil
}
