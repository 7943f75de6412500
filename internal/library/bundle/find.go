package bundle

import (
	"cmp"
	"context"
	"errors"
	"slices"
	"strings"

	"kg/internal/bucket"
	"kg/internal/bucket/memory"
	"kg/internal/library"
	"kg/internal/note"
	"kg/internal/portable"
	"kg/internal/term"
)

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
type scan struct{ held *memory.Buckets }

// nameBoost is how much more a word in a name counts than one in the prose.
const nameBoost = 4

func (s scan) Find(ctx context.Context, terms []string, begun string, kinds []note.Kind, limit int) (library.Located, error) {
	out := library.Located{Kinds: map[note.Kind]int{}}
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
		out.Entries = append(out.Entries, library.Match{ID: c.id, Kind: c.kind, Score: score})
	}
	slices.SortFunc(out.Entries, func(a, b library.Match) int { return cmp.Or(cmp.Compare(b.Score, a.Score), cmp.Compare(a.ID, b.ID)) })
	out.Entries = out.Entries[:min(limit, len(out.Entries))]
	return out, nil
}
