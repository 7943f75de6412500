package library

import (
	"kg/internal/diagnose"
	"kg/internal/note"
)

// Reading is one entry that some words may stand for.
type Reading struct {
	ID     note.ID   `json:"id"`
	Kind   note.Kind `json:"kind"`
	Name   string    `json:"name"`
	Score  float64   `json:"score"`  // likeness of the words, 0 to 1
	Rank   float64   `json:"rank"`   // what readings of the same words are ordered by
	Weight float64   `json:"weight"` // share among the readings of these words
	Saying string    `json:"-"`      // the phrase that matched, as terms
	Covers float64   `json:"covers"` // how much of that phrase was said, 0 to 1
	Words  []string  `json:"words,omitempty"`
}

// Understood is one thing that was said, with the entries it may stand for, the
// likeliest first.
type Understood struct {
	Text     string    `json:"text"`
	Present  bool      `json:"present"`
	Readings []Reading `json:"readings"`
	// Code is set when the words are a code of an appliance.
	Code string `json:"code,omitempty"`
}

// Doubtful reports whether a second reading is about as good as the first.
func (u Understood) Doubtful() bool {
	return len(u.Readings) > 1 && u.Readings[1].Weight > 0.5*u.Readings[0].Weight
}

// clearest is the best likeness of all readings.
func (u Understood) clearest() float64 {
	best := 0.0
	for _, r := range u.Readings {
		best = max(best, r.Score)
	}
	return best
}

func (u Understood) finding() diagnose.Finding {
	f := diagnose.Finding{Label: string(u.Readings[0].ID), Absent: !u.Present}
	unsure := 0.0
	if u.Present {
		unsure = max(0, clearLike-u.clearest()) / clearLike
		f.Readings = append(f.Readings, diagnose.Reading{Weight: unsure})
	}
	for _, r := range u.Readings {
		f.Readings = append(f.Readings, diagnose.Reading{ID: diagnose.ID(r.ID), IsCause: r.Kind == note.KindMode, Weight: r.Weight * (1 - unsure)})
	}
	return f
}

// Thresholds on the likeness of words.
const (
	likeEnough    = 0.30 // below it words stand for nothing that we know
	clearLike     = 0.60 // below it they may stand for something else
	likeForAbsent = 0.45 // what is said to be fine has to be clear
	alsoLike      = 0.75 // of the best: other readings that stay in
	withoutFine   = 1.15 // how much better the words have to fit without what is said to be fine
	clearClause   = 0.70 // from it on a clause says something by itself
	mostlyNew     = 0.60 // part of the words of a clause of which the whole knows nothing
	maxReadings   = 6
	doubtPower    = 8 // how fast the weight of a reading falls with its likeness
)
