package library

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"kg/internal/archive"
	"kg/internal/note"
	"kg/internal/search"
)

// understanding is what came of a description.
type understanding struct {
	// said is what the answer rests on.
	said []Understood
	// heard is every reading of the whole and of its parts, also those that were
	// not taken up: what is dangerous must not be lost with them.
	heard   []Understood
	remarks []string
}

// understand reads a description: codes first, then what is said to be fine,
// then what is wrong, as one thing or as several, whichever fits better.
func (l *Library) understand(ctx context.Context, text string, appliance *scope) (understanding, error) {
	text, codes, remarks, err := l.codes(ctx, text, appliance)
	if err != nil {
		return understanding{}, err
	}
	out := understanding{remarks: remarks}
	clauses := search.Clauses(text)
	var wrong []string
	var fine []search.Clause
	for _, c := range clauses {
		if c.Fine {
			fine = append(fine, c)
		} else {
			wrong = append(wrong, c.Text)
		}
	}
	present, heard, err := l.present(ctx, text, wrong)
	if err != nil {
		return understanding{}, err
	}
	out.said = slices.Concat(codes, present)
	out.heard = slices.Concat(codes, heard)
	if respelled, changed, err := l.index.Respelled(ctx, text); err != nil {
		return understanding{}, err
	} else if changed { // what is dangerous must not be lost with a slip of the finger
		u, err := l.read(ctx, respelled)
		if err != nil {
			return understanding{}, err
		}
		if u != nil {
			out.heard = append(out.heard, *u)
		}
	}
	for _, c := range fine {
		narrowed := l.contradicted(c, out.said)
		u, ok, err := l.absent(ctx, c)
		if err != nil {
			return understanding{}, err
		}
		if !ok && narrowed {
			continue // it has done its work
		}
		if !ok {
			out.remarks = append(out.remarks, fmt.Sprintf("%q says that something is fine; which symptom that rules out is not clear", c.Text))
			continue
		}
		if ruleOut(u.Readings[0].ID, out.said) {
			out.said = append(out.said, u)
		}
	}
	return out, nil
}

// contradicted takes those readings of what is present away that deny what is
// said to be fine, as long as another is left, and reports whether there were any.
func (l *Library) contradicted(c search.Clause, said []Understood) bool {
	narrowed := false
	subject := l.index.Tokens(c.Subject)
	for i, u := range said {
		if !u.Present || u.Code != "" {
			continue
		}
		var kept []Reading
		for _, r := range u.Readings {
			if !search.DeniesAny(strings.Fields(r.Saying), subject) {
				kept = append(kept, r)
			}
		}
		if len(kept) > 0 && len(kept) < len(u.Readings) {
			said[i].Readings = kept
			share(kept)
			narrowed = true
		}
	}
	return narrowed
}

// ruleOut takes an entry out of the readings of what is present. It reports
// false where nothing else would be left: then the words mean that entry after
// all, as in "no hot water, heating fine".
func ruleOut(id note.ID, said []Understood) bool {
	for i, u := range said {
		at := slices.IndexFunc(u.Readings, func(r Reading) bool { return r.ID == id })
		if !u.Present || at < 0 {
			continue
		}
		if len(u.Readings) == 1 {
			return false
		}
		said[i].Readings = slices.Delete(slices.Clone(u.Readings), at, at+1)
		share(said[i].Readings)
	}
	return true
}

// share makes the weights of readings add up to 1.
func share(readings []Reading) {
	sum := 0.0
	for _, r := range readings {
		sum += r.Weight
	}
	for i := range readings {
		readings[i].Weight /= sum
	}
}

// present finds what is wrong. Said as one sentence it may be one symptom
// ("clicks but won't light") or several ("cold radiators, and the pressure
// drops").
func (l *Library) present(ctx context.Context, text string, clauses []string) (said, heard []Understood, err error) {
	var best *Understood
	tries := []string{text}
	if joined := strings.Join(clauses, ", "); joined != text && joined != "" {
		tries = append(tries, joined)
	}
	for _, try := range tries {
		u, err := l.read(ctx, try)
		if err != nil {
			return nil, nil, err
		}
		// What is fine is part of some symptoms' names; leaving it out has to pay.
		if u != nil && (best == nil || u.Readings[0].Rank > withoutFine*best.Readings[0].Rank) {
			best = u
		}
	}
	if best != nil {
		heard = append(heard, *best)
	}
	if len(clauses) < 2 {
		return heard, heard, nil
	}
	var each []Understood
	clear := true
	for _, c := range clauses {
		u, err := l.read(ctx, c)
		if err != nil {
			return nil, nil, err
		}
		if u == nil {
			continue
		}
		heard = append(heard, *u)
		if slices.ContainsFunc(each, func(e Understood) bool { return e.Readings[0].ID == u.Readings[0].ID }) {
			continue
		}
		each = append(each, *u)
		clear = clear && l.telling(*u) && u.clearest() >= clearClause && (best == nil || u.clearest() > best.clearest())
	}
	if best == nil || len(each) > 1 && clear {
		return each, heard, nil
	}
	return append([]Understood{*best}, l.besides(*best, each)...), heard, nil
}

