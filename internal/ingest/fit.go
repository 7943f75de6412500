package ingest

import (
	"slices"

	"kg/internal/diagnose"
	"kg/internal/link"
	"kg/internal/note"
)

// assumedRate is the base rate of a mode whose note gives none. No source: our
// own assumption, the rate of a rare fault.
const assumedRate = 0.001

// Fit says how well the usual causes that symptoms state could be met.
type Fit struct {
	Statements int
	// Missed are the symptoms whose stated shares are off by more than a hundredth.
	Missed []Miss
}

// Miss is one symptom with the largest difference of a share.
type Miss struct {
	Symptom note.ID
	Note    string
	Off     float64
}

// tolerance is how far a share may be from the stated one: one percentage point.
const tolerance = 0.01

// statedFigures is what the kept notes say, before anything is fitted.
type statedFigures struct {
	edges      []link.Edge
	rates      []link.Rate
	model      diagnose.Model
	statements []diagnose.Statement
	stating    []*note.Note // the note of each statement
}

func figuresOf(kept []*note.Note) statedFigures {
	known := map[note.ID]bool{}
	fitted := map[note.ID]float64{}
	for _, n := range kept {
		known[n.ID()] = true
		if c, ok := n.Entry.(*note.Component); ok && c.Fitted.Given() {
			fitted[c.ID] = c.Fitted.P
		}
	}
	keep := func(id note.ID) bool { return known[id] }

	out := statedFigures{model: diagnose.Model{Leak: map[diagnose.ID]float64{}}}
	for _, n := range kept {
		own := link.Of(n, keep)
		out.edges = append(out.edges, own...)
		switch e := n.Entry.(type) {
		case *note.Mode:
			rate := stated(n, e.Occurs, assumedRate)
			if share, ok := fitted[e.Component]; ok {
				// A rate counts visits to systems that have the component. The
				// library holds it among visits of all kinds.
				rate.Figure.Stated *= share
			}
			out.rates = append(out.rates, rate)
			out.model.Causes = append(out.model.Causes, diagnose.Cause{ID: e.ID, Rate: rate.Figure.Stated})
			addLinks(&out.model, own)
		case *note.Symptom:
			leak := stated(n, e.Leak, diagnose.DefaultLeak)
			out.rates = append(out.rates, leak)
			out.model.Leak[e.ID] = leak.Figure.Stated
			if s := statement(e, keep); len(s.Shares) > 0 {
				out.statements = append(out.statements, s)
				out.stating = append(out.stating, n)
			}
		}
	}
	return out
}

// Figures returns the links and rates of the kept notes as a library of them would
// use them: fitted to the usual causes that symptoms state.
func Figures(kept []*note.Note) ([]link.Edge, []link.Rate, Fit) {
	said := figuresOf(kept)
	moved := diagnose.Fit(said.model, said.statements)
	fit := Fit{Statements: len(said.statements)}
	for i, off := range moved.Off {
		if off > tolerance {
			fit.Missed = append(fit.Missed, Miss{said.stating[i].ID(), said.stating[i].Path, off})
		}
	}
	return adopt(said.edges, moved.Model, said.stating), adoptRates(said.rates, moved.Model), fit
}

// stated is the rate that a note gives, or the one that is assumed.
func stated(n *note.Note, l note.Likelihood, assumed float64) link.Rate {
	if l.Given() {
		assumed = l.P
	}
	return link.Rate{Of: n.ID(), Note: n.Path, Figure: link.Figure{Stated: assumed, Used: assumed, Given: true}}
}

func addLinks(m *diagnose.Model, edges []link.Edge) {
	for _, e := range edges {
		l := diagnose.Link{From: e.From, To: e.To, Strength: e.Figure.Stated}
		switch e.Link {
		case link.Shows:
			m.Shows = append(m.Shows, l)
		case link.LeadsTo:
			m.Leads = append(m.Leads, l)
		}
	}
}

func statement(e *note.Symptom, keep func(note.ID) bool) diagnose.Statement {
	s := diagnose.Statement{Symptom: e.ID}
	for _, l := range e.UsualCauses {
		if keep(l.To) {
			s.Shares = append(s.Shares, diagnose.Share{Cause: l.To, Part: l.Figure.P})
		}
	}
	return s
}

type pair struct{ from, to note.ID }

// adopt puts the fitted strengths into the links. A link that only a statement
// knows becomes a link of its own, said by the note of the statement.
func adopt(edges []link.Edge, m diagnose.Model, stating []*note.Note) []link.Edge {
	used := map[pair]float64{}
	for _, l := range m.Shows {
		used[pair{l.From, l.To}] = l.Strength
	}
	led := map[pair]float64{}
	for _, l := range m.Leads {
		led[pair{l.From, l.To}] = l.Strength
	}
	for i, e := range edges {
		key := pair{e.From, e.To}
		switch e.Link {
		case link.Shows:
			edges[i].Figure.Used = used[key]
			delete(used, key)
		case link.LeadsTo:
			edges[i].Figure.Used = led[key]
		}
	}
	path := map[note.ID]string{}
	for _, n := range stating {
		path[n.ID()] = n.Path
	}
	var implied []link.Edge
	for key, strength := range used {
		implied = append(implied, link.Edge{From: key.from, Link: link.Shows, To: key.to, Note: path[key.to],
			Figure: link.Figure{Stated: strength, Used: strength, Given: true}})
	}
	slices.SortFunc(implied, link.Compare)
	return append(edges, implied...)
}

func adoptRates(rates []link.Rate, m diagnose.Model) []link.Rate {
	used := map[note.ID]float64{}
	for _, c := range m.Causes {
		used[c.ID] = c.Rate
	}
	for symptom, leak := range m.Leak {
		used[symptom] = leak
	}
	for i, r := range rates {
		rates[i].Figure.Used = used[r.Of]
	}
	return rates
}
