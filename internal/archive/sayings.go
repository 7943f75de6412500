package archive

import (
	"cmp"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"kg/internal/bucket"
	"kg/internal/note"
	"kg/internal/spell"
	"kg/internal/term"
)

// The buckets of what people say. Terms are looked up by themselves, entries by
// their number, codes by their spelling-free form and the appliance.
const (
	bucketTerms   = "terms"
	bucketSpoken  = "spoken"
	bucketCodes   = "codes"
	bucketSpeech  = "speech"
	keySynonyms   = "synonyms"
	keyLengths    = "lengths"
	phraseBreak   = "\n"
	spokenParts   = 4
	longestNumber = 4 // bytes of the number of an entry, as a key
)

// Spoken is one entry with the phrases that it goes by and all terms of its note.
type Spoken struct {
	ID      note.ID
	Kind    note.Kind
	Phrases []string // terms, joined by spaces
	Words   []string // the different terms of the whole note, in order
}

// Posting says how often a term stands in the sayings of an entry, and how often
// in its whole note.
type Posting struct{ Entry, InSayings, InNote int }

// Term is where a term stands.
type Term struct {
	Entries  int // how many entries of any kind have it anywhere in their notes
	Postings []Posting
}

// Length is how many terms an entry has in its sayings and in its whole note.
type Length struct {
	Kind            note.Kind
	InSayings, Note int
}

// Code is what one appliance means by a code.
type Code struct {
	Appliance note.ID
	Shown     string
	Means     []note.ID
}

// WriteSayings stores what people say for the entries of some notes: for
// symptoms, modes and components.
func WriteSayings(ctx context.Context, w bucket.Writer, notes []*note.Note) error {
	if err := writeSayings(ctx, w, notes); err != nil {
		return fmt.Errorf("writing the sayings: %w", err)
	}
	return nil
}

func writeSayings(ctx context.Context, w bucket.Writer, notes []*note.Note) error {
	componentOf, synonyms := note.ComponentNames(notes), term.SynonymsOf(notes)
	sorted := slices.SortedFunc(slices.Values(notes), func(a, b *note.Note) int { return strings.Compare(string(a.ID()), string(b.ID())) })
	terms := map[string]*Term{}
	at := func(t string) *Term {
		if terms[t] == nil {
			terms[t] = &Term{}
		}
		return terms[t]
	}
	var spoken [][]byte
	lengths := binary.AppendUvarint(nil, uint64(len(notes)))
	codes := map[string]string{}
	for _, n := range sorted {
		component := componentOf(n.Entry)
		words := term.List(synonyms.Read(note.AllText(n.Entry, component)))
		counts := map[string]*Posting{}
		for _, t := range words {
			if counts[t] == nil {
				counts[t] = &Posting{Entry: len(spoken)}
				at(t).Entries++
			}
			counts[t].InNote++
		}
		if sayings := note.Sayings(n.Entry, component); len(sayings) > 0 {
			said := 0
			lines := make([]string, len(sayings))
			for i, s := range sayings {
				list := term.List(synonyms.Read(s))
				lines[i] = strings.Join(list, " ")
				said += len(list)
				for _, t := range list {
					if counts[t] == nil { // a neighbour made another term of it
						counts[t] = &Posting{Entry: len(spoken)}
					}
					counts[t].InSayings++
				}
			}
			for t, p := range counts {
				at(t).Postings = append(at(t).Postings, *p)
			}
			distinct := slices.Clone(words)
			slices.Sort(distinct)
			spoken = append(spoken, []byte(strings.Join([]string{
				string(n.ID()), string(n.Kind()), strings.Join(lines, phraseBreak), strings.Join(slices.Compact(distinct), " "),
			}, separator)))
			lengths = append(lengths, byte(slices.Index(note.Kinds(), n.Kind())))
			lengths = binary.AppendUvarint(binary.AppendUvarint(lengths, uint64(said)), uint64(len(words)))
		}
		if a, ok := n.Entry.(*note.Appliance); ok {
			for _, c := range a.Codes {
				codes[term.CodeKey(c.Shown)+separator+string(a.ID)] = c.Shown + separator + spaced(c.Means)
			}
		}
	}
	sortedTerms := sortedKeys(terms)
	sortedCodes := sortedKeys(codes)
	encoded, err := synonyms.Encode()
	return errors.Join(err,
		w.Fill(ctx, bucketTerms, len(sortedTerms), func(i int) string { return sortedTerms[i] },
			func(i int) ([]byte, error) { return terms[sortedTerms[i]].encode(), nil }),
		w.Fill(ctx, bucketSpoken, len(spoken), numberKey, func(i int) ([]byte, error) { return spoken[i], nil }),
		w.Fill(ctx, bucketCodes, len(sortedCodes), func(i int) string { return sortedCodes[i] },
			func(i int) ([]byte, error) { return []byte(codes[sortedCodes[i]]), nil }),
		w.Fill(ctx, bucketSpeech, 2, func(i int) string { return []string{keyLengths, keySynonyms}[i] },
			func(i int) ([]byte, error) { return [][]byte{lengths, encoded}[i], nil }))
}

