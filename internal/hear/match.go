package hear

import (
	"cmp"
	"maps"
	"slices"
	"strings"

	"kg/internal/archive"
	"kg/internal/note"
	"kg/internal/portable"
	"kg/internal/term"
)

// Match is a symptom or mode that a description is like.
type Match struct {
	ID    note.ID
	Kind  note.Kind
	Score float64 // how like the words are, 0 to 1, see compare
	// Rank is what matches of one description are ordered by: the score, with how
	// well the whole note fits the description beside the other notes.
	Rank float64
	// Saying is the phrase that matched best, as terms.
	Saying string
	// Covers is how much of that phrase, by weight, stands in the description.
	Covers float64
	Words  []string // the words of the description that matched
}

// candidates is how many entries are compared phrase by phrase. Entries beyond
// it share few or only common terms with the description.
const candidates = 40

// stories is how many more are taken for what stands in their whole notes.
const stories = 20

// plenty is how many entries the terms of a description have to stand in, added
// up, before its more common terms are no longer used to find candidates. They
// still count in the comparison.
const plenty = 50 * candidates

// rarest returns the terms that candidates are found by, the rarest first.
func (e *ear) rarest(terms []string) ([]string, error) {
	count := map[string]int{}
	for _, t := range terms {
		n, err := e.frequency(t)
		if err != nil {
			return nil, err
		}
		count[t] = n
	}
	sorted := slices.SortedFunc(maps.Keys(count), func(a, b string) int {
		return cmp.Or(cmp.Compare(count[a], count[b]), cmp.Compare(a, b))
	})
	sum := 0
	for i, t := range sorted {
		if sum += count[t]; sum >= plenty {
			return sorted[:i+1], nil
		}
	}
	return sorted, nil
}

// frequency is in how many entries' sayings a term stands.
func (e *ear) frequency(t string) (int, error) {
	if n, known := e.frequencies[t]; known {
		return n, nil
	}
	found, err := e.Term(t)
	if err != nil {
		return 0, err
	}
	n := 0
	for _, p := range found.Postings {
		if p.InSayings > 0 && e.heard(p) {
			n++
		}
	}
	e.frequencies[t] = n
	return n, nil
}

// heard reports whether a posting is of a kind that is listened for.
func (e *ear) heard(p archive.Posting) bool {
	return slices.Contains(e.kinds, e.Lengths()[p.Entry].Kind)
}

// match returns the entries that a description is most like, the best first, equal
// scores in the order of ids. It is empty when no word is known.
func (e *ear) match(text string, limit int) ([]Match, error) {
	tokens, err := e.spelled(e.tokens(text))
	if err != nil || len(tokens) == 0 {
		return nil, err
	}
	weight := func(t string) float64 {
		if w, known := e.weights[t]; known {
			return w
		}
		n, ferr := e.frequency(t)
		if ferr != nil && err == nil {
			err = ferr
		}
		w := rarity(n, e.Entries())
		if strings.HasPrefix(t, term.Denied) {
			w *= deniedWeight // its word and the negation count already
		}
		e.weights[t] = w
		return w
	}
	all := term.List(tokens)
	found, err := e.rarest(all)
	if err != nil {
		return nil, err
	}
	bySaying, err := e.sharing(found, candidates, sayings)
	if err != nil {
		return nil, err
	}
	byNote, err := e.sharing(found, stories, whole)
	if err != nil {
		return nil, err
	}
	fits, seen := map[int]float64{}, map[int]bool{}
	for _, h := range byNote {
		fits[h.entry] = h.score / byNote[0].score
	}
	share := storyShare(len(all))
	var out []Match
	for _, h := range append(bySaying, byNote...) {
		if seen[h.entry] {
			continue
		}
		seen[h.entry] = true
		s, err := e.Spoken(h.entry)
		if err != nil {
			return nil, err
		}
		m, common := compare(all, s.Phrases, s.Words, weight)
		if m.Score > 0 {
			m.ID, m.Kind = s.ID, s.Kind
			m.Rank = float64((1-share)*m.Score) + float64(share*fits[h.entry])
			m.Words = spoken(text, tokens, common)
			m.Covers = coverage(strings.Fields(m.Saying), asSet(all), weight)
			out = append(out, m)
		}
	}
	if err != nil { // from weight
		return nil, err
	}
	slices.SortFunc(out, func(a, b Match) int {
		return cmp.Or(cmp.Compare(b.Rank, a.Rank), cmp.Compare(a.ID, b.ID))
	})
	return out[:min(limit, len(out))], nil
}

