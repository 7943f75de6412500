package library

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"kg/internal/archive"
	"kg/internal/diagnose"
	"kg/internal/graph"
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
	beliefs := n.model.Posterior(findings)
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
	a.Next = w.next(beliefs, a.Causes)
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

// A stop-work symptom nearly as likely as the best reading is taken seriously: a
// false alarm costs less than a missed one. It ends the diagnosis where the
// words are clear, else the answer begins with it. One whose words were denied
// ("no gas smell") is no alarm.
const (
	asGraveAs = 0.8
	sureStop  = 0.62
	maybeStop = 0.45
)

// stop returns the stop-work symptom among what was heard, if any, a sure one
// before one that may be meant.
func (l *Library) stop(heard []Understood) (*Stop, error) {
	var maybe *Stop
	for _, u := range heard {
		for _, r := range u.Readings {
			if r.Kind != note.KindSymptom || r.Score < max(maybeStop, asGraveAs*u.clearest()) || l.denies(u, r) {
				continue
			}
			rec, err := l.archive.Get(r.ID)
			if err != nil {
				return nil, err
			}
			e, ok := rec.Entry.(*note.Symptom)
			if !ok || len(e.StopWork) == 0 {
				continue
			}
			s := &Stop{Symptom: e.ID, Name: e.Name, First: e.StopWork, Note: rec.Path, Sure: r.Score >= sureStop}
			if s.Sure {
				return s, nil
			}
			if maybe == nil {
				maybe = s
			}
		}
	}
	return maybe, nil
}

// denies reports whether words deny what a reading of them says.
func (l *Library) denies(u Understood, r Reading) bool {
	if u.Code != "" {
		return false
	}
	return search.Denies(l.index.Tokens(u.Text)) && !search.Denies(l.index.Tokens(r.Saying))
}

// worker turns beliefs into an answer.
type worker struct {
	*Library
	*network
	scope *scope
	said  []Understood
	tests map[note.ID]*note.Test
}

func (w *worker) cause(ctx context.Context, b diagnose.Belief) (Cause, error) {
	id := note.ID(b.ID)
	rec, err := w.archive.Get(id)
	if err != nil {
		return Cause{}, err
	}
	m := w.modes[id].mode
	component, err := w.name(m.Component)
	if err != nil {
		return Cause{}, err
	}
	c := Cause{
		Mode: id, Name: m.Name, Component: m.Component, ComponentName: component,
		Probability: b.Probability, Prior: b.Prior, IfLeft: m.IfLeft,
		Path: w.path(id, w.said), Tests: []TestMethod{}, Notes: []string{rec.Path},
	}
	for i := range c.Path {
		if c.Path[i].FromName, err = w.name(c.Path[i].From); err != nil {
			return c, err
		}
		if c.Path[i].Name, err = w.name(c.Path[i].To); err != nil {
			return c, err
		}
	}
	for _, e := range b.Weights {
		c.Weights = append(c.Weights, Weight{e.Label, e.Decibans})
	}
	if err := w.work(&c, m); err != nil {
		return c, err
	}
	for _, link := range m.LeadsTo {
		name, err := w.modeName(link.To)
		if err != nil {
			continue // its note was left out
		}
		c.LeadsTo = append(c.LeadsTo, Consequence{link.To, name, link.Figure.P})
	}
	if c.MayComeFrom, err = w.behind(ctx, id); err != nil {
		return c, err
	}
	if c.Parts, err = w.parts(ctx, c); err != nil {
		return c, err
	}
	if c.Field, err = w.field(ctx, id, m.Component); err != nil {
		return c, err
	}
	if c.Caveats, err = w.causeAlerts(c); err != nil {
		return c, err
	}
	c.Notes = compactStrings(append(c.Notes, w.notesOf(id)...))
	return c, nil
}

// behind names the modes that bring a mode about, the strongest link first.
func (w *worker) behind(ctx context.Context, id note.ID) ([]Consequence, error) {
	const some = 4
	edges, err := w.graph.In(ctx, id, graph.LeadsTo)
	if err != nil {
		return nil, err
	}
	var out []Consequence
	for _, e := range edges[:min(some, len(edges))] {
		name, err := w.modeName(e.From)
		if err != nil {
			return nil, err
		}
		out = append(out, Consequence{e.From, name, e.Figure.Stated})
	}
	return out, nil
}

// modeName is the name of an entry, for a mode after its component.
func (l *Library) modeName(id note.ID) (string, error) {
	t, err := l.archive.Title(id)
	return t.Full, err
}

