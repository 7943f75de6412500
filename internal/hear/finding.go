package hear

import (
	"slices"

	"kg/internal/diagnose"
	"kg/internal/note"
)

// Sense is one entry that some words may stand for.
type Sense struct {
	ID     note.ID   `json:"id"`
	Kind   note.Kind `json:"kind"`
	Name   string    `json:"name"`
	Score  float64   `json:"score"`  // probability that the words mean it
	Weight float64   `json:"weight"` // how well it explains the words, as a share among their senses
	prior  float64   // its share among what hearing was taught by
}

// Finding is one thing that was said, with the entries it may stand for, the
// likeliest first.
type Finding struct {
	Text    string  `json:"text"`
	Present bool    `json:"present"`
	Senses  []Sense `json:"senses"`
	// Code is set when the words are a code of an appliance.
	Code string `json:"code,omitempty"`
	// Words are how much each word speaks for the first sense, where that was asked
	// for.
	Words []Word `json:"words,omitempty"`
}

// Doubtful reports whether a second sense is about as good as the first.
func (u Finding) Doubtful() bool {
	return len(u.Senses) > 1 && u.Senses[1].Weight > 0.5*u.Senses[0].Weight
}

// Settled is the finding with the senses that an answer names: all of them in doubt, else
// the first alone. What the others would have said speaks for nothing then.
func (u Finding) Settled() Finding {
	if len(u.Senses) < 2 || u.Doubtful() {
		return u
	}
	u.Senses = slices.Clone(u.Senses[:1])
	u.Senses[0].Weight = 1
	return u
}

// weigh works out how well each sense explains the words: its probability, without
// what hearing expected of it beforehand. That is in the diagnosis, by the rates of
// causes, and would count twice.
func (u *Finding) weigh() {
	mean, known := 0.0, 0
	for _, s := range u.Senses {
		if s.prior > 0 {
			mean += s.prior
			known++
		}
	}
	mean /= float64(max(known, 1))
	for i, s := range u.Senses {
		u.Senses[i].Weight = s.Score
		if s.prior > 0 {
			// Of what was seldom taught, little is known of how seldom it is said.
			u.Senses[i].Weight *= min(mostRare, max(1/mostRare, mean/s.prior))
		}
	}
	share(u.Senses)
}

const mostRare = 3.0

// Evidence is the finding as evidence for a diagnosis: its senses, and that the words
// mean something else.
func (u Finding) Evidence() diagnose.Finding {
	f := diagnose.Finding{Label: string(u.Senses[0].ID), Absent: !u.Present}
	unsure := 0.0
	if u.Present {
		unsure = 1.0
		for _, r := range u.Senses {
			unsure -= r.Score
		}
		unsure = max(0, unsure)
		if u.Code != "" {
			unsure = 0
		}
		f.Senses = append(f.Senses, diagnose.Sense{Weight: unsure})
	}
	for _, r := range u.Senses {
		f.Senses = append(f.Senses, diagnose.Sense{ID: r.ID, IsCause: r.Kind == note.KindMode, Weight: r.Weight * (1 - unsure)})
	}
	return f
}

// Bounds on the likeness of words to sayings.
const (
	likeEnough = 0.30 // below it words stand for nothing that we know
	clearLike  = 0.60 // below it they may stand for something else
	// sameWords is the likeness of what is said in a saying's own words.
	sameWords = 0.999
	// likeForAbsent is the same for what is said to be fine.
	likeForAbsent = 0.45
	mostSenses    = 6
	doubtPower    = 8 // how fast the probability of an entry falls with its likeness
)

// ruleOut takes an entry out of the senses of what is present. It reports
// false where nothing else would be left: then the words mean that entry after
// all, as in "no hot water, heating fine".
func ruleOut(id note.ID, said []Finding) bool {
	for i, u := range said {
		at := slices.IndexFunc(u.Senses, func(r Sense) bool { return r.ID == id })
		if !u.Present || at < 0 {
			continue
		}
		if len(u.Senses) == 1 {
			return false
		}
		said[i].Senses = slices.Delete(slices.Clone(u.Senses), at, at+1)
		share(said[i].Senses)
	}
	return true
}

// share makes the weights of senses add up to 1.
func share(senses []Sense) {
	sum := 0.0
	for _, r := range senses {
		sum += r.Weight
	}
	for i := range senses {
		senses[i].Weight /= sum
	}
}