// field says which part of the entries is looked at: their sayings, or their whole
// notes.
type field int

const (
	sayings field = iota
	whole
)

func (f field) count(p archive.Posting) int {
	if f == whole {
		return p.InNote
	}
	return p.InSayings
}

func (f field) length(l archive.Length) int {
	if f == whole {
		return l.Note
	}
	return l.InSayings
}

// shared is an entry that shares terms with a description.
type shared struct {
	entry int
	score float64
	terms int
}

// The usual parameters of BM25: how fast a term that is repeated counts less, and
// how much the length of an entry counts (Robertson and Zaragoza 2009, section
// 3.5).
const (
	saturation = 1.2
	lengthPart = 0.75
)

// sharing returns the entries that share most with some terms in one field, by
// BM25 times the part of the terms that an entry has, the best first.
func (e *ear) sharing(terms []string, most int, f field) ([]shared, error) {
	lengths := e.Lengths()
	average := e.averages[f]
	terms = slices.Clone(terms)
	slices.Sort(terms) // a fixed order of sums
	at := map[int]int{}
	var out []shared
	for _, t := range terms {
		found, err := e.Term(t)
		if err != nil {
			return nil, err
		}
		n := 0
		for _, p := range found.Postings {
			if f.count(p) > 0 && e.heard(p) {
				n++
			}
		}
		rare := portable.Log(1 + (float64(e.Entries()-n)+0.5)/(float64(n)+0.5))
		for _, p := range found.Postings {
			count := float64(f.count(p))
			if count == 0 || !e.heard(p) {
				continue
			}
			i, known := at[p.Entry]
			if !known {
				i = len(out)
				at[p.Entry] = i
				out = append(out, shared{entry: p.Entry})
			}
			long := float64(f.length(lengths[p.Entry])) / average
			out[i].score += float64(rare * count * (saturation + 1) / (count + float64(saturation*(1-lengthPart+float64(lengthPart*long)))))
			out[i].terms++
		}
	}
	for i := range out {
		out[i].score *= float64(out[i].terms) / float64(len(terms))
	}
	slices.SortFunc(out, func(a, b shared) int { return cmp.Or(cmp.Compare(b.score, a.score), cmp.Compare(a.entry, b.entry)) })
	return out[:min(most, len(out))], nil
}

// deniedWeight is the weight of a thing that is said not to be, as a part of what
// its rarity would give it.
const deniedWeight = 0.3

// storyShare is the part that the whole note has in the rank. A short description
// is a saying and is compared with sayings; a long one is a story, whose words
// stand all over the note that it is about.
func storyShare(terms int) float64 {
	const perTerm, least, most = 0.05, 0.2, 0.5
	return min(most, max(least, perTerm*float64(terms-2)))
}

// The parts of a match: how like the best phrase is, raised by what all phrases
// of the entry cover of the description together; and how much of the
// description stands anywhere in the note, which tells apart what is alike in
// name.
const (
	sayingsShare = 0.2
	noteShare    = 0.2
)

// compare matches a description with the phrases of one entry and with all terms
// of its note.
func compare(query, phrases, all []string, weight weigher) (Match, []string) {
	var m Match
	var common []string
	best := 0.0
	covered := map[string]bool{}
	for _, phrase := range phrases {
		score, shared := likeness(query, strings.Fields(phrase), weight)
		for _, t := range shared {
			covered[t] = true
		}
		if score > best {
			best, m.Saying, common = score, phrase, shared
		}
	}
	if best == 0 {
		return m, nil
	}
	said := best * (1 - sayingsShare + float64(sayingsShare*coverage(query, covered, weight)))
	c := coverage(query, asSet(all), weight)
	m.Score = float64((1-noteShare)*said) + float64(noteShare*c*c)
	return m, common
}

// coverage is the share of some terms, by weight, that is covered.
func coverage(query []string, covered map[string]bool, weight weigher) float64 {
	sum, part := 0.0, 0.0
	for _, t := range query {
		w := weight(t)
		sum += w
		if covered[t] {
			part += w
		}
	}
	if sum == 0 {
		return 0
	}
	return part / sum
}

func asSet(terms []string) map[string]bool {
	out := make(map[string]bool, len(terms))
	for _, t := range terms {
		out[t] = true
	}
	return out
}

// spoken returns the words of the text that gave rise to some terms.
func spoken(text string, tokens []term.Token, terms []string) []string {
	var out []string
	for _, t := range tokens {
		if word := text[t.Start:t.End]; slices.Contains(terms, t.Term) && !slices.Contains(out, word) {
			out = append(out, word)
		}
	}
	return out
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
