package parts

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"kg/internal/note"
	"kg/internal/place"
)

// Assemble joins the parts of several lists into one: what is said of one number
// twice is settled, and what follows from what others say is worked out: what a
// number replaces, and claims that hold both ways, without an approval. Lists come in the order in
// which they prevail, the last one first of all; rank tells which list a part is
// from. Within a list the later date prevails. The parts are changed and come back
// by id.
func Assemble(list []*Part, rank func(*Part) int) ([]*Part, []place.Problem) {
	var problems []place.Problem
	byID := make(map[ID]*Part, len(list))
	for _, p := range list {
		old, taken := byID[p.ID]
		switch {
		case !taken:
			byID[p.ID] = p
		case p.Note != "" || old.Note != "":
			if old.Note != "" && p.Note == "" {
				p, old = old, p
			}
			byID[p.ID] = p.over(old)
		case rank(p) != rank(old):
			if rank(p) > rank(old) {
				byID[p.ID] = p
			}
		case p.Date != old.Date:
			if p.Date > old.Date {
				byID[p.ID] = p
			}
		case !p.same(old):
			problems = append(problems, place.Problemf(p.Where, "part-twice", "%s stands in %s too and says something else there: keep one, or give the one that holds a later date", p.Full(), old.Where))
		}
	}
	out := make([]*Part, 0, len(byID))
	for _, p := range byID {
		out = append(out, p)
	}
	slices.SortFunc(out, func(a, b *Part) int { return cmp.Compare(a.ID, b.ID) })
	for _, p := range out {
		for _, s := range p.By {
			for _, it := range s.By {
				if to := byID[it.ID]; to != nil && !slices.Contains(to.Replaces, p.ID) {
					to.Replaces = append(to.Replaces, p.ID)
				}
			}
		}
		for _, c := range p.Claims {
			if to := byID[c.By]; c.Both && to != nil && !slices.ContainsFunc(to.Claims, func(o Claim) bool { return o.By == p.ID }) {
				c.By, c.Maker, c.Number = p.ID, p.Maker, p.Number
				c.Approved = false // an approval is for one appliance, and does not turn round
				to.Claims = append(to.Claims, c)
			}
		}
	}
	return out, problems
}

// over returns a part with what it leaves open filled in from another.
func (p *Part) over(o *Part) *Part {
	out := *p
	out.Name = cmp.Or(p.Name, o.Name)
	out.Status = cmp.Or(p.Status, o.Status)
	out.Safety = cmp.Or(p.Safety, o.Safety)
	out.Price = cmp.Or(p.Price, o.Price)
	out.Space = cmp.Or(p.Space, o.Space)
	out.Date = cmp.Or(p.Date, o.Date)
	if len(p.Fits) == 0 {
		out.Fits = o.Fits
	}
	if len(p.Attributes) == 0 {
		out.Attributes = o.Attributes
	}
	if len(p.By) == 0 {
		out.By = o.By
	}
	if len(p.Claims) == 0 {
		out.Claims = o.Claims
	}
	if len(p.Contains) == 0 {
		out.Contains = o.Contains
	}
	return &out
}

// Check says what is wrong with the supersessions and claims of some parts taken
// together, in the order of the parts.
func Check(list []*Part) []place.Problem {
	byID := make(map[ID]*Part, len(list))
	for _, p := range list {
		byID[p.ID] = p
	}
	var out []place.Problem
	report := func(at place.Pos, rule, format string, args ...any) {
		out = append(out, place.Problemf(at, rule, format, args...))
	}
	for _, loop := range loops(list, byID) {
		var names, places []string
		for _, id := range append(slices.Clone(loop), loop[0]) {
			names = append(names, byID[id].Number)
		}
		for _, id := range loop {
			places = append(places, byID[id].Where.String())
		}
		report(byID[loop[0]].Where, "supersession-cycle", "%s comes back to where it started: %s (%s): take one of these out",
			byID[loop[0]].Maker, strings.Join(names, " -> "), strings.Join(places, ", "))
	}
	for _, p := range list {
		switch {
		case p.Status == note.Superseded && len(p.By) == 0:
			report(p.Where, "supersession-dead-end", "%s is superseded, and by what is not said: add superseded-by, or make it withdrawn", p.Full())
		case p.Status == note.Current && len(p.By) > 0:
			report(p.Where, "status-contradicts", "%s is called current and is superseded by %s: mend one of the two", p.Full(), successionsText(p.By))
		case p.Status == note.Withdrawn && len(p.By) == 0 && len(p.Replaces) > 0:
			report(p.Where, "supersession-dead-end", "%s replaced others (%s) and is withdrawn: say what takes its place, or what is to be done instead", p.Full(), numbersOf(p.Replaces, byID))
		}
		for i, s := range p.By {
			for _, it := range s.By {
				to, known := byID[it.ID]
				switch {
				case !known:
					report(s.at(p), "supersession-dead-end", "%s is superseded by %s, which is in no list: add that number, or mend the spelling%s", p.Full(), it.Number, nearestNumber(p, it, byID))
				case makerKey(to.Maker) != makerKey(p.Maker):
					report(s.at(p), "supersession-other-maker", "%s is superseded by %s of another maker: a maker replaces its own numbers, write this as interchange", p.Full(), to.Full())
				}
			}
			for _, other := range p.By[i+1:] {
				if common, some := s.Serials.and(other.Serials); some && len(s.Needs) == 0 && len(other.Needs) == 0 {
					report(s.at(p), "supersession-branch", "%s is superseded by %s or by %s, and nothing says which is for what%s: give each a range of serial numbers, or what it needs",
						p.Full(), itemsText(s.By), itemsText(other.By), forSerials(common))
				}
			}
		}
		for _, c := range p.Claims {
			if c.Source == "" && c.Grade != "" {
				report(c.at(p), "interchange-without-source", "that %s %s may stand in for %s is a claim of nobody: add source WHO", c.Maker, c.Number, p.Full())
			}
		}
	}
	return out
}

