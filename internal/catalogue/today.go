package catalogue

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"kg/internal/archive"
	"kg/internal/library"
	"kg/internal/note"
	"kg/internal/parts"
)

// mostLooked bounds how many numbers of one type are looked at for one answer.
const mostLooked = 500

// todays are the parts of some types that are ordered today: those that fit an
// appliance, where one is named, and those that have come of such. With them comes
// how many numbers were not looked at.
func (l shelf) todays(types []note.ID, s *library.Scope, serial parts.Serial) (out []TodayPart, more int, err error) {
	seen := map[parts.ID]bool{}
	add := func(p *parts.Part, serials parts.Range, end parts.DeadEnd) error {
		if seen[p.ID] {
			return nil
		}
		seen[p.ID] = true
		t, err := l.todayPart(p, end)
		t.Serials = serials.String()
		out = append(out, t)
		return err
	}
	for _, t := range types {
		ids, err := l.ofType(t, s)
		if err != nil {
			return nil, 0, err
		}
		if n := len(ids); n > mostLooked {
			more += n - mostLooked
			ids = ids[:mostLooked]
		}
		for _, id := range ids {
			p, err := l.Part(id)
			if err != nil {
				return nil, 0, err
			}
			if p == nil || s != nil && len(p.Fits) > 0 && !p.FitsOn(idTexts(s.Families), serial) {
				continue
			}
			chain, err := parts.Follow(l.Part, id, serial)
			if err != nil {
				return nil, 0, err
			}
			for _, set := range chain.Today() {
				first := set.Items[0]
				serials := set.Serials
				if s != nil {
					if fit, ok := fitOn(first.Part, s); ok {
						serials = fit.Serials
					}
				}
				if first.End == parts.EndUnknown || serial != "" && !serials.Has(serial) {
					continue
				}
				if err := add(first.Part, serials, first.End); err != nil {
					return nil, 0, err
				}
			}
		}
	}
	slices.SortStableFunc(out, func(a, b TodayPart) int {
		return cmp.Or(cmp.Compare(statusRank(a.Status), statusRank(b.Status)), strings.Compare(a.Maker, b.Maker))
	})
	return out, more, nil
}

func statusRank(s note.Status) int { return slices.Index(note.Statuses(), s) }

func fitOn(p *parts.Part, s *library.Scope) (parts.Fit, bool) {
	i := slices.IndexFunc(p.Fits, func(f parts.Fit) bool { return slices.Contains(s.Families, note.ID(f.Appliance)) })
	if i < 0 {
		return parts.Fit{}, false
	}
	return p.Fits[i], true
}

func idTexts(ids []note.ID) []string {
	out := make([]string, len(ids))
	for i, id := range ids {
		out[i] = string(id)
	}
	return out
}

// ofType are the parts of a type: all of them, or those that name an appliance or
// a family of it, and part notes that name none. A row of a list that names no
// appliance counts only where none is asked for.
func (l shelf) ofType(t note.ID, s *library.Scope) ([]parts.ID, error) {
	if s == nil {
		return l.OfType(string(t), "")
	}
	var out []parts.ID
	for _, family := range append([]note.ID{archive.AnyAppliance}, s.Families...) {
		ids, err := l.OfType(string(t), string(family))
		if err != nil {
			return nil, err
		}
		for _, id := range ids {
			if !slices.Contains(out, id) {
				out = append(out, id)
			}
		}
	}
	return out, nil
}

func (l shelf) todayPart(p *parts.Part, end parts.DeadEnd) (TodayPart, error) {
	t := TodayPart{
		ID: p.ID, Number: p.Number, Maker: p.Maker, Name: p.Name, Type: note.ID(p.Type), Status: statusOf(p, end),
		Says: p.Where.String(), price: p.Price, space: p.Space,
	}
	older, err := l.older(p)
	t.Older = older
	return t, err
}

func statusOf(p *parts.Part, end parts.DeadEnd) note.Status {
	switch {
	case end == parts.EndWithdrawn:
		return note.Withdrawn
	case end != "":
		return note.Superseded
	case p.Status != "":
		return p.Status
	}
	return note.Current
}

// older are the numbers that a part replaces, the nearest first, each with what it
// takes to put the newer one in its place.
func (l shelf) older(p *parts.Part) ([]OlderPart, error) {
	list, err := parts.Older(l.Part, p.ID)
	if err != nil {
		return nil, err
	}
	newer := map[parts.ID]bool{p.ID: true}
	var out []OlderPart
	for _, old := range list {
		o := OlderPart{Number: old.Number}
		for _, s := range old.By {
			if !slices.ContainsFunc(s.By, func(it parts.Item) bool { return newer[it.ID] }) {
				continue
			}
			o.Serials, o.Needs = s.Serials.String(), s.Needs
			for _, it := range s.By {
				if !newer[it.ID] {
					o.With = append(o.With, counted(it.Number, it.Count))
				}
			}
			break
		}
		newer[old.ID] = true
		out = append(out, o)
	}
	return out, nil
}

func counted(number string, n int) string {
	if n > 1 {
		return fmt.Sprintf("%d x %s", n, number)
	}
	return number
}
