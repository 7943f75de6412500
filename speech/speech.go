// Package speech owns the sayings that hearing is taught by: what people say, by kinds
// of speakers, with what they mean. README.md describes the files.
package speech

import (
	"embed"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"
)

// Files holds one folder a speaker, and in it one file a kind of saying.
//
//go:embed */*.tsv
var Files embed.FS

// Kind is what kind of thing a saying was written for.
type Kind string

// The kinds of sayings, by the names of their files.
const (
	Symptoms Kind = "symptoms"
	Modes    Kind = "modes"
	Dangers  Kind = "dangers"
	Results  Kind = "results"
	Absent   Kind = "absent"
	Harmless Kind = "harmless"
	None     Kind = "none"
)

// columns are how many columns the file of each kind has.
var columns = map[Kind]int{Symptoms: 2, Modes: 2, Dangers: 2, Results: 3, Absent: 2, Harmless: 2, None: 1, Stories: 3}

// Stories is the kind of file that has stories in pieces, which ReadStories reads.
const Stories Kind = "stories"

// Nothing stands in place of a symptom that is none.
const Nothing = "none"

// Saying is what somebody says.
type Saying struct {
	Speaker string
	Kind    Kind
	ID      string // of a symptom, a mode or a test; Nothing for none
	Result  string // what the test has found
	Text    string
}

// Read reads all sayings, by speaker and kind.
func Read(files fs.FS) ([]Saying, error) {
	var out []Saying
	err := rows(files, func(w where, row []string) error {
		if w.kind == Stories {
			return nil
		}
		s := Saying{Speaker: w.speaker, Kind: w.kind, ID: Nothing, Text: row[len(row)-1]}
		if len(row) > 1 {
			s.ID = row[0]
		}
		if len(row) > 2 {
			s.Result = row[1]
		}
		out = append(out, s)
		return nil
	})
	return out, err
}

// where a row stands.
type where struct {
	speaker string
	kind    Kind
	at      string // file and line
}

// rows calls f with the rows of all files, in order.
func rows(files fs.FS, f func(where, []string) error) error {
	names, err := fs.Glob(files, "*/*.tsv")
	if err != nil {
		return err
	}
	slices.Sort(names)
	for _, name := range names {
		w := where{speaker: path.Dir(name), kind: Kind(strings.TrimSuffix(path.Base(name), ".tsv"))}
		text, err := fs.ReadFile(files, name)
		if err != nil {
			return fmt.Errorf("reading sayings: %w", err)
		}
		if columns[w.kind] == 0 {
			return fmt.Errorf("%s is not a kind of sayings: README.md has the names", name)
		}
		for i, line := range strings.Split(strings.TrimRight(string(text), "\n"), "\n") {
			w.at = fmt.Sprintf("%s:%d", name, i+1)
			row := strings.Split(line, "\t")
			if len(row) != columns[w.kind] {
				return fmt.Errorf("%s: there are %d columns, there should be %d", w.at, len(row), columns[w.kind])
			}
			if err := f(w, row); err != nil {
				return fmt.Errorf("%s: %w", w.at, err)
			}
		}
	}
	return nil
}
