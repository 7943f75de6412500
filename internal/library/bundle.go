package library

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"kg/internal/archive"
	"kg/internal/bucket"
	"kg/internal/link"
	"kg/internal/note"
	"kg/internal/parts"
	"kg/internal/portable"
	"kg/internal/term"
)

// Bundle is a whole library in memory, which one file can carry.
type Bundle struct {
	held  *bucket.Memory
	parts *bucket.Memory
	links link.Memory
}

// The buckets of a bundle beside those of the archive.
const (
	bucketFindable = "findable"
	bucketEdges    = "edges"
	bucketRates    = "rates"
	separator      = "\x00"
)

// Content is what a bundle is made of.
type Content struct {
	Records []archive.Record
	Notes   []*note.Note
	Parts   []*parts.Part // by id
	Edges   []link.Edge
	Rates   []link.Rate
}

// Pack makes a bundle.
func Pack(ctx context.Context, c Content) (Bundle, error) {
	b := Bundle{held: &bucket.Memory{}, parts: &bucket.Memory{}, links: link.InMemory(c.Edges, c.Rates)}
	err := errors.Join(
		archive.Write(ctx, b.held, c.Records),
		archive.WriteSayings(ctx, b.held, c.Notes),
		archive.WriteParts(ctx, b.parts, c.Parts),
		writeFindable(ctx, b.held, c.Notes),
		b.held.Fill(ctx, bucketEdges, len(c.Edges), ordinal, func(i int) ([]byte, error) {
			e := c.Edges[i]
			return []byte(strings.Join([]string{string(e.From), string(e.Link), string(e.To), e.Note, figureText(e.Figure)}, separator)), nil
		}),
		b.held.Fill(ctx, bucketRates, len(c.Rates), ordinal, func(i int) ([]byte, error) {
			r := c.Rates[i]
			return []byte(strings.Join([]string{string(r.Of), r.Note, figureText(r.Figure)}, separator)), nil
		}))
	if err != nil {
		return Bundle{}, fmt.Errorf("packing the library: %w", err)
	}
	return b, nil
}

// ordinal is a key that sorts like its number.
func ordinal(i int) string { return fmt.Sprintf("%08d", i) }

// figureText writes a figure to the last bit.
func figureText(f link.Figure) string {
	if !f.Given {
		return ""
	}
	bits := func(x float64) string { return strconv.FormatUint(math.Float64bits(x), 36) }
	return bits(f.Stated) + " " + bits(f.Used)
}

func parseFigure(s string) (link.Figure, error) {
	if s == "" {
		return link.Figure{}, nil
	}
	stated, used, _ := strings.Cut(s, " ")
	a, err := strconv.ParseUint(stated, 36, 64)
	b, err2 := strconv.ParseUint(used, 36, 64)
	return link.Figure{Stated: math.Float64frombits(a), Used: math.Float64frombits(b), Given: true}, errors.Join(err, err2)
}

// Encode writes the bundle into bytes.
func (b Bundle) Encode() []byte {
	held, parts := b.held.Encode(), b.parts.Encode()
	out := []byte(strconv.Itoa(len(held)) + "\n")
	return append(append(out, held...), parts...)
}

// Unpack reads what Encode has made; the bundle shares the bytes.
func Unpack(encoded []byte) (Bundle, error) {
	size, rest, _ := strings.Cut(string(encoded[:min(len(encoded), 20)]), "\n")
	n, err := strconv.Atoi(size)
	from := len(size) + 1
	if err != nil || rest == "" || n < 0 || n > len(encoded)-from {
		return Bundle{}, bucket.ErrCut
	}
	var b Bundle
	if b.held, err = bucket.Decode(encoded[from : from+n]); err != nil {
		return Bundle{}, err
	}
	if b.parts, err = bucket.Decode(encoded[from+n:]); err != nil {
		return Bundle{}, err
	}
	var edges []link.Edge
	var rates []link.Rate
	err = errors.Join(
		each(b.held, bucketEdges, 5, func(f []string) (err error) {
			e := link.Edge{From: note.ID(f[0]), Link: link.Name(f[1]), To: note.ID(f[2]), Note: f[3]}
			e.Figure, err = parseFigure(f[4])
			edges = append(edges, e)
			return err
		}),
		each(b.held, bucketRates, 3, func(f []string) (err error) {
			r := link.Rate{Of: note.ID(f[0]), Note: f[1]}
			r.Figure, err = parseFigure(f[2])
			rates = append(rates, r)
			return err
		}))
	b.links = link.InMemory(edges, rates)
	return b, err
}

