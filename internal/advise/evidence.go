package advise

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"kg/internal/diagnose"
	"kg/internal/hear"
	"kg/internal/library"
	"kg/internal/link"
	"kg/internal/note"
)

// evidence is what was said and what tests have found.
func (l adviser) evidence(said []hear.Finding, q Question) (diagnose.Evidence, error) {
	var e diagnose.Evidence
	for _, u := range said {
		e.Findings = append(e.Findings, u.Evidence())
	}
	for _, r := range q.Results {
		t, _, err := l.testMethod(r.Test)
		if err != nil {
			return e, err
		}
		if t == nil {
			_, err := l.OfKind(r.Test, "test", note.KindTest)
			return e, err
		}
		found, err := resultOf(t, r.Result)
		if err != nil {
			return e, err
		}
		e.Outcomes = append(e.Outcomes, TestFigures(t).Seen(OutcomeLabel(r.Test, t.Results[found].Name), found))
	}
	read, err := l.readings(q.Readings)
	e.Outcomes = append(e.Outcomes, read...)
	return e, err
}

// before names what was tested and mended before.
func (l adviser) before(q Question, a *Answer) error {
	for _, r := range q.Results {
		t, _, err := l.testMethod(r.Test)
		if err != nil {
			return err
		}
		i, err := resultOf(t, r.Result)
		if err != nil {
			return err
		}
		a.Tested = append(a.Tested, TestedBefore{t.ID, t.Name, t.Results[i].Name})
	}
	for _, r := range q.Readings {
		read, err := Judge(l.Library, r)
		if err != nil {
			return err
		}
		a.Read = append(a.Read, read)
	}
	for _, id := range q.Mended {
		rec, err := l.OfKind(id, "remedy", note.KindRemedy)
		if err != nil {
			return err
		}
		a.Mended = append(a.Mended, MendedBefore{id, rec.Entry.Head().Name})
	}
	return nil
}

// OutcomeLabel is how a weight of evidence names what a test found.
func OutcomeLabel(test note.ID, result string) string { return string(test) + ": " + result }

// follow adds what follows from what is not there: a symptom that would imply it is
// not there either. It says nothing about one that somebody has seen.
func (l adviser) follow(ctx context.Context, said []hear.Finding) ([]hear.Finding, error) {
	out := said
	for i := 0; i < len(out); i++ {
		u := out[i]
		if u.Present {
			continue
		}
		for _, r := range u.Senses {
			edges, err := l.In(ctx, r.ID, link.Implies)
			if err != nil {
				return nil, err
			}
			for _, e := range edges {
				if slices.ContainsFunc(out, func(u hear.Finding) bool {
					return slices.ContainsFunc(u.Senses, func(r hear.Sense) bool { return r.ID == e.From })
				}) {
					continue
				}
				name, err := l.Name(e.From)
				if err != nil {
					return nil, err
				}
				out = append(slices.Clip(out), hear.Finding{Text: u.Text, Senses: []hear.Sense{{ID: e.From, Kind: note.KindSymptom, Name: name, Score: r.Score, Weight: 1}}})
			}
		}
	}
	return out, nil
}

// clear notes that causes are no more what the trouble comes from, once all their
// repairs were tried: now, and by the time of each test.
func (w *worker) clear(q Question) error {
	cleared := func(mended []note.ID) ([]diagnose.ID, error) {
		var out []diagnose.ID
		for _, id := range w.known() {
			m := w.modes[id].mode
			if !slices.ContainsFunc(m.Repair, func(r note.ID) bool { return slices.Contains(mended, r) }) {
				continue
			}
			left, err := w.FirstRepair(m, mended)
			if err != nil {
				return nil, err
			}
			if left == nil {
				out = append(out, id)
			}
		}
		return out, nil
	}
	var err error
	for i, r := range q.Results { // readings come after them and are of parts, not of the whole
		if w.evidence.Outcomes[i].Cleared, err = cleared(r.After); err != nil {
			return err
		}
	}
	w.evidence.Cleared, err = cleared(q.Mended)
	return err
}

// ResultOf returns the full name of a result of a test that is named in full, by
// words that only one of them has, or by its number from 1. The error is a
// *library.NotFound or a *NoResult.
func ResultOf(lib *library.Library, test note.ID, said string) (string, error) {
	rec, err := lib.OfKind(test, "test", note.KindTest)
	if err != nil {
		return "", err
	}
	t := rec.Entry.(*note.Test)
	i, err := resultOf(t, said)
	if err != nil {
		return "", err
	}
	return t.Results[i].Name, nil
}

// workedOn is how many times the odds are of a mode of a component that someone has
// lately worked on, where its note does not say. No source: our own assumption;
// what was touched last is looked at first.
const workedOn = 3

// know lets what is known beforehand bear on the base rates.
func (n *network) know(q Question) {
	n.model.Times = map[diagnose.ID]float64{}
	for _, c := range n.model.Causes {
		m := n.modes[c.ID].mode
		times := 1.0
		touched := slices.Contains(q.WorkedOn, m.Component)
		said := false
		for _, f := range m.Likelier {
			if slices.Contains(q.Given, f.In) || f.In == note.WorkedOn && touched {
				times *= f.Times
				said = said || f.In == note.WorkedOn
			}
		}
		if touched && !said {
			times *= workedOn
		}
		if times != 1 {
			n.model.Times[c.ID] = times
		}
	}
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
