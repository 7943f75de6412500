package library

import (
	"context"
	"fmt"
	"slices"

	"kg/internal/diagnose"
	"kg/internal/note"
	"kg/internal/search"
)

// Question is what someone wants to know.
type Question struct {
	Text      string
	Appliance note.ID // empty for any
	Most      int     // how many causes are worked out; 0 for DefaultMost
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
	s, err := l.scope(ctx, q.Appliance)
	if err != nil {
		return a, err
	}
	u, err := l.understand(ctx, q.Text, s)
	if err != nil {
		return a, err
	}
	said := u.said
	a.Remarks = u.remarks
	for _, u := range said {
		f, err := l.found(u)
		if err != nil {
			return a, err
		}
		a.Findings = append(a.Findings, f)
	}
	if a.Stop, err = l.stop(u.heard); err != nil {
		return a, err
	}
	if a.Stop != nil && a.Stop.Sure {
		a.Next = &Next{Kind: "stop", ID: a.Stop.Symptom, Name: a.Stop.Name, Why: "this comes before any diagnosis"}
		a.Caveats, err = l.alerts(a.Stop.Symptom)
		return a, err
	}
	if !slices.ContainsFunc(said, func(u Understood) bool { return u.Present }) {
		a.Near, err = l.near(ctx, q.Text)
		return a, err
	}
	n, err := l.around(ctx, said, s)
	if err != nil {
		return a, err
	}
	findings := make([]diagnose.Finding, len(said))
	for i, u := range said {
		findings[i] = u.finding()
	}
	beliefs, err := n.model.Posterior(diagnose.Evidence{Findings: findings})
	if err != nil {
		return a, err
	}
	a.Other = beliefs.Other

	most := q.Most
	if most <= 0 {
		most = DefaultMost
	}
	w := &worker{Library: l, network: n, scope: s, said: said}
	for _, b := range beliefs.Causes[:min(most, len(beliefs.Causes))] {
		if b.Probability < leastProbable {
			break
		}
		c, err := w.cause(ctx, b)
		if err != nil {
			return a, err
		}
		a.Causes = append(a.Causes, c)
	}
	if a.Next, err = w.next(beliefs, a.Causes); err != nil {
		return a, err
	}
	var seen []note.ID
	for _, f := range a.Findings {
		seen = append(seen, f.Symptom)
	}
	if s != nil {
		seen = append(seen, s.id)
	}
	if a.Field, err = l.field(ctx, seen...); err != nil {
		return a, err
	}
	a.Caveats, err = w.foremost(a)
	return a, err
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
