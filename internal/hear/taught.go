package hear

import (
	"errors"
	"slices"

	"kg/internal/archive"
	"kg/internal/classify"
)

// learnt is what was learned about some words, if they say one thing.
type learnt struct {
	asIs, toned guesses // as it is, and so that it agrees with their tone
	grave       float64 // how probable it is that their tone is that of a danger
	several     float64 // that they say more than one thing
	lost        float64 // the probability of what the library does not have
}

// taught is what was learned about some words.
func (e *ear) taught(text, around string) (learnt, error) {
	tokens, beside := e.tokens(text), e.tokens(around)
	features := Features(text, tokens, beside)
	p, known := e.learned.weights.Scores(features)
	if known == 0 {
		return learnt{lost: 1}, nil
	}
	classify.Probabilities(p)
	out := learnt{several: e.learned.oneThing(p)}
	tones, _ := e.learned.tones.Scores(features)
	classify.Probabilities(tones)
	out.grave = tones[GraveTone]
	q := e.learned.toned(p, tones)
	for k, p := range p {
		m := e.learned.meanings[k]
		if m.Says == NothingKnown || m.Says == SeveralSaid || max(p, q[k]) < faint && !slices.Contains(e.waited, m.ID) {
			continue
		}
		t, err := e.Title(m.ID)
		if errors.Is(err, archive.ErrNotFound) {
			out.lost += p
			continue
		}
		if err != nil {
			return learnt{}, err
		}
		g := guess{Meaning: m, kind: t.Kind, p: p, prior: e.learned.shares[k]}
		out.asIs = append(out.asIs, g)
		g.p = q[k]
		out.toned = append(out.toned, g)
	}
	return out, nil
}

// oneThing takes from probabilities what more than one thing has, and returns it: the
// others share what is left.
func (l *Learned) oneThing(p []float64) (several float64) {
	if l.several < 0 {
		return 0
	}
	several = min(p[l.several], 1-certainly)
	for k := range p {
		p[k] /= 1 - several
	}
	p[l.several] = 0
	return several
}