func sortedKeys[V any](m map[string]V) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

func spaced(ids []note.ID) string {
	out := make([]string, len(ids))
	for i, id := range ids {
		out[i] = string(id)
	}
	return strings.Join(out, " ")
}

func numberKey(i int) string {
	return string(binary.BigEndian.AppendUint32(make([]byte, 0, longestNumber), uint32(i)))
}

// encode writes the number of entries, then each posting: how much greater its
// entry is than the one before, and its two counts.
func (t *Term) encode() []byte {
	out := binary.AppendUvarint(nil, uint64(t.Entries))
	last := 0
	for _, p := range t.Postings {
		for _, n := range []int{p.Entry - last, p.InSayings, p.InNote} {
			out = binary.AppendUvarint(out, uint64(n))
		}
		last = p.Entry
	}
	return out
}

var errCutShort = errors.New("a list of postings is cut short")

func decodeTerm(b []byte) (Term, error) {
	r := varints{b: b}
	t := Term{Entries: r.next()}
	last := 0
	for len(r.b) > 0 && !r.failed {
		p := Posting{last + r.next(), r.next(), r.next()}
		last = p.Entry
		t.Postings = append(t.Postings, p)
	}
	if r.failed {
		return Term{}, unreadable(errCutShort)
	}
	return t, nil
}

// varints reads unsigned numbers one after the other.
type varints struct {
	b      []byte
	failed bool
}

func (v *varints) next() int {
	n, size := binary.Uvarint(v.b)
	if size <= 0 {
		v.failed, v.b = true, nil
		return 0
	}
	v.b = v.b[size:]
	return int(n)
}

// Sayings are what people say for the entries of a finished archive. They are for
// one goroutine.
type Sayings struct {
	in       bucket.Reader
	synonyms term.Synonyms
	entries  int
	lengths  []Length
	terms    map[string]Term
	spoken   map[int]Spoken
}

// SayingsIn reads the sayings that some buckets hold.
func SayingsIn(b bucket.Reader) (*Sayings, error) {
	s := &Sayings{in: b, terms: map[string]Term{}, spoken: map[int]Spoken{}}
	encoded, err := b.Get(bucketSpeech, keySynonyms)
	if err != nil {
		return nil, err
	}
	lengths, err := b.Get(bucketSpeech, keyLengths)
	if err != nil {
		return nil, err
	}
	if encoded == nil || lengths == nil {
		return nil, unreadable(errors.New("there are no sayings"))
	}
	if s.synonyms, err = term.DecodeSynonyms(encoded); err != nil {
		return nil, unreadable(err)
	}
	r := varints{b: lengths}
	s.entries = r.next()
	kinds := note.Kinds()
	for len(r.b) > 0 && !r.failed {
		kind := int(r.b[0])
		r.b = r.b[1:]
		if kind >= len(kinds) {
			return nil, unreadable(errors.New("an unknown kind among the sayings"))
		}
		s.lengths = append(s.lengths, Length{kinds[kind], r.next(), r.next()})
	}
	if r.failed {
		return nil, unreadable(errCutShort)
	}
	return s, nil
}

