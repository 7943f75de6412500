package parts

import (
	"cmp"
	"fmt"
	"slices"

	"kg/internal/note"
)

// mostSteps bounds how many steps of supersession are followed from one number.
const mostSteps = 10_000

// Chain is a number with what came of it.
type Chain struct {
	Part *Part
	// Steps are the branches that lead on, as far as they apply; none where the
	// number is today's, or leads nowhere.
	Steps []Step
	// End says why a chain ends where no part can be ordered; empty for a good end.
	End DeadEnd
}

// Step is one branch of a supersession.
type Step struct {
	Succession
	// Serials are those for which the whole way here applies.
	Serials Range
	To      []*Chain // in the order of the succession's items
}

// DeadEnd is why a chain ends without a part that can be ordered.
type DeadEnd string

const (
	EndWithdrawn DeadEnd = "withdrawn"                       // the part is no longer made
	EndUnknown   DeadEnd = "not in any list"                 // the number is not known
	EndLoop      DeadEnd = "leads back to an earlier number" // a cycle
	EndNothing   DeadEnd = "superseded, and by what is not said"
	EndOther     DeadEnd = "a safety part of another maker: look in the maker's instructions"
	EndSerial    DeadEnd = "no branch for this serial number" // branches, none of which applies
)

// Follow works out what came of a part. A serial number takes the branches that
// are for it; an empty one takes them all. It ends in an error only where the
// look-up fails or the lists branch without end.
func Follow(look Lookup, id ID, serial Serial) (*Chain, error) {
	f := follower{look: look, serial: serial}
	return f.follow(Item{ID: id}, Range{}, nil)
}

type follower struct {
	look   Lookup
	serial Serial
	steps  int
}

func (f *follower) follow(item Item, serials Range, path []ID) (*Chain, error) {
	if f.steps++; f.steps > mostSteps {
		return nil, fmt.Errorf("following %s: the lists branch into more than %d steps: `kg lint` names loops", path[0], mostSteps)
	}
	p, err := f.look(item.ID)
	if err != nil {
		return nil, err
	}
	if p == nil {
		return &Chain{Part: &Part{ID: item.ID, Number: item.Number}, End: EndUnknown}, nil
	}
	c := &Chain{Part: p}
	if slices.Contains(path, p.ID) {
		c.End = EndLoop
		return c, nil
	}
	path = append(path, p.ID)
	for _, s := range p.By {
		common, some := serials.and(s.Serials)
		if !some || f.serial != "" && !s.Serials.Has(f.serial) {
			continue
		}
		step := Step{Succession: s, Serials: common}
		for _, item := range s.By {
			to, err := f.follow(item, common, path)
			if err != nil {
				return nil, err
			}
			if makerKey(to.Part.Maker) != makerKey(p.Maker) && to.End != EndUnknown && cmp.Or(p.Class(), to.Part.Class()) != note.NoSafety {
				to = &Chain{Part: to.Part, End: EndOther}
			}
			step.To = append(step.To, to)
		}
		c.Steps = append(c.Steps, step)
	}
	switch {
	case len(c.Steps) > 0:
	case len(p.By) > 0:
		c.End = EndSerial
	case p.Status == note.Withdrawn:
		c.End = EndWithdrawn
	case p.Status == note.Superseded:
		c.End = EndNothing
	}
	return c, nil
}

// Set is one answer to what is fitted today: parts that go in together.
type Set struct {
	Items   []Ordered
	Serials Range
	Needs   []string
}

// Ordered is a part at the end of a chain, and how many of it.
type Ordered struct {
	Part  *Part
	Count int
	End   DeadEnd // why it cannot be ordered; empty if it can
}

// mostSets bounds how many ways of ending a chain are told apart.
const mostSets = 64

// Today are the sets of parts that take the place of the first number of a chain,
// one for each way its branches end. A part that nothing replaces is its own.
func (c *Chain) Today() []Set {
	if len(c.Steps) == 0 {
		return []Set{{Items: []Ordered{{c.Part, 1, c.End}}}}
	}
	var out []Set
	for _, s := range c.Steps {
		sets := []Set{{Serials: s.Serials, Needs: s.Needs}}
		for i, to := range s.To {
			sets = product(sets, to.Today(), max(1, s.By[i].Count))
		}
		out = append(out, sets...)
		if len(out) >= mostSets {
			return out[:mostSets]
		}
	}
	return out
}

// product joins each set with each of others, which are needed some times.
func product(sets, others []Set, times int) []Set {
	var out []Set
	for _, a := range sets {
		for _, b := range others {
			serials, some := a.Serials.and(b.Serials)
			if !some || len(out) == mostSets {
				continue
			}
			set := Set{Items: slices.Clone(a.Items), Serials: serials, Needs: slices.Clone(a.Needs)}
			for _, it := range b.Items {
				set.add(Ordered{it.Part, it.Count * times, it.End})
			}
			for _, n := range b.Needs {
				if !slices.Contains(set.Needs, n) {
					set.Needs = append(set.Needs, n)
				}
			}
			out = append(out, set)
		}
	}
	return out
}

func (s *Set) add(it Ordered) {
	for i := range s.Items {
		if s.Items[i].Part.ID == it.Part.ID {
			s.Items[i].Count += it.Count
			return
		}
	}
	s.Items = append(s.Items, it)
}

// Older are the parts that a part replaces, those that these replace, and so on:
// the nearest first. A cycle ends where it comes back.
func Older(look Lookup, id ID) ([]*Part, error) {
	var out []*Part
	seen := map[ID]bool{id: true}
	queue := []ID{id}
	for len(queue) > 0 && len(seen) < mostSteps {
		p, err := look(queue[0])
		queue = queue[1:]
		if err != nil {
			return nil, err
		}
		if p == nil {
			continue
		}
		if p.ID != id {
			out = append(out, p)
		}
		for _, old := range p.Replaces {
			if !seen[old] {
				seen[old] = true
				queue = append(queue, old)
			}
		}
	}
	return out, nil
}
