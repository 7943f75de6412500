package library

import (
	"errors"
	"slices"

	"kg/internal/archive"
	"kg/internal/diagnose"
	"kg/internal/note"
)

// test looks a test up, once; nil if its note was left out.
func (w *worker) test(id note.ID) (*note.Test, string, error) {
	rec, err := w.archive.Get(id)
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
	if w.tests == nil {
		w.tests = map[note.ID]*note.Test{}
	}
	w.tests[id] = t
	return t, rec.Path, nil
}

// complete gives a test its figures, with what the note leaves open filled in.
func complete(t *note.Test) diagnose.Test {
	out := diagnose.Test{ID: diagnose.ID(t.ID)}
	var causes []diagnose.ID
	for _, r := range t.Results {
		out.Results = append(out.Results, diagnose.Result{Name: r.Name})
		for _, l := range r.SeenWith {
			if !slices.Contains(causes, diagnose.ID(l.To)) {
				causes = append(causes, diagnose.ID(l.To))
			}
		}
	}
	said := func(i int, cause diagnose.ID) (float64, bool) {
		for _, l := range t.Results[i].SeenWith {
			if diagnose.ID(l.To) == cause {
				return l.Figure.P, true
			}
		}
		return 0, false
	}
	otherwise := func(i int) (float64, bool) { return t.Results[i].Otherwise.P, t.Results[i].Otherwise.Given() }
	out.Results = diagnose.Complete(out.Results, said, causes, otherwise)
	return out
}

// next is the test that tells most for its minutes, among those of the causes
// shown; where none tells anything, the repair of the first cause.
func (w *worker) next(b diagnose.Beliefs, causes []Cause) (*Next, error) {
	if len(causes) > 0 && causes[0].Repair != nil {
		r := causes[0].Repair
		return &Next{Kind: "repair", ID: r.Remedy, Name: r.Name, ExpectedMinutes: float64(r.Minutes), Who: r.Who, Steps: r.Steps,
			Why: "no test in the notes would change the order of the causes"}, nil
	}
	return nil, nil
}

func sortedTests(m map[note.ID]*note.Test) []note.ID {
	out := make([]note.ID, 0, len(m))
	for id := range m {
		out = append(out, id)
	}
	slices.Sort(out)
	return out
}
