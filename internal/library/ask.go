package library

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"kg/internal/diagnose"
	"kg/internal/note"
	"kg/internal/search"
)

// Question is what someone wants to know.
type Question struct {
	Text      string
	Appliance note.ID  // empty for any
	Most      int      // how many causes are worked out; 0 for DefaultMost
	More      []string // what was said later; where it contradicts, it counts
	// Safe is how many of these texts were said before what stops the work was made
	// safe: they stop it no more.
	Safe int
	// Symptoms are there for certain, whatever was said.
	Symptoms []note.ID
	Results  []Tested
	// Readings are figures that meters have shown; several of one test are of one
	// part, under different conditions.
	Readings []Read
	// Mended are the remedies that were carried out and did not help.
	Mended []note.ID
	// Given is what is known beforehand, WorkedOn the components that someone has
	// lately worked on.
	Given    []note.Context
	WorkedOn []note.ID
	// Who are the competences of whoever asks. Nothing is suggested as the next
	// step that they do not cover; with none, anything is, and says who may do it.
	Who []note.Competence
	// Confidence is how probable a cause has to be before its part is suggested, 0
	// for diagnose.Confidence.
	Confidence float64
	// Think is how long the next step may be thought about; 0 for a budget that
	// gives the same answer on every machine.
	Think time.Duration
	// Work is a budget for the next step, see plan.Budget; 0 for the usual one.
	Work int
}

// Tested is what a test said.
type Tested struct {
	Test   note.ID
	Result string // the name of the result
	// After are the remedies that had been tried in vain by then.
	After []note.ID
}

// Read is a figure that a meter has shown in a test, with what else is known: keys
// and values of the test's model, as in "10.4k at=24C".
type Read struct {
	Test    note.ID
	Figures string
}

// once keeps of each test what it said last: a test that is done again says no
// more than once what it says.
func (q *Question) once() {
	var results []Tested
	for i, r := range q.Results {
		again := slices.ContainsFunc(q.Results[i+1:], func(x Tested) bool { return x.Test == r.Test }) ||
			slices.ContainsFunc(q.Readings, func(x Read) bool { return x.Test == r.Test })
		if !again {
			results = append(results, r)
		}
	}
	q.Results = results
}

// DefaultMost is how many causes an answer holds unless more are asked for.
const DefaultMost = 12

// leastProbable is the probability below which a cause is not worth a line.
const leastProbable = 0.001

// Ask works out the causes of what a description says. An answer without
// findings and causes means that nothing was understood; it then names what is
// nearest.
func (l *Library) Ask(ctx context.Context, q Question) (a Answer, err error) {
	err = guard(func() error {
		a, err = l.ask(ctx, q)
		return err
	})
	if err != nil {
		return a, fmt.Errorf("working out %q: %w", shortened(q.Text), err)
	}
	return a, nil
}

func shortened(s string) string {
	const most = 60
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "..."
	}
	return s
}

func (l *Library) ask(ctx context.Context, q Question) (Answer, error) {
	a := Answer{Query: q.Text, Appliance: q.Appliance, Findings: []Found{}, Causes: []Cause{}, Caveats: []Alert{}}
	w, beliefs, err := l.weighed(ctx, q, &a)
	if err != nil || w == nil {
		return a, err
	}
	most := q.Most
	if most <= 0 {
		most = DefaultMost
	}
	for _, b := range beliefs.Causes {
		if len(a.Causes) == most || b.Probability < leastProbable {
			break
		}
		if slices.Contains(w.evidence.Cleared, b.ID) {
			continue // mended
		}
		c, err := w.cause(ctx, b)
		if err != nil {
			return a, err
		}
		a.Causes = append(a.Causes, c)
	}
	if a.Next, err = w.next(ctx, beliefs); err != nil {
		return a, err
	}
	var seen []note.ID
	for _, f := range a.Findings {
		seen = append(seen, f.Symptom)
	}
	if w.scope != nil {
		seen = append(seen, w.scope.id)
	}
	if a.Field, err = l.field(ctx, seen...); err != nil {
		return a, err
	}
	a.Caveats, err = w.foremost(a)
	return a, err
}

