package library

import (
	"kg/internal/note"
	"kg/internal/search"
)

// A stop-work symptom nearly as likely as the best reading is taken seriously: a
// false alarm costs less than a missed one. It ends the diagnosis where the
// words are clear, else the answer begins with it. One whose words were denied
// ("no gas smell") is no alarm.
const (
	asGraveAs = 0.8
	maybeStop = 0.45
	sureStop  = 0.55
	allSaid   = 0.80 // how much of a saying has to be said for it to be sure
	mostSaid  = 0.70 // the same for the reading that the words are most like
)

// stop returns the stop-work symptom among what was heard, if any, a sure one
// before one that may be meant.
func (l *Library) stop(heard []Understood) (*Stop, error) {
	var maybe *Stop
	for _, u := range heard {
		for i, r := range u.Readings {
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
			s := &Stop{Symptom: e.ID, Name: e.Name, First: e.StopWork, Note: rec.Path, Sure: r.Score >= sureStop && (r.Covers >= allSaid || i == 0 && r.Covers >= mostSaid)}
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
	return search.Denies(search.Terms(l.index.Tokens(u.Text))) && !search.Denies(r.Saying)
}