// work fills in tests, remedies and part types. What was left out of the
// library is passed over.
func (w *worker) work(c *Cause, m *note.Mode) error {
	for _, id := range m.SettledBy {
		t, path, err := w.test(id)
		if err != nil {
			return err
		}
		if t == nil {
			continue
		}
		method := TestMethod{Test: id, Name: t.Name, Minutes: t.Minutes, Who: t.Who, Isolation: t.Isolation, Steps: t.Steps}
		for _, r := range complete(t).Results {
			given, known := r.Given[diagnose.ID(m.ID)]
			switch {
			case known && given > 2*r.Otherwise:
				method.For = append(method.For, r.Name)
			case known && 2*given < r.Otherwise:
				method.Against = append(method.Against, r.Name)
			}
		}
		c.Tests = append(c.Tests, method)
		c.Notes = append(c.Notes, path)
	}
	for _, some := range []struct {
		ids []note.ID
		to  **RemedyRef
	}{{m.Repair, &c.Repair}, {m.StopGap, &c.StopGap}} {
		for _, id := range some.ids {
			rec, err := w.archive.Get(id)
			if err != nil {
				continue
			}
			r, ok := rec.Entry.(*note.Remedy)
			if !ok {
				continue
			}
			*some.to = &RemedyRef{Remedy: id, Name: r.Name, Minutes: r.Minutes, Who: r.Who, Steps: r.Steps, Checks: r.Checks, Limits: r.Limits, Uses: r.Uses}
			c.Notes = append(c.Notes, rec.Path)
			break
		}
	}
	if c.Repair != nil {
		for _, id := range c.Repair.Uses {
			if name, err := w.name(id); err == nil {
				c.PartTypes = append(c.PartTypes, PartType{id, name})
			}
		}
	}
	return nil
}