// each calls f with the fields of all values of a bucket.
func each(m *bucket.Memory, bucketName string, fields int, f func(fields []string) error) error {
	var failed error
	err := m.From(bucketName, "", func(_ string, value []byte) bool {
		list := strings.Split(string(value), separator)
		if len(list) != fields {
			failed = bucket.ErrCut
		} else {
			failed = f(list)
		}
		return failed == nil
	})
	return errors.Join(err, failed)
}

// Open makes a library of the bundle.
func (b Bundle) Open() (*Library, error) {
	return New(Stores{Entries: b.held, Parts: b.parts, Links: b.links, Finder: scan{b.held}}, nil)
}

// writeFindable stores the terms that entries are found by: those of their names,
// and all.
func writeFindable(ctx context.Context, w bucket.Writer, notes []*note.Note) error {
	componentOf, synonyms := note.ComponentNames(notes), term.SynonymsOf(notes)
	sorted := slices.SortedFunc(slices.Values(notes), func(a, b *note.Note) int { return cmp.Compare(a.ID(), b.ID()) })
	distinct := func(text string) string {
		list := term.List(synonyms.Read(text))
		slices.Sort(list)
		return strings.Join(slices.Compact(list), " ")
	}
	return w.Fill(ctx, bucketFindable, len(sorted), func(i int) string { return string(sorted[i].ID()) }, func(i int) ([]byte, error) {
		n := sorted[i]
		component := componentOf(n.Entry)
		h := n.Entry.Head()
		called := component + "\n" + h.Name + "\n" + strings.Join(h.Also, "\n")
		return []byte(strings.Join([]string{string(h.Kind), distinct(called), distinct(note.AllText(n.Entry, component))}, separator)), nil
	})
}

// scan finds entries by looking at all of them, which is fast enough for one
// library in memory. It may rank otherwise than an index does.
type scan struct{ held *bucket.Memory }

// nameBoost is how much more a word in a name counts than one in the prose.
const nameBoost = 4

func (s scan) Find(ctx context.Context, terms []string, begun string, kinds []note.Kind, limit int) (Located, error) {
	out := Located{Kinds: map[note.Kind]int{}}
	wanted := slices.Clone(terms)
	slices.Sort(wanted)
	wanted = slices.Compact(wanted)
	type candidate struct {
		id    note.ID
		kind  note.Kind
		holds []bool // each wanted term, then the begun one: in the note
		named []bool // the same: in a name
	}
	var found []candidate
	counts := make([]int, len(wanted)+1)
	total := 0
	err := s.held.From(bucketFindable, "", func(id string, value []byte) bool {
		fields := strings.Split(string(value), separator)
		if len(fields) != 3 {
			return true
		}
		total++
		names, words := strings.Fields(fields[1]), strings.Fields(fields[2])
		c := candidate{id: note.ID(id), kind: note.Kind(fields[0]), holds: make([]bool, len(counts)), named: make([]bool, len(counts))}
		hit := false
		for i := range counts {
			if i < len(wanted) {
				_, c.holds[i] = slices.BinarySearch(words, wanted[i])
				_, c.named[i] = slices.BinarySearch(names, wanted[i])
			} else if begun != "" {
				begins := func(t string) bool { return strings.HasPrefix(t, begun) }
				c.holds[i], c.named[i] = slices.ContainsFunc(words, begins), slices.ContainsFunc(names, begins)
			}
			if c.holds[i] || c.named[i] {
				counts[i]++
				hit = true
			}
		}
		if hit && (len(kinds) == 0 || slices.Contains(kinds, c.kind)) {
			found = append(found, c)
		}
		return ctx.Err() == nil
	})
	if err := errors.Join(err, ctx.Err()); err != nil {
		return out, err
	}
	for _, c := range found {
		score := 0.0
		for i, n := range counts {
			rare := portable.Log(1 + float64(total)/float64(max(1, n)))
			if c.holds[i] {
				score += rare
			}
			if c.named[i] {
				score += float64(nameBoost * rare)
			}
		}
		out.Kinds[c.kind]++
		out.Entries = append(out.Entries, Match{c.id, c.kind, score})
	}
	slices.SortFunc(out.Entries, func(a, b Match) int { return cmp.Or(cmp.Compare(b.Score, a.Score), cmp.Compare(a.ID, b.ID)) })
	out.Entries = out.Entries[:min(limit, len(out.Entries))]
	return out, nil
}
