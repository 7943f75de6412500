package advise

import (
	"context"
	"fmt"

	"kg/internal/diagnose"
	"kg/internal/library"
	"kg/internal/link"
	"kg/internal/note"
)

// Reasons say why a cause is as likely as it is.
type Reasons struct {
	Cause Cause `json:"cause"`
	// Rank is its place among the causes, from 1.
	Rank     int     `json:"rank"`
	Findings []Found `json:"findings"`
	// Turns are the findings that decide which cause comes first.
	Turns     []Turn     `json:"turns"`
	Conflicts []Conflict `json:"conflicts,omitempty"`
	// Figures are what it rests on, each with the note that says so.
	Figures []FigureSource `json:"figures"`
}

// Turn says which cause would come first if a finding were the other way.
type Turn struct {
	Finding     string  `json:"finding"`
	Otherwise   string  `json:"otherwise,omitempty"` // the other result of a test
	First       note.ID `json:"first"`
	FirstName   string  `json:"first_name"`
	Probability float64 `json:"probability"`
}

// FigureSource is a figure that a probability rests on.
type FigureSource struct {
	Says   string  `json:"says"`
	Stated float64 `json:"stated"`
	Used   float64 `json:"used"` // after fitting to the usual causes that symptoms state
	Note   string  `json:"note"`
	Source string  `json:"source,omitempty"`
}

// Unrelated says that nothing that was found bears on a mode.
type Unrelated struct {
	Mode note.ID
	Name string
}

func (e *Unrelated) Error() string {
	return fmt.Sprintf("nothing that was found speaks for %s [%s]: `kg show %s` names what it shows", e.Name, e.Mode, e.Mode)
}

// Why explains the probability of one mode as an answer to a question.
func Why(ctx context.Context, lib *library.Library, q Question, mode note.ID) (Reasons, error) {
	r, err := adviser{lib}.why(ctx, q, mode)
	if err != nil {
		return r, fmt.Errorf("explaining %s: %w", mode, err)
	}
	return r, nil
}

func (l adviser) why(ctx context.Context, q Question, mode note.ID) (Reasons, error) {
	out := Reasons{Findings: []Found{}, Turns: []Turn{}, Figures: []FigureSource{}}
	if _, err := l.OfKind(mode, "mode", note.KindMode); err != nil {
		return out, err
	}
	w, beliefs, a, err := l.weigh(ctx, q)
	if err != nil {
		return out, err
	}
	out.Findings, out.Conflicts = a.Findings, a.Conflicts
	for i, b := range beliefs.Causes {
		if b.ID == mode {
			out.Rank = i + 1
			if out.Cause, err = w.cause(ctx, b); err != nil {
				return out, err
			}
		}
	}
	if out.Rank == 0 {
		name, err := l.FullName(mode)
		if err != nil {
			return out, err
		}
		return out, &Unrelated{mode, name}
	}
	turns, err := w.model.Turns(w.evidence)
	if err != nil {
		return out, err
	}
	for _, t := range turns {
		name, err := l.FullName(t.First)
		if err != nil {
			return out, err
		}
		out.Turns = append(out.Turns, Turn{t.Label, t.Otherwise, t.First, name, t.Probability})
	}
	out.Figures, err = w.figures(mode)
	return out, err
}

// figures are what the probability of a mode rests on by itself.
func (w *worker) figures(mode note.ID) ([]FigureSource, error) {
	m := w.modes[mode]
	out := []FigureSource{}
	add := func(says string, f link.Figure, at string, of note.ID) error {
		if at == "" {
			return nil
		}
		rec, err := w.Get(of)
		if err != nil {
			return err
		}
		out = append(out, FigureSource{Says: says, Stated: f.Stated, Used: f.Used, Note: at, Source: rec.Entry.Head().Source})
		return nil
	}
	if err := add("how often it is found", m.rate.Figure, m.rate.Note, mode); err != nil {
		return nil, err
	}
	for _, e := range m.shows {
		name, err := w.Name(e.To)
		if err != nil {
			return nil, err
		}
		if err := add("shows: "+name, e.Figure, e.Note, mode); err != nil {
			return nil, err
		}
	}
	for _, e := range m.behind {
		if !counts(e) {
			continue
		}
		name, err := w.FullName(e.From)
		if err != nil {
			return nil, err
		}
		if err := add("comes from: "+name, e.Figure, e.Note, e.From); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// weigh works out the beliefs that a question leads to. The answer holds what was
// understood; the worker is nil when that was nothing.
func (l adviser) weigh(ctx context.Context, q Question) (*worker, diagnose.Beliefs, Answer, error) {
	a := Answer{Query: q.Text, Appliance: q.Appliance, Findings: []Found{}, Causes: []Cause{}, Caveats: []library.Alert{}}
	w, b, err := l.weighed(ctx, q, &a)
	switch {
	case err != nil || w != nil:
	case a.Stop != nil:
		err = fmt.Errorf("%s: this stops the work, and comes before any diagnosis; `kg show %s` says what to do first", a.Stop.Name, a.Stop.Symptom)
	default:
		err = fmt.Errorf("nothing was understood that could be weighed: say what is wrong")
	}
	return w, b, a, err
}
