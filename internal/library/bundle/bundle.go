// Package bundle owns a whole library in memory, which one file can carry: what a
// program without a file system asks.
package bundle

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"kg/internal/archive"
	"kg/internal/bucket/memory"
	"kg/internal/library"
	"kg/internal/link"
	"kg/internal/note"
	"kg/internal/parts"
)

// Bundle is a whole library in memory, which one file can carry.
type Bundle struct {
	held  *memory.Buckets
	parts *memory.Buckets
	links Links
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
	b := Bundle{held: &memory.Buckets{}, parts: &memory.Buckets{}, links: LinksOf(c.Edges, c.Rates)}
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
		return Bundle{}, memory.ErrCut
	}
	var b Bundle
	if b.held, err = memory.Decode(encoded[from : from+n]); err != nil {
		return Bundle{}, err
	}
	if b.parts, err = memory.Decode(encoded[from+n:]); err != nil {
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
	b.links = LinksOf(edges, rates)
	return b, err
}

// each calls f with the fields of all values of a bucket.
func each(m *memory.Buckets, bucketName string, fields int, f func(fields []string) error) error {
	var failed error
	err := m.From(bucketName, "", func(_ string, value []byte) bool {
		list := strings.Split(string(value), separator)
		if len(list) != fields {
			failed = memory.ErrCut
		} else {
			failed = f(list)
		}
		return failed == nil
	})
	return errors.Join(err, failed)
}

// Open makes a library of the bundle.
func (b Bundle) Open() (*library.Library, error) {
	return library.New(b.Stores(), nil)
}

// Stores are the stores that the library is made of.
func (b Bundle) Stores() library.Stores {
	return library.Stores{Entries: b.held, Parts: b.parts, Links: b.links, Finder: scan{b.held}}
}
