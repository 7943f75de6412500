package advise

import (
	"context"
	"errors"
	"slices"

	"kg/internal/archive"
	"kg/internal/diagnose"
	"kg/internal/hear"
	"kg/internal/library"
	"kg/internal/link"
	"kg/internal/note"
)

// network is the part of the graph that bears on some findings, as a model, and
// what is needed to explain it.
type network struct {
	model diagnose.Model
	modes map[note.ID]*modeNode
}

// modeNode is a mode with the links that bear on the findings.
type modeNode struct {
	mode  *note.Mode
	rate  link.Rate
	shows []link.Edge
	led   bool // others lead to it
	// behind are the modes that lead to it, the strongest link first.
	behind []link.Edge
}

// around walks from the readings of some findings back to the modes that show
// them, and from the tests that were done to those that they tell of, on the
// chosen appliance. Modes that show only what is absent explain
// nothing and stay out.
func (l adviser) around(ctx context.Context, said []hear.Finding, e diagnose.Evidence, s *library.Scope) (*network, error) {
	n := &network{model: diagnose.Model{Leak: map[diagnose.ID]float64{}}, modes: map[note.ID]*modeNode{}}
	add := func(present bool) error {
		for _, u := range said {
			if u.Present != present {
				continue
			}
			for _, r := range u.Senses {
				if err := l.addReading(ctx, n, r, s, present); err != nil {
					return err
				}
			}
		}
		return nil
	}
	if err := add(true); err != nil {
		return nil, err
	}
	for _, o := range e.Outcomes {
		for _, cause := range o.Test.Causes() {
			if err := l.addMode(ctx, n, cause, s); err != nil {
				return nil, err
			}
		}
	}
	if err := l.addBehind(ctx, n, s); err != nil {
		return nil, err
	}
	if err := add(false); err != nil { // what is absent speaks against all of them
		return nil, err
	}
	n.compile()
	return n, nil
}

// addBehind adds what brings the modes about, what brings that about, and so on.
func (l adviser) addBehind(ctx context.Context, n *network, s *library.Scope) error {
	queue := n.known()
	for len(queue) > 0 {
		id := queue[0]
		queue = queue[1:]
		if !n.modes[id].led {
			continue
		}
		edges, err := l.In(ctx, id, link.LeadsTo)
		if err != nil {
			return err
		}
		n.modes[id].behind = edges
		for _, e := range edges {
			if !counts(e) {
				continue
			}
			_, seen := n.modes[e.From]
			if err := l.addMode(ctx, n, e.From, s); err != nil {
				return err
			}
			if !seen && n.modes[e.From] != nil {
				queue = append(queue, e.From)
			}
		}
	}
	return nil
}

// counts reports whether a link between modes is strong enough to count in the
// network; see diagnose.Fit.
func counts(e link.Edge) bool { return e.Figure.Used > 0 }

// known are the modes of the network, in a stable order.
func (n *network) known() []note.ID {
	var ids []note.ID
	for id, m := range n.modes {
		if m != nil {
			ids = append(ids, id)
		}
	}
	slices.Sort(ids)
	return ids
}

func (l adviser) addReading(ctx context.Context, n *network, r hear.Sense, s *library.Scope, present bool) error {
	if r.Kind == note.KindMode {
		if !present {
			return nil
		}
		return l.addMode(ctx, n, r.ID, s)
	}
	leak, err := l.Rate(ctx, r.ID)
	if err != nil {
		return err
	}
	if leak.Figure.Given {
		n.model.Leak[r.ID] = leak.Figure.Used
	}
	edges, err := l.In(ctx, r.ID, link.Shows)
	if err != nil {
		return err
	}
	for _, e := range edges {
		if present {
			if err := l.addMode(ctx, n, e.From, s); err != nil {
				return err
			}
		}
		if m := n.modes[e.From]; m != nil && !slices.Contains(m.shows, e) {
			m.shows = append(m.shows, e)
		}
	}
	return nil
}

// addMode looks a mode up, once; one that the appliance cannot have is noted as
// nil.
func (l adviser) addMode(ctx context.Context, n *network, id note.ID, s *library.Scope) error {
	if _, done := n.modes[id]; done {
		return nil
	}
	rec, err := l.Get(id)
	if errors.Is(err, archive.ErrNotFound) {
		n.modes[id] = nil // its note was left out
		return nil
	}
	if err != nil {
		return err
	}
	m, ok := rec.Entry.(*note.Mode)
	if !ok || !s.Allows(m) {
		n.modes[id] = nil
		return nil
	}
	rate, err := l.RateOn(ctx, s, m)
	if err != nil {
		return err
	}
	n.modes[id] = &modeNode{mode: m, rate: rate, led: rec.Led}
	return nil
}

// compile makes the model of what was noted down, in a stable order.
func (n *network) compile() {
	for _, id := range n.known() {
		m := n.modes[id]
		n.model.Causes = append(n.model.Causes, diagnose.Cause{ID: id, Rate: m.rate.Figure.Used})
		for _, e := range m.shows {
			n.model.Shows = append(n.model.Shows, diagnose.Link{From: id, To: e.To, Strength: e.Figure.Used})
		}
		for _, e := range m.behind {
			if !counts(e) {
				continue
			}
			n.model.Leads = append(n.model.Leads, diagnose.Link{From: e.From, To: id, Strength: e.Figure.Used})
		}
	}
}

// How the links of a chain read from the symptom on.
const (
	linkShownBy    = "shown-by"
	linkComesFrom  = "comes-from"
	linkOf         = "of-component"
	longestOfChain = 4 // modes
)

// path is the strongest chain from a symptom that was seen to a mode, and on to
// the component type it belongs to. The mode shows the symptom, or leads to one
// that does.
func (n *network) path(id note.ID, said []hear.Finding) []Step {
	steps, _ := n.chainTo(id, said, longestOfChain)
	return append(steps, Step{From: id, Link: linkOf, To: n.modes[id].mode.Component})
}

// chainTo returns the chain from a symptom to a mode with its strength.
func (n *network) chainTo(id note.ID, said []hear.Finding, most int) ([]Step, float64) {
	var steps []Step
	best := 0.0
	for _, e := range n.modes[id].shows {
		if e.Figure.Used > best && isPresent(e.To, said) {
			best = e.Figure.Used
			steps = []Step{{From: e.To, Link: linkShownBy, To: id, Figure: e.Figure.Used}}
		}
	}
	if best > 0 || most == 1 {
		return steps, best
	}
	for _, next := range n.known() {
		for _, e := range n.modes[next].behind {
			if e.From != id || !counts(e) {
				continue
			}
			if on, p := n.chainTo(next, said, most-1); p*e.Figure.Used > best {
				best = p * e.Figure.Used
				steps = append(slices.Clone(on), Step{From: next, Link: linkComesFrom, To: id, Figure: e.Figure.Used})
			}
		}
	}
	return steps, best
}

func isPresent(id note.ID, said []hear.Finding) bool {
	return slices.ContainsFunc(said, func(u hear.Finding) bool {
		return u.Present && slices.ContainsFunc(u.Senses, func(r hear.Sense) bool { return r.ID == id })
	})
}

// notesOf are the notes that the figures of a mode come from.
func (n *network) notesOf(id note.ID) []string {
	m := n.modes[id]
	var out []string
	for _, e := range m.shows {
		out = append(out, e.Note)
	}
	if m.rate.Note != "" {
		out = append(out, m.rate.Note)
	}
	return out
}
