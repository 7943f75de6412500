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
var columns = map[Kind]int{Symptoms: 2, Modes: 2, Dangers: 2, Results: 3, Absent: 2, Harmless: 2, None: 1}

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
	names, err := fs.Glob(files, "*/*.tsv")
	if err != nil {
		return nil, err
	}
	slices.Sort(names)
	var out []Saying
	for _, name := range names {
		speaker, kind := path.Dir(name), Kind(strings.TrimSuffix(path.Base(name), ".tsv"))
		text, err := fs.ReadFile(files, name)
		if err != nil {
			return nil, fmt.Errorf("reading sayings: %w", err)
		}
		if columns[kind] == 0 {
			return nil, fmt.Errorf("%s is not a kind of sayings: README.md has the names", name)
		}
		for i, line := range strings.Split(strings.TrimRight(string(text), "\n"), "\n") {
			row := strings.Split(line, "\t")
			if len(row) != columns[kind] {
				return nil, fmt.Errorf("%s:%d: there are %d columns, there should be %d", name, i+1, len(row), columns[kind])
			}
			s := Saying{Speaker: speaker, Kind: kind, ID: Nothing, Text: row[len(row)-1]}
			if len(row) > 1 {
				s.ID = row[0]
			}
			if len(row) > 2 {
				s.Result = row[1]
			}
			out = append(out, s)
		}
	}
	return out, nil
}
