package hear

import (
	"cmp"
	"errors"
	"slices"

	"kg/internal/archive"
	"kg/internal/classify"
	"kg/internal/note"
	"kg/internal/portable"
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

// nearPart is the part that the nearest sayings of the library have beside what was
// learned. Of an entry that is not among what was learned, such as a team's own, they
// decide alone. In the screen for dangers they have no other part: likeness to a saying
// raises more false alarms than it finds dangers.
const nearPart = 0.2

// verbatimPart is the same where the words are one of those sayings.
const verbatimPart = 0.5

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
	taught, asMeant, u, lost, err := e.taught(text, words.around)
	if err != nil {
		return understood{}, err
	}
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
	u.meaning = e.mixed(asMeant.waiting(e.waited, waitedPart), lost, near, part)
	u.screened = e.mixed(taught.waiting(e.waited, waitedScreened), lost, near, 0)
	e.guessed[words] = u
	return u, nil
}

// mixed is what was learned together with what is nearest, which has some part.
func (e *ear) mixed(taught guesses, lost float64, near guesses, nearPart float64) guesses {
	out := slices.Clone(taught)
	// What is not in the library takes no part: the others share what is left.
	left := 1 - lost
	learns := left > 0.5
	total := 0.0
	if learns {
		for i := range out {
			out[i].p *= (1 - nearPart) / left
		}
		total = 1 - nearPart
	} else {
		out = nil
	}
	known := 1.0 // the part of the nearest where something was learned
	if learns {
		known = nearPart
	}
	unclear := 1.0
	for _, n := range near {
		unclear -= n.p
		part := 1.0
		if e.learned.known[n.ID] {
			part = known
		}
		total += float64(part * n.p)
		if at := slices.IndexFunc(out, func(x guess) bool { return x.Meaning == n.Meaning }); at >= 0 {
			out[at].p += float64(part * n.p)
		} else {
			n.p *= part
			out = append(out, n)
		}
	}
	total += float64(known * max(0, unclear))
	out = slices.DeleteFunc(out, func(x guess) bool {
		if x.Says != ThereSaid || !slices.Contains(e.not, x.ID) {
			return x.p == 0
		}
		total -= x.p // it is not meant: the others share what it had
		return true
	})
	for i := range out {
		out[i].p /= max(total, faint)
	}
	slices.SortFunc(out, func(a, b guess) int {
		return cmp.Or(cmp.Compare(b.p, a.p), cmp.Compare(a.ID, b.ID), cmp.Compare(a.Says, b.Says), cmp.Compare(a.Result, b.Result))
	})
	return out
}

// How much of what is said after a test was asked for tells what it found. No source:
// our own assumption; whoever was told to do a test speaks of it next. The screen for
// dangers expects it less.
const (
	waitedPart     = 2.0 / 3
	waitedScreened = 0.2
)

// waiting are guesses of words of which some part is expected to tell of some tests,
// instead of the part that this had among what hearing was taught by.
func (g guesses) waiting(tests []note.ID, part float64) guesses {
	usual := 0.0
	waited := func(x guess) bool { return x.Says == ResultSaid && slices.Contains(tests, x.ID) }
	for _, x := range g {
		if waited(x) {
			usual += x.prior
		}
	}
	if usual == 0 || usual >= part {
		return g
	}
	likelier := part / (1 - part) * (1 - usual) / usual
	out := slices.Clone(g)
	sum := 1.0
	for i, x := range out {
		if waited(x) {
			out[i].p = float64(likelier * x.p)
			sum += out[i].p - x.p
		}
	}
	for i := range out {
		out[i].p /= sum
	}
	return out
}

// taught is what was learned about some words, if they say one thing, as it is and so
// that it agrees with their tone; how grave that is and whether they say one thing, and
// the probability of what the library does not have.
func (e *ear) taught(text, around string) (out, toned guesses, u understood, lost float64, err error) {
	features := Features(text, e.tokens(text), e.tokens(around))
	p, known := e.learned.weights.Scores(features)
	if known == 0 {
		return nil, nil, u, 1, nil
	}
	classify.Probabilities(p)
	u.several = e.learned.oneThing(p)
	tones, _ := e.learned.tones.Scores(features)
	classify.Probabilities(tones)
	u.grave = tones[GraveTone]
	q := e.learned.toned(p, tones)
	for k, p := range p {
		m := e.learned.meanings[k]
		if m.Says == NothingKnown || m.Says == SeveralSaid || max(p, q[k]) < faint && !slices.Contains(e.waited, m.ID) {
			continue
		}
		t, err := e.Title(m.ID)
		if errors.Is(err, archive.ErrNotFound) {
			lost += p
			continue
		}
		if err != nil {
			return nil, nil, u, 0, err
		}
		g := guess{Meaning: m, kind: t.Kind, p: p, prior: e.learned.shares[k]}
		out = append(out, g)
		g.p = q[k]
		toned = append(toned, g)
	}
	return out, toned, u, lost, nil
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

// nearest are the entries whose sayings are like some words, with the doubt that is
// left where none is very like them, and the one that has the words among its sayings.
func (e *ear) nearest(text string) (out guesses, verbatim note.ID, err error) {
	matches, err := e.match(text, mostSenses)
	if err != nil || len(matches) == 0 || matches[0].Score < likeEnough {
		return nil, "", err
	}
	if matches[0].Score >= sameWords {
		verbatim = matches[0].ID
	}
	sum := 0.0
	for _, m := range matches {
		w := portable.Pow(m.Rank/matches[0].Rank, doubtPower)
		sum += w
		out = append(out, guess{Meaning: Meaning{Says: ThereSaid, ID: m.ID}, kind: m.Kind, p: w})
	}
	clear := min(1, matches[0].Score/clearLike)
	for i := range out {
		out[i].p *= clear / sum
	}
	return out, verbatim, nil
}