// telling reports whether a clause was understood by more than one word, or is no
// longer than that.
func (l *Library) telling(u Understood) bool {
	matched := l.index.Tokens(strings.Join(u.Readings[0].Words, " "))
	return search.Content(matched) >= min(2, search.Content(l.index.Tokens(u.Text)))
}

// besides returns the clauses that say clearly something of which the reading of
// the whole knows nothing: "no hot water, heating works, and the pressure falls".
func (l *Library) besides(whole Understood, clauses []Understood) []Understood {
	covered := map[string]bool{}
	for _, w := range whole.Readings[0].Words {
		for _, t := range l.index.Tokens(w) {
			covered[t.Term] = true
		}
	}
	var out []Understood
	for _, c := range clauses {
		known := slices.ContainsFunc(whole.Readings, func(r Reading) bool { return r.ID == c.Readings[0].ID })
		if known || c.clearest() < clearClause || !l.telling(c) {
			continue
		}
		tokens := l.index.Tokens(c.Text)
		fresh := 0
		for _, t := range tokens {
			if !covered[t.Term] {
				fresh++
			}
		}
		if float64(fresh) >= mostlyNew*float64(len(tokens)) {
			out = append(out, c)
		}
	}
	return out
}

// read returns the entries that some words may stand for, nil if none is like
// them.
func (l *Library) read(ctx context.Context, text string) (*Understood, error) {
	matches, err := l.index.Match(ctx, text, maxReadings)
	if err != nil {
		return nil, err
	}
	if !slices.ContainsFunc(matches, func(m search.Match) bool { return m.Score >= likeEnough }) {
		return nil, nil
	}
	u := &Understood{Text: strings.TrimSpace(text), Present: true}
	for _, m := range matches {
		if m.Rank < alsoLike*matches[0].Rank {
			break
		}
		r, err := l.reading(m)
		if err != nil {
			return nil, err
		}
		r.Weight = math.Pow(m.Rank/matches[0].Rank, doubtPower)
		u.Readings = append(u.Readings, r)
	}
	share(u.Readings)
	return u, nil
}

func (l *Library) reading(m search.Match) (Reading, error) {
	t, err := l.archive.Title(m.ID)
	return Reading{ID: m.ID, Kind: m.Kind, Name: t.Full, Score: m.Score, Rank: m.Rank, Words: m.Words, Saying: m.Saying, Covers: m.Covers}, err
}

// name is the name of an entry, or its id if its note was left out.
func (l *Library) name(id note.ID) (string, error) {
	t, err := l.archive.Title(id)
	if errors.Is(err, archive.ErrNotFound) {
		return string(id), nil
	}
	return t.Name, err
}

// absent finds the symptom that is ruled out when something is said to be fine:
// the one of just that thing not working. A symptom that is about more than what
// was said does not follow.
func (l *Library) absent(ctx context.Context, c search.Clause) (Understood, bool, error) {
	const several = 20 // since those about more than was said come in between
	opposite := "no " + c.Subject + " not working"
	matches, err := l.index.Match(ctx, opposite, several)
	if err != nil {
		return Understood{}, false, err
	}
	said := map[string]bool{}
	for _, t := range l.index.Tokens(opposite + " not coming on at all") {
		said[t.Term] = true
	}
	for _, m := range matches {
		beyond := slices.ContainsFunc(strings.Fields(m.Saying), func(t string) bool { return !said[t] })
		if m.Kind != note.KindSymptom || beyond || m.Score < likeForAbsent {
			continue
		}
		r, err := l.reading(m)
		if err != nil {
			return Understood{}, false, err
		}
		r.Weight = 1
		return Understood{Text: c.Text, Readings: []Reading{r}}, true, nil
	}
	return Understood{}, false, nil
}