func (s Succession) at(p *Part) place.Pos {
	if s.Where.File != "" {
		return s.Where
	}
	return p.Where
}

func (c Claim) at(p *Part) place.Pos {
	if c.Where.File != "" {
		return c.Where
	}
	return p.Where
}

func forSerials(r Range) string {
	if r.all() {
		return ""
	}
	return " for serial numbers " + r.String()
}

func numbersOf(ids []ID, byID map[ID]*Part) string {
	var out []string
	for _, id := range ids {
		if p := byID[id]; p != nil {
			out = append(out, p.Number)
		}
	}
	return strings.Join(out, ", ")
}

// nearestNumber names the number that is meant, where letters were taken for
// digits.
func nearestNumber(p *Part, it Item, byID map[ID]*Part) string {
	maker, _, _ := strings.Cut(string(p.ID), "/")
	for _, r := range []struct{ old, new string }{{"O", "0"}, {"I", "1"}, {"L", "1"}, {"0", "O"}} {
		guess := ID(maker + "/" + string(KeyOf(strings.ReplaceAll(string(it.ID.Key()), r.old, r.new))))
		if near := byID[guess]; near != nil && guess != it.ID {
			return fmt.Sprintf(" (did you mean %s?)", near.Number)
		}
	}
	return ""
}

// loops are the strongly connected sets of the graph of supersessions, each as a
// path through it, smallest id first (Tarjan 1972, with a stack of its own, since
// chains can be long).
func loops(list []*Part, byID map[ID]*Part) [][]ID {
	next := func(id ID) []ID {
		var out []ID
		for _, s := range byID[id].By {
			for _, it := range s.By {
				if byID[it.ID] != nil {
					out = append(out, it.ID)
				}
			}
		}
		return out
	}
	type frame struct {
		id   ID
		next []ID
	}
	index, low := map[ID]int{}, map[ID]int{}
	open := map[ID]bool{}
	var stack []ID
	var out [][]ID
	for _, p := range list {
		if _, seen := index[p.ID]; seen || len(p.By) == 0 {
			continue
		}
		var frames []frame
		enter := func(id ID) {
			index[id], low[id], open[id] = len(index), len(index), true
			stack = append(stack, id)
			frames = append(frames, frame{id, next(id)})
		}
		enter(p.ID)
		for len(frames) > 0 {
			f := &frames[len(frames)-1]
			if len(f.next) > 0 {
				to := f.next[0]
				f.next = f.next[1:]
				if _, seen := index[to]; !seen {
					enter(to)
				} else if open[to] {
					low[f.id] = min(low[f.id], index[to])
				}
				continue
			}
			id := f.id
			frames = frames[:len(frames)-1]
			if len(frames) > 0 {
				parent := frames[len(frames)-1].id
				low[parent] = min(low[parent], low[id])
			}
			if low[id] != index[id] {
				continue
			}
			at := lastIndex(stack, id)
			set := slices.Clone(stack[at:])
			stack = stack[:at]
			for _, member := range set {
				open[member] = false
			}
			if len(set) > 1 || slices.Contains(next(id), id) {
				out = append(out, around(slices.Min(set), set, next))
			}
		}
	}
	slices.SortFunc(out, func(a, b []ID) int { return cmp.Compare(a[0], b[0]) })
	return out
}

func lastIndex(stack []ID, id ID) int {
	for i := len(stack) - 1; i >= 0; i-- {
		if stack[i] == id {
			return i
		}
	}
	return -1
}

// around is a shortest way from a member of a set back to itself, within the set.
func around(start ID, set []ID, next func(ID) []ID) []ID {
	in := map[ID]bool{}
	for _, id := range set {
		in[id] = true
	}
	from := map[ID]ID{}
	queue := []ID{start}
	for len(queue) > 0 {
		id := queue[0]
		queue = queue[1:]
		for _, to := range next(id) {
			if to == start {
				path := []ID{id}
				for id != start {
					id = from[id]
					path = append([]ID{id}, path...)
				}
				return path
			}
			if _, seen := from[to]; !seen && in[to] {
				from[to] = id
				queue = append(queue, to)
			}
		}
	}
	return []ID{start}
}