// weighed understands a question and works out the beliefs that it leads to. No
// worker means that there is nothing to weigh: the answer then says whether work
// stops here, or what is nearest.
func (l *Library) weighed(ctx context.Context, q Question, a *Answer) (*worker, diagnose.Beliefs, error) {
	var none diagnose.Beliefs
	s, err := l.scope(ctx, q.Appliance)
	if err != nil {
		return nil, none, err
	}
	said, heard, err := l.hear(ctx, q, s, a)
	if err != nil {
		return nil, none, err
	}
	for _, u := range said {
		f, err := l.found(u)
		if err != nil {
			return nil, none, err
		}
		a.Findings = append(a.Findings, f)
	}
	if a.Stop, err = l.stop(heard); err != nil {
		return nil, none, err
	}
	if a.Stop != nil && a.Stop.Sure {
		a.Next = &Next{Kind: "stop", ID: a.Stop.Symptom, Name: a.Stop.Name, Why: "this comes before any diagnosis"}
		a.Caveats, err = l.alerts(a.Stop.Symptom)
		return nil, none, err
	}
	q.once()
	if said, err = l.follow(ctx, said); err != nil {
		return nil, none, err
	}
	e, err := l.evidence(said, q)
	if err != nil {
		return nil, none, err
	}
	if len(e.Outcomes) == 0 && !slices.ContainsFunc(said, func(u Understood) bool { return u.Present }) {
		a.Near, err = l.near(ctx, q.Text)
		return nil, none, err
	}
	if err := l.before(q, a); err != nil {
		return nil, none, err
	}
	for _, id := range q.WorkedOn {
		if rec, err := l.archive.Get(id); err != nil || rec.Entry.Head().Kind != note.KindComponent {
			return nil, none, l.noSuch("component", id, note.KindComponent)
		}
	}
	n, err := l.around(ctx, said, e, s)
	if err != nil {
		return nil, none, err
	}
	n.know(q)
	w := &worker{Library: l, network: n, scope: s, said: said, evidence: e, question: q, budget: q.Work}
	if err := w.clear(q); err != nil {
		return nil, none, err
	}
	beliefs, err := n.model.Posterior(w.evidence)
	if err != nil {
		return nil, none, err
	}
	a.believe(beliefs)
	return w, beliefs, nil
}

// hear understands what was said at first and later. What is said later about
// the same thing counts.
func (l *Library) hear(ctx context.Context, q Question, s *scope, a *Answer) (said, heard []Understood, err error) {
	for i, text := range append([]string{q.Text}, q.More...) {
		if strings.TrimSpace(text) == "" {
			continue
		}
		u, err := l.understand(ctx, text, s)
		if err != nil {
			return nil, nil, err
		}
		for _, new := range u.said {
			said = slices.DeleteFunc(said, func(old Understood) bool { return old.Readings[0].ID == new.Readings[0].ID })
			said = append(said, new)
		}
		if i >= q.Safe {
			heard = append(heard, u.heard...)
		}
		a.Remarks = append(a.Remarks, u.remarks...)
	}
	for _, id := range q.Symptoms {
		rec, err := l.entry(id, "symptom", note.KindSymptom)
		if err != nil {
			return nil, nil, err
		}
		h := rec.Entry.Head()
		if h.Kind != note.KindSymptom {
			return nil, nil, l.noSuch("symptom", id, note.KindSymptom)
		}
		u := Understood{Text: h.Name, Present: true, Readings: []Reading{{ID: id, Kind: h.Kind, Name: h.Name, Score: 1, Weight: 1, Covers: 1}}}
		said = slices.DeleteFunc(said, func(old Understood) bool { return old.Readings[0].ID == id })
		said, heard = append(said, u), append(heard, u)
	}
	return said, heard, nil
}

func (l *Library) found(u Understood) (Found, error) {
	first := u.Readings[0]
	f := Found{
		Symptom: first.ID, Name: first.Name, Present: u.Present, Score: first.Score, Text: u.Text, Code: u.Code, Words: first.Words,
	}
	if u.Doubtful() {
		f.Doubt = true
		f.Others = u.Readings
	}
	var err error
	if first.Saying != "" {
		f.Saying, err = l.spoken(first)
	}
	return f, err
}

// spoken returns the saying of a reading as it is written in the note.
func (l *Library) spoken(r Reading) (string, error) {
	rec, err := l.archive.Get(r.ID)
	if err != nil {
		return "", err
	}
	component := ""
	if m, ok := rec.Entry.(*note.Mode); ok {
		if component, err = l.name(m.Component); err != nil {
			return "", err
		}
	}
	for _, s := range search.Sayings(rec.Entry, component) {
		if search.Terms(l.index.Tokens(s)) == r.Saying {
			return s, nil
		}
	}
	return r.Name, nil
}

// near names entries that are somewhat like words that stand for nothing.
func (l *Library) near(ctx context.Context, text string) ([]Reading, error) {
	const some = 4
	matches, err := l.index.Match(ctx, text, some)
	if err != nil {
		return nil, err
	}
	var out []Reading
	for _, m := range matches {
		r, err := l.reading(m)
		if err != nil {
			return nil, err
		}
		out = append(out, r)
	}
	return out, nil
}
