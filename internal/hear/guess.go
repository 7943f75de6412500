package hear

import (
	"slices"

	"kg/internal/note"
)

// guess is how probable it is that some words say one thing.
type guess struct {
	Meaning
	kind  note.Kind
	p     float64
	prior float64 // share of the meaning among what hearing was taught by
}

// guesses are all that some words may say, the likeliest first; the rest to 1 is
// nothing that is known.
type guesses []guess

// nothing is the probability that the words say nothing that is known.
func (g guesses) nothing() float64 {
	p := 1.0
	for _, x := range g {
		p -= x.p
	}
	return max(0, p)
}

// of is the probability of a meaning.
func (g guesses) of(m Meaning) float64 {
	for _, x := range g {
		if x.Meaning == m {
			return x.p
		}
	}
	return 0
}

// said are guesses with an entry that has the words as its own. It only adds to them:
// no saying of a note can hide a danger that the words are heard as.
func (g guesses) said(verbatim note.ID) guesses {
	if verbatim == "" {
		return g
	}
	return append(slices.Clip(g), guess{Meaning: Meaning{Says: ThereSaid, ID: verbatim}, kind: note.KindSymptom, p: 1})
}

// faint is the probability below which a meaning is not looked at.
const faint = 0.004

// understood is what some words may say: as their meaning, and for the screen.
type understood struct {
	meaning, screened guesses
	grave             float64 // probability that their tone is that of a danger
	several           float64 // probability that they say more than one thing
	verbatim          note.ID // the entry that has the words as one of its sayings, if any
}

// listened is some words, and whether their nearest sayings were looked for, which takes
// far longer than what was learned.
type listened struct {
	text    string
	around  string // what is told before and after them
	nearest bool
}

// guess works out what some words may say, once for the same words.
func (e *ear) guess(words listened) (understood, error) {
	if u, done := e.guessed[words]; done {
		return u, nil
	}
	text := words.text
	taught, err := e.taught(text, words.around)
	if err != nil {
		return understood{}, err
	}
	u := understood{grave: taught.grave, several: taught.several}
	var near guesses
	if words.nearest {
		if near, u.verbatim, err = e.nearest(text); err != nil {
			return understood{}, err
		}
	}
	part := nearPart
	if u.verbatim != "" {
		part = verbatimPart
	}
	u.meaning = e.mixed(taught.toned.waiting(e.waited, waitedPart), taught.lost, near, part)
	u.screened = e.mixed(taught.asIs.waiting(e.waited, waitedScreened), taught.lost, near, 0)
	e.guessed[words] = u
	return u, nil
}
