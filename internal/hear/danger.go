package hear

import (
	"slices"
	"strings"

	"kg/internal/note"
	"kg/internal/term"
)

// A stop-work symptom nearly as likely as the best sense is taken seriously: a
// false alarm costs less than a missed one. It ends the diagnosis where the
// words are clear, else the answer begins with it. One whose words were denied
// ("no gas smell") is no alarm.
const (
	asGraveAs = 0.8
	maybeStop = 0.45
	sureStop  = 0.55
	allSaid   = 0.80 // how much of a saying has to be said for it to be sure
	mostSaid  = 0.70 // the same for the sense that the words are most like
)

// danger returns the stop-work symptom among what was heard, if any, a sure one
// before one that may be meant.
func (e *ear) danger(heard []Finding) (*Danger, error) {
	var maybe *Danger
	for _, u := range heard {
		for i, r := range u.Senses {
			if r.Kind != note.KindSymptom || r.Score < max(maybeStop, asGraveAs*u.clearest()) || e.denies(u, r) {
				continue
			}
			rec, err := e.Get(r.ID)
			if err != nil {
				return nil, err
			}
			symptom, ok := rec.Entry.(*note.Symptom)
			if !ok || len(symptom.StopWork) == 0 {
				continue
			}
			s := &Danger{Symptom: symptom.ID, Name: symptom.Name, First: symptom.StopWork, Note: rec.Path, Sure: r.Score >= sureStop && (r.Covers >= allSaid || i == 0 && r.Covers >= mostSaid)}
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

// Danger is a symptom that ends all work, and what to do first. It is sure when the
// words were clear; if not, they may have meant something else.
type Danger struct {
	Sure    bool     `json:"sure"`
	Symptom note.ID  `json:"symptom"`
	Name    string   `json:"name"`
	First   []string `json:"first"`
	Note    string   `json:"note"`
}

// denies reports whether words deny what a sense of them says: by a negation that
// governs one of its own words, not by one that stands anywhere beside it ("smell of
// gas for no reason").
func (e *ear) denies(u Finding, r Sense) bool {
	if u.Code != "" {
		return false
	}
	if term.Denies(r.Saying) {
		return false
	}
	tokens := term.List(e.Tokens(u.Text))
	denied := map[string]bool{}
	for i, t := range tokens {
		if what, is := strings.CutPrefix(t, term.Denied); is && !affirms(tokens[:i]) {
			denied[what] = true
		}
	}
	return slices.ContainsFunc(strings.Fields(r.Saying), func(t string) bool { return denied[t] })
}

// affirming are the terms whose denial says that something is there: what won't
// stop goes on, what nobody can find the place of is somewhere.
var affirming = []string{"stop", "find", "know", "tell", "idea", "reason", "sure"}

// affirms reports whether the last negation among some terms is of such a one.
func affirms(before []string) bool {
	for _, t := range slices.Backward(before) {
		if t == term.Negation {
			return false
		}
		if what, is := strings.CutPrefix(t, term.Denied); is && slices.Contains(affirming, what) {
			return true
		}
	}
	return false
}