// test looks a test up, once; nil if its note was left out.
func (w *worker) test(id note.ID) (*note.Test, string, error) {
	rec, err := w.archive.Get(id)
	if err != nil {
		return nil, "", nil
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
	out := diagnose.Test{ID: diagnose.ID(t.ID), Minutes: float64(t.Minutes)}
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
func (w *worker) next(b diagnose.Beliefs, causes []Cause) *Next {
	var tests []diagnose.Test
	for _, id := range sortedTests(w.tests) {
		tests = append(tests, complete(w.tests[id]))
	}
	if ranked := b.Rank(tests); len(ranked) > 0 {
		t := w.tests[note.ID(ranked[0].Test)]
		n := &Next{Kind: "test", ID: t.ID, Name: t.Name, ExpectedMinutes: float64(t.Minutes), Who: t.Who,
			Isolation: t.Isolation, Steps: t.Steps, Results: results(b, causes, t)}
		n.Why = why(n.Results)
		return n
	}
	if len(causes) > 0 && causes[0].Repair != nil {
		r := causes[0].Repair
		return &Next{Kind: "repair", ID: r.Remedy, Name: r.Name, ExpectedMinutes: float64(r.Minutes), Who: r.Who, Steps: r.Steps,
			Why: "no test in the notes would change the order of the causes"}
	}
	return nil
}

// results says what each result of a test would make of the causes.
func results(b diagnose.Beliefs, causes []Cause, t *note.Test) []NextResult {
	var out []NextResult
	for i, r := range complete(t).Results {
		n := NextResult{Name: r.Name, Means: t.Results[i].Means}
		if after := b.After(r); len(after.Causes) > 0 {
			first := after.Causes[0]
			if i := slices.IndexFunc(causes, func(c Cause) bool { return c.Mode == note.ID(first.ID) }); i >= 0 {
				n.First, n.Probability = causes[i].Mode, first.Probability
				n.FirstName = causes[i].ComponentName + ": " + lowerFirst(causes[i].Name)
			}
		}
		out = append(out, n)
	}
	return out
}

func why(results []NextResult) string {
	parts := []string{"it tells most for its minutes"}
	for _, r := range results {
		if r.First != "" {
			parts = append(parts, fmt.Sprintf("%q would put %s first, at %s", r.Name, r.FirstName, InWords(r.Probability)))
		}
	}
	return strings.Join(parts, "; ")
}

// parts are the makers' parts of the types that a repair puts in: those that fit
// the appliance, where one is named.
func (w *worker) parts(ctx context.Context, c Cause) ([]Part, error) {
	var out []Part
	for _, t := range c.PartTypes {
		edges, err := w.graph.In(ctx, t.Component, graph.Type)
		if err != nil {
			return nil, err
		}
		for _, e := range edges {
			rec, err := w.archive.Get(e.From)
			if err != nil {
				return nil, err
			}
			if p, ok := rec.Entry.(*note.Part); ok && w.scope.fits(p.Fits) {
				out = append(out, Part{Number: p.Number, Maker: p.Maker, Status: p.Status})
			}
		}
	}
	return out, nil
}

// field returns the remarks about some entries.
func (l *Library) field(ctx context.Context, about ...note.ID) ([]FieldRemark, error) {
	var out []FieldRemark
	for _, id := range about {
		edges, err := l.graph.In(ctx, id, graph.About)
		if err != nil {
			return nil, err
		}
		for _, e := range edges {
			rec, err := l.archive.Get(e.From)
			if err != nil {
				return nil, err
			}
			h := rec.Entry.Head()
			if h.Kind == note.KindRemark && !slices.ContainsFunc(out, func(r FieldRemark) bool { return r.ID == h.ID }) {
				out = append(out, FieldRemark{ID: h.ID, Name: h.Name, Text: h.Body, Note: rec.Path})
			}
		}
	}
	return out, nil
}

func lowerFirst(s string) string {
	if len(s) > 1 && s[1] >= 'A' && s[1] <= 'Z' {
		return s // an abbreviation
	}
	return strings.ToLower(s[:min(1, len(s))]) + s[min(1, len(s)):]
}

func sortedTests(m map[note.ID]*note.Test) []note.ID {
	out := make([]note.ID, 0, len(m))
	for id := range m {
		out = append(out, id)
	}
	slices.Sort(out)
	return out
}

// causeAlerts are the caveats of a cause with its component, tests and remedies.
func (w *worker) causeAlerts(c Cause) ([]Alert, error) {
	about := []note.ID{c.Mode, c.Component}
	for _, t := range c.Tests {
		about = append(about, t.Test)
	}
	for _, r := range []*RemedyRef{c.Repair, c.StopGap} {
		if r != nil {
			about = append(about, r.Remedy)
		}
	}
	return w.alerts(about...)
}

// alerts are the caveats that are shown with some entries, the gravest first.
func (l *Library) alerts(about ...note.ID) ([]Alert, error) {
	seen := map[note.ID]bool{}
	var out []Alert
	for _, id := range about {
		rec, err := l.archive.Get(id)
		if errors.Is(err, archive.ErrNotFound) {
			continue // left out of the library
		}
		if err != nil {
			return nil, err
		}
		for _, c := range rec.Caveats {
			if seen[c] {
				continue
			}
			seen[c] = true
			rec, err := l.archive.Get(c)
			if err != nil {
				return nil, err
			}
			if e, ok := rec.Entry.(*note.Caveat); ok {
				out = append(out, Alert{Level: e.Level, Name: e.Name, Text: e.Text, ID: c})
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Alert) int { return cmp.Compare(a.Level.Rank(), b.Level.Rank()) })
	return out, nil
}

// foremost are the caveats that stand over the whole answer: those of what was
// seen, of the first cause and of the next step.
func (w *worker) foremost(a Answer) ([]Alert, error) {
	var about []note.ID
	for _, f := range a.Findings {
		about = append(about, f.Symptom)
	}
	if a.Next != nil {
		about = append(about, a.Next.ID)
	}
	if a.Appliance != "" {
		about = append(about, a.Appliance)
	}
	if len(a.Causes) > 0 {
		about = append(about, a.Causes[0].Mode)
	}
	return w.alerts(about...)
}

// InWords gives a probability as people say it: "19 in 20", "1 in 50". It is
// within 2.5 in 100 of the figure, nearer at the ends.
func InWords(p float64) string {
	switch {
	case p >= 0.995:
		return "more than 99 in 100"
	case p < 0.005:
		return "less than 1 in 100"
	case p > 0.96:
		return fmt.Sprintf("%.0f in 100", 100*p)
	case p < 0.04:
		for _, under := range []float64{100, 50, 33} {
			if p < 1.25/under {
				return fmt.Sprintf("1 in %.0f", under)
			}
		}
		return "1 in 25"
	}
	twentieths := int(p*20 + 0.5)
	for _, under := range []int{2, 4, 5, 10} {
		if step := 20 / under; twentieths%step == 0 {
			return fmt.Sprintf("%d in %d", twentieths/step, under)
		}
	}
	return fmt.Sprintf("%d in 20", twentieths)
}

func compactStrings(list []string) []string {
	var out []string
	for _, s := range list {
		if !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	return out
}
