package note_test

import (
	"bytes"
	"math"
	"path"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"kg/internal/note"
	"kg/internal/place"
)

// FuzzParse states what holds for any file whatever: a note that is kept has a
// valid id and kind and no broken problem, a note that is not has at least one,
// and every place that is named lies in the file.
func FuzzParse(f *testing.F) {
	for _, k := range note.Kinds() {
		f.Add(string(k)+"/new.md", note.Scaffold(k, "Something new"))
	}
	f.Fuzz(func(t *testing.T, file string, text []byte) {
		n, problems := note.Parse(file, bytes.Clone(text))

		isBroken := len(broken(problems)) > 0
		if (n == nil) != isBroken {
			t.Fatalf("kept: %v, problems: %v", n != nil, problems)
		}
		for _, p := range problems {
			checkPlace(t, p.Pos, file, text)
			if p.Rule == "" || p.Message == "" || p.Grade != note.Broken && p.Grade != note.Incomplete {
				t.Errorf("a problem without a word: %+v", p)
			}
		}
		if n == nil {
			return
		}

		if base := path.Base(filepath.ToSlash(file)); !n.ID().Valid() || string(n.ID()) != strings.TrimSuffix(base, ".md") {
			t.Errorf("the id %q of %q", n.ID(), file)
		}
		if k, ok := note.ParseKind(string(n.Kind())); !ok || k != n.Kind() {
			t.Errorf("the kind %q", n.Kind())
		}
		if n.Path != file || !bytes.Equal(n.Text, text) {
			t.Error("a note keeps its path and its text")
		}
		if strings.TrimSpace(n.Name()) == "" {
			t.Error("a note that is kept has a name")
		}
		for _, r := range n.Refs {
			checkPlace(t, r.Pos, file, text)
			checkFigure(t, r.Figure)
			if !r.ID.Valid() || r.Field == "" {
				t.Errorf("a mention of nothing: %+v", r)
			}
			if r.Line == 0 || r.Column == 0 {
				t.Errorf("a mention without a place: %+v", r)
			}
		}
		if n.FirstFigure.Line > 0 {
			checkPlace(t, n.FirstFigure, file, text)
		}
	})
}

// checkPlace states that a place is in the file: a line that an editor counts,
// and a column no further than just behind that line's last character.
func checkPlace(t *testing.T, p place.Pos, file string, text []byte) {
	t.Helper()
	if p.File != file {
		t.Errorf("%v is not in %q", p, file)
	}
	lines := strings.Split(strings.TrimPrefix(string(text), "\ufeff"), "\n")
	switch {
	case p.Line == 0 && p.Column == 0: // the file as a whole
	case p.Line < 1 || p.Line > len(lines) || p.Column < 1:
		t.Errorf("%v is outside a file of %d lines", p, len(lines))
	case p.Column > utf8.RuneCountInString(strings.TrimSuffix(lines[p.Line-1], "\r"))+1:
		t.Errorf("%v is behind the end of its line %q", p, lines[p.Line-1])
	}
}

func checkFigure(t *testing.T, l note.Likelihood) {
	t.Helper()
	if math.IsNaN(l.P) || l.P < 0 || l.P > 1 || !l.Given() && l.P != 0 {
		t.Errorf("no likelihood: %+v", l)
	}
}

// FuzzParseLikelihood states that whatever is read as a figure is one, and reads
// the same again from the words that are kept.
func FuzzParseLikelihood(f *testing.F) {
	for _, s := range []string{
		"very likely", "9 in 10", "95 %", "0.95", "40 per 1000 call-outs", "1 in 0", "nan", "inf", "1e-400", "-0", "0x1p-2",
		"1 in 1e309", ". in .", "½", "\xff in 1", "9\u00a0in\u00a010",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		for _, parse := range []func(string) (note.Likelihood, error){note.ParseLikelihood, note.ParseRate} {
			l, err := parse(s)
			if err != nil {
				if l != (note.Likelihood{}) {
					t.Errorf("%q: an error and yet a figure %+v", s, l)
				}
				continue
			}
			checkFigure(t, l)
			if !l.Given() {
				t.Errorf("%q: a figure without its words", s)
			}
			again, err := parse(l.Text)
			if err != nil || again != l {
				t.Errorf("%q read as %+v and then as %+v, %v", s, l, again, err)
			}
			if _, err := note.ParseLikelihood(note.WordFor(l.P)); err != nil {
				t.Errorf("no word for %v", l.P)
			}
		}
	})
}
