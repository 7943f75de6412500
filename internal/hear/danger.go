package hear

import (
	"cmp"
	"context"
	"slices"

	"kg/internal/link"
	"kg/internal/note"
)

// The screen for dangers. Its bounds were chosen on speakers that it had not been
// taught by (bench/hearing, README of speech): a question costs less than a danger
// that is lost.
const (
	maybeStop = 0.055
	sureStop  = 0.99
	// partTrust is how far a danger counts that only a part of what was said tells of:
	// without the rest, words may mean what they do not. More of it raises more false
	// alarms; less of it loses a danger that is told beside an ordinary fault.
	partTrust = 0.5
	// grave is how probable a danger has to be to be named beside a likelier one.
	grave = 0.25
	// mayShow is the probability from which on a failure mode is looked at for the
	// dangers that it shows.
	mayShow = 0.02
)

// Danger is a symptom that ends all work, and what to do first. It is sure when the
// words were clear; if not, they may have meant something else, and that has to be
// asked before anything else.
type Danger struct {
	Sure    bool     `json:"sure"`
	Symptom note.ID  `json:"symptom"`
	Name    string   `json:"name"`
	First   []string `json:"first"`
	Note    string   `json:"note"`
	// Or is another one that may be meant as well.
	Or *Danger `json:"or,omitempty"`
}

// All are the danger and the one that may be meant as well.
func (d *Danger) All() []*Danger {
	if d.Or == nil {
		return []*Danger{d}
	}
	return []*Danger{d, d.Or}
}

// alarm is how probable a danger is, by the words that say it most clearly.
type alarm struct {
	symptom *note.Symptom
	path    string
	p       float64
}

// screen gathers alarms over all that is listened to.
type screen struct {
	*ear
	alarms []alarm
	sum    float64 // highest probability of any danger by the same words
	stops  map[note.ID]*alarm
}

// stop returns a symptom that stops the work, nil for any other entry.
func (s *screen) stop(id note.ID) (*alarm, error) {
	if a, done := s.stops[id]; done {
		return a, nil
	}
	rec, err := s.Get(id)
	if err != nil {
		return nil, err
	}
	var a *alarm
	if symptom, ok := rec.Entry.(*note.Symptom); ok && len(symptom.StopWork) > 0 {
		a = &alarm{symptom: symptom, path: rec.Path}
	}
	s.stops[id] = a
	return a, nil
}

// all takes in what a text says: by its codes, and by each of its windows.
func (s *screen) all(ctx context.Context, codes []Finding, windows [][]window) error {
	if err := s.code(codes); err != nil {
		return err
	}
	if len(windows) == 0 {
		return nil
	}
	whole := windows[0][len(windows[0])-1].grave
	for i, row := range windows {
		for j, w := range row {
			trust := 1.0
			if i > 0 || j+1 < len(row) {
				trust = partTrust
				w.grave = amid(whole, w.grave)
			}
			if err := s.hear(ctx, w, trust); err != nil {
				return err
			}
		}
	}
	return nil
}

// code takes in what codes stand for.
func (s *screen) code(codes []Finding) error {
	for _, c := range codes {
		for _, sense := range c.Senses {
			a, err := s.stop(sense.ID)
			if err != nil {
				return err
			}
			if a != nil && !slices.Contains(s.not, sense.ID) {
				s.raised(a, sense.Weight)
				s.sum = max(s.sum, sense.Weight)
			}
		}
	}
	return nil
}

// hear takes in what a window may say, with how far it is to be trusted.
func (s *screen) hear(ctx context.Context, w window, trust float64) error {
	by := map[note.ID]float64{}
	var order []note.ID
	raise := func(id note.ID, p float64) error {
		if slices.Contains(s.not, id) {
			return nil
		}
		a, err := s.stop(id)
		if err != nil || a == nil {
			return err
		}
		if _, seen := by[id]; !seen {
			order = append(order, id)
		}
		by[id] = min(trust, by[id]+float64(trust*p))
		return nil
	}
	for _, x := range w.screened.said(w.verbatim) {
		if x.Says != ThereSaid || x.kind == note.KindMode {
			continue
		}
		if err := raise(x.ID, x.p); err != nil {
			return err
		}
	}
	sum := 0.0
	for _, id := range order {
		sum += by[id]
	}
	if len(order) > 0 && by[w.verbatim] < trust { // a danger in its own words needs no tone
		sum = asGrave(sum, w.grave)
	}
	// A mode that shows a danger raises it, by how it is heard with the nearest sayings
	// too: there are few sayings of modes, and nobody taught how grave they sound.
	most := 0.0
	for _, x := range w.guesses {
		if x.Says != ThereSaid || x.kind != note.KindMode || x.p < mayShow {
			continue
		}
		edges, err := s.Out(ctx, x.ID, link.Shows)
		if err != nil {
			return err
		}
		none := 1.0 // of its dangers is there
		for _, edge := range edges {
			if err := raise(edge.To, float64(x.p*edge.Figure.Used)); err != nil {
				return err
			}
			if s.stops[edge.To] != nil && !slices.Contains(s.not, edge.To) {
				none *= 1 - edge.Figure.Used
			}
		}
		most = max(most, float64(trust*x.p*(1-none)))
	}
	for _, id := range order {
		s.raised(s.stops[id], by[id])
	}
	s.sum = max(s.sum, most, min(1, sum))
	return nil
}

// join takes in what another screen has gathered of other words.
func (s *screen) join(other *screen) {
	for _, a := range other.alarms {
		s.raised(&a, a.p)
	}
	s.sum = max(s.sum, other.sum)
}

// raised notes an alarm; the clearest of one danger counts.
func (s *screen) raised(a *alarm, p float64) {
	for i := range s.alarms {
		if s.alarms[i].symptom.ID == a.symptom.ID {
			s.alarms[i].p = max(s.alarms[i].p, p)
			return
		}
	}
	raised := *a
	raised.p = p
	s.alarms = append(s.alarms, raised)
}

// danger is what ends all work: one that is sure, or up to two that may be meant.
func (s *screen) danger() *Danger {
	if s.sum < maybeStop {
		return nil
	}
	slices.SortStableFunc(s.alarms, func(a, b alarm) int {
		return cmp.Or(cmp.Compare(b.p, a.p), cmp.Compare(a.symptom.ID, b.symptom.ID))
	})
	first := s.alarms[0].danger()
	if s.sum >= sureStop {
		first.Sure = true
		return first
	}
	if len(s.alarms) > 1 && s.alarms[1].p >= grave*s.alarms[0].p {
		first.Or = s.alarms[1].danger()
	}
	return first
}

func (a alarm) danger() *Danger {
	return &Danger{Symptom: a.symptom.ID, Name: a.symptom.Name, First: a.symptom.StopWork, Note: a.path}
}
