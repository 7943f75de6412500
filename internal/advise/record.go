package advise

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"kg/internal/library"
	"kg/internal/measure"
	"kg/internal/note"
)

// record is what was found and done before a question. Each test is looked up, each
// result named and each figure judged once: all that follows reads them here.
type record struct {
	results  []resultFound
	readings []readingTaken
	mended   []MendedBefore
	// wrong is what cannot be taken as it was given. A danger comes before it: nobody
	// is to be kept from leaving the house by a result that was misspelt.
	wrong error
}

// resultFound is a result of a test.
type resultFound struct {
	Tested
	test  *note.Test
	place int // of the result, among those of the test
}

// readingTaken is a reading in a test.
type readingTaken struct {
	Read
	test   *note.Test
	given  *measure.Given
	judged Judged
}

// recorded looks up what was found and done before a question.
func (l adviser) recorded(q Question) record {
	var out record
	out.wrong = func() error {
		for _, r := range q.latest() {
			t, err := l.method(r.Test)
			if err != nil {
				return err
			}
			place, err := resultOf(t, r.Result)
			if err != nil {
				return err
			}
			out.results = append(out.results, resultFound{r, t, place})
		}
		for _, r := range q.Readings {
			t, err := l.method(r.Test)
			if err != nil {
				return err
			}
			taken, err := l.taken(t, r)
			if err != nil {
				return err
			}
			out.readings = append(out.readings, taken)
		}
		for _, id := range q.Mended {
			rec, err := l.OfKind(id, "remedy", note.KindRemedy)
			if err != nil {
				return err
			}
			out.mended = append(out.mended, MendedBefore{id, rec.Entry.Head().Name})
		}
		for _, id := range q.WorkedOn {
			if _, err := l.OfKind(id, "component", note.KindComponent); err != nil {
				return err
			}
		}
		return nil
	}()
	return out
}

// latest are the results that count, of each test what it said last: a test that is
// done again says no more than once what it says.
func (q Question) latest() []Tested {
	var results []Tested
	for i, r := range q.Results {
		again := slices.ContainsFunc(q.Results[i+1:], func(x Tested) bool { return x.Test == r.Test }) ||
			slices.ContainsFunc(q.Readings, func(x Read) bool { return x.Test == r.Test })
		if !again {
			results = append(results, r)
		}
	}
	return results
}

// method looks up a test that somebody named.
func (l adviser) method(id note.ID) (*note.Test, error) {
	rec, err := l.OfKind(id, "test", note.KindTest)
	if err != nil {
		return nil, err
	}
	return rec.Entry.(*note.Test), nil
}

// write says in an answer what was tested and mended before.
func (r record) write(a *Answer) {
	for _, f := range r.results {
		a.Tested = append(a.Tested, TestedBefore{f.test.ID, f.test.Name, f.test.Results[f.place].Name})
	}
	for _, f := range r.readings {
		a.Read = append(a.Read, f.judged)
	}
	a.Mended = r.mended
}

// has reports whether a test was done.
func (r record) has(test note.ID) bool {
	return slices.ContainsFunc(r.results, func(f resultFound) bool { return f.Test == test }) ||
		slices.ContainsFunc(r.readings, func(f readingTaken) bool { return f.Test == test })
}

// tried are the remedies that did not help.
func (r record) tried() []note.ID {
	var out []note.ID
	for _, m := range r.mended {
		out = append(out, m.Remedy)
	}
	return out
}

// ResultOf returns the full name of a result of a test that is named in full, by
// words that only one of them has, or by its number from 1. The error is a
// *library.NotFound or a *NoResult.
func ResultOf(lib *library.Library, test note.ID, said string) (string, error) {
	t, err := adviser{lib}.method(test)
	if err != nil {
		return "", err
	}
	i, err := resultOf(t, said)
	if err != nil {
		return "", err
	}
	return t.Results[i].Name, nil
}

// NoResult says that a test has no result of a name.
type NoResult struct {
	Test    note.ID
	Result  string
	Results []string
}

func (e *NoResult) Error() string {
	var numbered []string
	for i, r := range e.Results {
		numbered = append(numbered, fmt.Sprintf("%d %q", i+1, r))
	}
	return fmt.Sprintf("%s has no result %q: say one of %s, or its number", e.Test, e.Result, strings.Join(numbered, ", "))
}

// resultOf is the place of a result that is named in full, by words that only one
// of them has, or by its number from 1.
func resultOf(t *note.Test, said string) (int, error) {
	want := strings.ToLower(strings.Join(strings.Fields(said), " "))
	if n, err := strconv.Atoi(want); err == nil && n >= 1 && n <= len(t.Results) {
		return n - 1, nil
	}
	var holding []int
	for i, r := range t.Results {
		name := strings.ToLower(r.Name)
		if name == want {
			return i, nil
		}
		if want != "" && strings.Contains(name, want) {
			holding = append(holding, i)
		}
	}
	if len(holding) == 1 {
		return holding[0], nil
	}
	out := &NoResult{Test: t.ID, Result: said}
	for _, r := range t.Results {
		out.Results = append(out.Results, r.Name)
	}
	return 0, out
}
