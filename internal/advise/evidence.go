package advise

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"kg/internal/diagnose"
	"kg/internal/hear"
	"kg/internal/link"
	"kg/internal/measure"
	"kg/internal/note"
)

// evidence is what was said and what tests have found.
func (l adviser) evidence(ctx context.Context, said []hear.Finding, r record) (diagnose.Evidence, error) {
	var e diagnose.Evidence
	readings := together(r.readings)
	for _, u := range said {
		e.Findings = append(e.Findings, u.Evidence())
	}
	for _, f := range r.results {
		figures, err := l.testFigures(ctx, f.test)
		if err != nil {
			return e, err
		}
		e.Outcomes = append(e.Outcomes, figures.Seen(OutcomeLabel(f.Test, f.test.Results[f.place].Name), f.place))
	}
	for _, of := range readings {
		o, err := l.outcome(ctx, of)
		if err != nil {
			return e, fmt.Errorf("the readings of %s: %w", of[0].Test, err)
		}
		e.Outcomes = append(e.Outcomes, o)
	}
	return e, nil
}

// outcome is the outcome of a test that readings are of: how well each of its results
// explains them together.
func (l adviser) outcome(ctx context.Context, of []readingTaken) (diagnose.Outcome, error) {
	t := of[0].test
	var given []*measure.Given
	var figures []string
	for _, f := range of {
		given, figures = append(given, f.given), append(figures, f.Figures)
	}
	likely, err := explained(t, given)
	if err != nil {
		return diagnose.Outcome{}, err
	}
	test, err := l.testFigures(ctx, t)
	return diagnose.Outcome{Label: OutcomeLabel(t.ID, strings.Join(figures, ", ")), Test: test, Result: likely}, err
}

// together are readings by the test that they were taken in.
func together(readings []readingTaken) [][]readingTaken {
	var out [][]readingTaken
	for _, f := range readings {
		at := slices.IndexFunc(out, func(of []readingTaken) bool { return of[0].Test == f.Test })
		if at < 0 {
			out = append(out, []readingTaken{f})
			continue
		}
		out[at] = append(out[at], f)
	}
	return out
}

// TestFigures are the figures of a test, with what the note leaves open filled in.
func TestFigures(t *note.Test) diagnose.Test { return completed(t, nil) }

// testFigures are the same with what is known of symptoms that are the same as its results:
// a mode that shows one of them, and that the test does not name, has that result as
// often.
func (l adviser) testFigures(ctx context.Context, t *note.Test) (diagnose.Test, error) {
	shown := make([][]link.Edge, len(t.Results))
	for i, r := range t.Results {
		for _, id := range r.SameAs {
			edges, err := l.In(ctx, id, link.Shows)
			if err != nil {
				return diagnose.Test{}, err
			}
			shown[i] = append(shown[i], edges...)
		}
	}
	return completed(t, shown), nil
}

// shownAs is how often a mode that a test does not name has one of its results: as often as
// it shows what the result is the same as, and else as is usual.
func shownAs(result int, mode note.ID, shown [][]link.Edge, usual []diagnose.Result) float64 {
	of := make([]float64, len(shown)) // by what is shown
	rest, open := 1.0, 0.0
	for i, edges := range shown {
		for _, e := range edges {
			if e.From == mode {
				of[i] = max(of[i], e.Figure.Used)
			}
		}
		rest -= of[i]
		if of[i] == 0 {
			open += usual[i].Otherwise
		}
	}
	if of[result] > 0 || open == 0 {
		return of[result]
	}
	return max(0, rest) * usual[result].Otherwise / open
}

// completed are the figures of a test, with those of the modes that show what each of its
// results is the same as.
func completed(t *note.Test, shown [][]link.Edge) diagnose.Test {
	out := diagnose.Test{ID: t.ID}
	var causes []diagnose.ID
	for _, r := range t.Results {
		out.Results = append(out.Results, diagnose.Result{Name: r.Name})
		for _, l := range r.SeenWith {
			if !slices.Contains(causes, l.To) {
				causes = append(causes, l.To)
			}
		}
	}
	named := len(causes)
	for _, edges := range shown {
		for _, e := range edges {
			if !slices.Contains(causes, e.From) {
				causes = append(causes, e.From)
			}
		}
	}
	otherwise := func(i int) (float64, bool) { return t.Results[i].Otherwise.P, t.Results[i].Otherwise.Given() }
	usual := diagnose.Complete(out.Results, nil, nil, otherwise)
	said := func(i int, cause diagnose.ID) (float64, bool) {
		for _, l := range t.Results[i].SeenWith {
			if l.To == cause {
				return l.Figure.P, true
			}
		}
		if slices.Contains(causes[:named], cause) {
			return 0, false
		}
		return shownAs(i, cause, shown, usual), true
	}
	out.Results = diagnose.Complete(out.Results, said, causes, otherwise)
	return out
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