// Tokens takes a text apart as the notes were.
func (s *Sayings) Tokens(text string) []term.Token { return s.synonyms.Read(text) }

// Entries is how many entries of all kinds there are.
func (s *Sayings) Entries() int { return s.entries }

// Lengths are the lengths of the entries that go by sayings, by their numbers.
func (s *Sayings) Lengths() []Length { return s.lengths }

// Term says where a term stands; nowhere for one that no note has.
func (s *Sayings) Term(t string) (Term, error) {
	if known, ok := s.terms[t]; ok {
		return known, nil
	}
	value, err := s.in.Get(bucketTerms, t)
	if err != nil {
		return Term{}, fmt.Errorf("looking up the term %q: %w", t, err)
	}
	var out Term
	if value != nil {
		if out, err = decodeTerm(value); err != nil {
			return Term{}, fmt.Errorf("term %q: %w", t, err)
		}
	}
	s.terms[t] = out
	return out, nil
}

// Begun calls f with the terms that begin with a prefix, in order, until it returns
// false.
func (s *Sayings) Begun(prefix string, f func(term string) bool) error {
	return s.in.From(bucketTerms, prefix, func(t string, _ []byte) bool {
		return strings.HasPrefix(t, prefix) && f(t)
	})
}

// Spoken is the entry with a number.
func (s *Sayings) Spoken(number int) (Spoken, error) {
	if known, ok := s.spoken[number]; ok {
		return known, nil
	}
	value, err := s.in.Get(bucketSpoken, numberKey(number))
	if err != nil {
		return Spoken{}, err
	}
	parts := strings.Split(string(value), separator)
	if len(parts) != spokenParts {
		return Spoken{}, unreadable(fmt.Errorf("the sayings of entry %d are cut short", number))
	}
	out := Spoken{note.ID(parts[0]), note.Kind(parts[1]), strings.Split(parts[2], phraseBreak), strings.Fields(parts[3])}
	s.spoken[number] = out
	return out, nil
}

// Codes returns the appliances that use a code, in any spelling, by their ids.
func (s *Sayings) Codes(code string) ([]Code, error) {
	return s.codes(term.CodeKey(code)+separator, func(string) bool { return true }, mostCodes)
}

// mostCodes bounds how many appliances are named for one code.
const mostCodes = 200

// NearCodes returns codes that differ from one by a letter or digit.
func (s *Sayings) NearCodes(code string) ([]Code, error) {
	want := term.CodeKey(code)
	out, err := s.codes("", func(key string) bool { return key != want && near(want, key) }, mostCodes)
	slices.SortStableFunc(out, func(a, b Code) int { // of equal ones, the next number first
		return cmp.Compare(apart(want, term.CodeKey(a.Shown)), apart(want, term.CodeKey(b.Shown)))
	})
	return out, err
}

// apart is how far the numbers are from each other that two codes end in.
func apart(a, b string) int {
	number := func(s string) int {
		n, _ := strconv.Atoi(strings.TrimLeft(s, "ABCDEFGHIJKLMNOPQRSTUVWXYZ"))
		return n
	}
	d := number(a) - number(b)
	return max(d, -d)
}

func (s *Sayings) codes(prefix string, wanted func(key string) bool, most int) ([]Code, error) {
	var out []Code
	var bad error
	err := s.in.From(bucketCodes, prefix, func(k string, v []byte) bool {
		if !strings.HasPrefix(k, prefix) {
			return false
		}
		key, appliance, _ := strings.Cut(k, separator)
		if !wanted(key) {
			return true
		}
		shown, means, ok := strings.Cut(string(v), separator)
		if !ok {
			bad = unreadable(fmt.Errorf("the code %s is cut short", key))
			return false
		}
		c := Code{Appliance: note.ID(appliance), Shown: shown}
		for _, id := range strings.Fields(means) {
			c.Means = append(c.Means, note.ID(id))
		}
		out = append(out, c)
		return len(out) < most
	})
	return out, errors.Join(err, bad)
}

// near reports whether one change of a character makes one word of the other.
func near(a, b string) bool { return spell.Changes(a, b) <= 1 }
