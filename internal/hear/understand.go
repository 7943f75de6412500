package hear

import (
	"fmt"
	"slices"
	"strings"

	"kg/internal/library"
	"kg/internal/note"
	"kg/internal/portable"
	"kg/internal/term"
)

// understanding is what came of a description.
type understanding struct {
	// said is what the answer rests on.
	said []Finding
	// heard is every sense of the whole and of its parts, also those that were
	// not taken up: what is dangerous must not be lost with them.
	heard   []Finding
	remarks []string
}

// understand reads a description: codes first, then what is said to be fine,
// then what is wrong, as one thing or as several, whichever fits better.
func (e *ear) understand(text string, appliance *library.Scope) (understanding, error) {
	text, codes, remarks, err := e.codes(text, appliance)
	if err != nil {
		return understanding{}, err
	}
	out := understanding{remarks: remarks}
	clauses := term.Clauses(text)
	var wrong []string
	var fine []term.Clause
	for _, c := range clauses {
		if c.Fine {
			fine = append(fine, c)
		} else {
			wrong = append(wrong, c.Text)
		}
	}
	present, heard, err := e.present(text, wrong)
	if err != nil {
		return understanding{}, err
	}
	out.said = slices.Concat(codes, present)
	out.heard = slices.Concat(codes, heard)
	if respelled, changed, err := e.respelled(text); err != nil {
		return understanding{}, err
	} else if changed { // what is dangerous must not be lost with a slip of the finger
		u, err := e.read(respelled)
		if err != nil {
			return understanding{}, err
		}
		if u != nil {
			out.heard = append(out.heard, *u)
		}
	}
	for _, c := range fine {
		narrowed := e.contradicted(c, out.said)
		u, ok, err := e.absent(c)
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
		if ruleOut(u.Senses[0].ID, out.said) {
			out.said = append(out.said, u)
		}
	}
	return out, nil
}

// contradicted takes those senses of what is present away that deny what is
// said to be fine, as long as another is left, and reports whether there were any.
func (e *ear) contradicted(c term.Clause, said []Finding) bool {
	narrowed := false
	subject := e.Tokens(c.Subject)
	for i, u := range said {
		if !u.Present || u.Code != "" {
			continue
		}
		var kept []Sense
		for _, r := range u.Senses {
			if !term.DeniesAny(strings.Fields(r.Saying), subject) {
				kept = append(kept, r)
			}
		}
		if len(kept) > 0 && len(kept) < len(u.Senses) {
			said[i].Senses = kept
			share(kept)
			narrowed = true
		}
	}
	return narrowed
}

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

// present finds what is wrong. Said as one sentence it may be one symptom
// ("clicks but won't light") or several ("cold radiators, and the pressure
// drops").
func (e *ear) present(text string, clauses []string) (said, heard []Finding, err error) {
	var best *Finding
	tries := []string{text}
	if joined := strings.Join(clauses, ", "); joined != text && joined != "" {
		tries = append(tries, joined)
	}
	for _, try := range tries {
		u, err := e.read(try)
		if err != nil {
			return nil, nil, err
		}
		// What is fine is part of some symptoms' names; leaving it out has to pay.
		if u != nil && (best == nil || u.Senses[0].Rank > withoutFine*best.Senses[0].Rank) {
			best = u
		}
	}
	if best != nil {
		heard = append(heard, *best)
	}
	if len(clauses) < 2 {
		return heard, heard, nil
	}
	var each []Finding
	clear := true
	for _, c := range clauses {
		u, err := e.read(c)
		if err != nil {
			return nil, nil, err
		}
		if u == nil {
			continue
		}
		heard = append(heard, *u)
		if slices.ContainsFunc(each, func(f Finding) bool { return f.Senses[0].ID == u.Senses[0].ID }) {
			continue
		}
		each = append(each, *u)
		clear = clear && e.telling(*u) && u.clearest() >= clearClause && (best == nil || u.clearest() > best.clearest())
	}
	if best == nil || len(each) > 1 && clear {
		return each, heard, nil
	}
	return append([]Finding{*best}, e.besides(*best, each)...), heard, nil
}

// telling reports whether a clause was understood by more than one word, or is no
// longer than that.
func (e *ear) telling(u Finding) bool {
	matched := e.Tokens(strings.Join(u.Senses[0].Words, " "))
	return term.Content(matched) >= min(2, term.Content(e.Tokens(u.Text)))
}

// besides returns the clauses that say clearly something of which the sense of
// the whole knows nothing: "no hot water, heating works, and the pressure falls".
func (e *ear) besides(whole Finding, clauses []Finding) []Finding {
	covered := map[string]bool{}
	for _, w := range whole.Senses[0].Words {
		for _, t := range e.Tokens(w) {
			covered[t.Term] = true
		}
	}
	var out []Finding
	for _, c := range clauses {
		known := slices.ContainsFunc(whole.Senses, func(r Sense) bool { return r.ID == c.Senses[0].ID })
		if known || c.clearest() < clearClause || !e.telling(c) {
			continue
		}
		tokens := e.Tokens(c.Text)
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
func (e *ear) read(text string) (*Finding, error) {
	matches, err := e.match(text, mostSenses)
	if err != nil {
		return nil, err
	}
	if !slices.ContainsFunc(matches, func(m Match) bool { return m.Score >= likeEnough }) {
		return nil, nil
	}
	u := &Finding{Text: strings.TrimSpace(text), Present: true}
	for _, m := range matches {
		if m.Rank < alsoLike*matches[0].Rank {
			break
		}
		r, err := e.sense(m)
		if err != nil {
			return nil, err
		}
		r.Weight = portable.Pow(m.Rank/matches[0].Rank, doubtPower)
		u.Senses = append(u.Senses, r)
	}
	share(u.Senses)
	return u, nil
}

func (e *ear) sense(m Match) (Sense, error) {
	t, err := e.Title(m.ID)
	return Sense{ID: m.ID, Kind: m.Kind, Name: t.Full, Score: m.Score, Rank: m.Rank, Words: m.Words, Saying: m.Saying, Covers: m.Covers}, err
}

// absent finds the symptom that is ruled out when something is said to be fine:
// the one of just that thing not working. A symptom that is about more than what
// was said does not follow.
func (e *ear) absent(c term.Clause) (Finding, bool, error) {
	const several = 20 // since those about more than was said come in between
	opposite := "no " + c.Subject + " not working"
	matches, err := e.match(opposite, several)
	if err != nil {
		return Finding{}, false, err
	}
	said := map[string]bool{}
	for _, t := range e.Tokens(opposite + " not coming on at all") {
		said[t.Term] = true
	}
	for _, m := range matches {
		beyond := slices.ContainsFunc(strings.Fields(m.Saying), func(t string) bool { return !said[t] })
		if m.Kind != note.KindSymptom || beyond || m.Score < likeForAbsent {
			continue
		}
		r, err := e.sense(m)
		if err != nil {
			return Finding{}, false, err
		}
		r.Weight = 1
		return Finding{Text: c.Text, Senses: []Sense{r}}, true, nil
	}
	return Finding{}, false, nil
}
