package hear

import (
	"kg/internal/diagnose"
	"kg/internal/library"
	"kg/internal/note"
	"kg/internal/term"
)

// Sense is one entry that some words may stand for.
type Sense struct {
	ID     note.ID   `json:"id"`
	Kind   note.Kind `json:"kind"`
	Name   string    `json:"name"`
	Score  float64   `json:"score"`  // likeness of the words, 0 to 1
	Rank   float64   `json:"rank"`   // what senses of the same words are ordered by
	Weight float64   `json:"weight"` // share among the senses of these words
	Saying string    `json:"-"`      // the phrase that matched, as terms
	Covers float64   `json:"covers"` // how much of that phrase was said, 0 to 1
	Words  []string  `json:"words,omitempty"`
}

// Finding is one thing that was said, with the entries it may stand for, the
// likeliest first.
type Finding struct {
	Text    string  `json:"text"`
	Present bool    `json:"present"`
	Senses  []Sense `json:"senses"`
	// Code is set when the words are a code of an appliance.
	Code string `json:"code,omitempty"`
}

// Doubtful reports whether a second sense is about as good as the first.
func (u Finding) Doubtful() bool {
	return len(u.Senses) > 1 && u.Senses[1].Weight > 0.5*u.Senses[0].Weight
}

// clearest is the best likeness of all senses.
func (u Finding) clearest() float64 {
	best := 0.0
	for _, r := range u.Senses {
		best = max(best, r.Score)
	}
	return best
}

// Evidence is the finding as evidence for a diagnosis.
func (u Finding) Evidence() diagnose.Finding {
	f := diagnose.Finding{Label: string(u.Senses[0].ID), Absent: !u.Present}
	unsure := 0.0
	if u.Present {
		unsure = max(0, clearLike-u.clearest()) / clearLike
		f.Senses = append(f.Senses, diagnose.Sense{Weight: unsure})
	}
	for _, r := range u.Senses {
		f.Senses = append(f.Senses, diagnose.Sense{ID: r.ID, IsCause: r.Kind == note.KindMode, Weight: r.Weight * (1 - unsure)})
	}
	return f
}

// Thresholds on the likeness of words.
const (
	likeEnough    = 0.30 // below it words stand for nothing that we know
	clearLike     = 0.60 // below it they may stand for something else
	likeForAbsent = 0.45 // what is said to be fine has to be clear
	alsoLike      = 0.75 // of the best: other senses that stay in
	withoutFine   = 1.15 // how much better the words have to fit without what is said to be fine
	clearClause   = 0.70 // from it on a clause says something by itself
	mostlyNew     = 0.60 // part of the words of a clause of which the whole knows nothing
	mostSenses    = 6
	doubtPower    = 8 // how fast the weight of a sense falls with its likeness
)

// Saying returns the phrase that a sense was heard by, as it is written in the
// note.
func Saying(lib *library.Library, s Sense) (string, error) {
	rec, err := lib.Get(s.ID)
	if err != nil {
		return "", err
	}
	component := ""
	if m, ok := rec.Entry.(*note.Mode); ok {
		if component, err = lib.Name(m.Component); err != nil {
			return "", err
		}
	}
	for _, phrase := range note.Sayings(rec.Entry, component) {
		if term.Terms(lib.Tokens(phrase)) == s.Saying {
			return phrase, nil
		}
	}
	return s.Name, nil
}
