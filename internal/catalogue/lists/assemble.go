package lists

import (
	"cmp"
	"fmt"
	"maps"
	"slices"

	"kg/internal/note"
	"kg/internal/parts"
	"kg/internal/place"
	"kg/internal/spell"
)

// mostOfARule bounds how many problems of one kind are told of one catalogue.
const mostOfARule = 50

// Assemble puts the rows of catalogues and the part notes that were kept together,
// and says what is wrong with them. A row of which the component type is not known
// is left out; whatever else is wrong, the part is used as far as it goes. rank
// tells which list a row is from; the highest prevails. The cases of its rules lie
// with those across notes, in internal/lint.
func Assemble(kept []*note.Note, rows []*parts.Part, rank func(*parts.Part) int) ([]*parts.Part, []place.Problem) {
	entries := map[note.ID]*note.Note{}
	for _, n := range kept {
		entries[n.ID()] = n
	}
	told := &telling{count: map[string]int{}, near: map[string]string{}, kept: kept}
	var list []*parts.Part
	for _, p := range rows {
		if n := entries[note.ID(p.Type)]; n == nil || n.Kind() != note.KindComponent {
			told.report(p.Where, note.Broken, "catalogue-type", "there is no component %q%s", p.Type, told.nearest(p.Type, note.KindComponent))
			continue
		}
		p.Fits = slices.DeleteFunc(p.Fits, func(f parts.Fit) bool {
			n := entries[note.ID(f.Appliance)]
			if n != nil && n.Kind() == note.KindAppliance {
				return false
			}
			told.report(p.Where, note.Incomplete, "catalogue-appliance", "%s fits %q, and there is no such appliance%s", p.Full(), f.Appliance, told.nearest(f.Appliance, note.KindAppliance))
			return true
		})
		p.Safety = safety(p, entries)
		list = append(list, p)
	}
	list = append(list, partNotes(kept, entries, told)...)
	list, twice := parts.Assemble(list, rank)
	for _, p := range append(twice, parts.Check(list)...) {
		told.report(p.Pos, note.Incomplete, p.Rule, "%s", p.Message)
	}
	told.rest()
	return list, told.problems
}

// safety is what a part keeps people safe from, by its type and the wider types that
// this belongs to, or else by its list: what a type is known for no list takes away.
func safety(p *parts.Part, entries map[note.ID]*note.Note) note.Safety {
	class := note.SafetyOfType(note.ID(p.Type), func(id note.ID) *note.Component {
		n := entries[id]
		if n == nil {
			return nil
		}
		c, _ := n.Entry.(*note.Component)
		return c
	})
	return cmp.Or(class, p.Safety)
}

// partNotes makes parts of the notes of parts. What a note says of those that it
// supersedes is said at those.
func partNotes(kept []*note.Note, entries map[note.ID]*note.Note, told *telling) []*parts.Part {
	byNote := map[note.ID]*parts.Part{}
	var out []*parts.Part
	for _, n := range kept {
		e, ok := n.Entry.(*note.Part)
		if !ok {
			continue
		}
		p := &parts.Part{
			ID: parts.IDOf(e.Maker, e.Number), Number: e.Number, Maker: e.Maker, Type: string(e.Type), Name: e.Name,
			Status: e.Status, Safety: e.Safety, Price: e.Price, Space: e.Space, Date: e.Date,
			Source: e.Source, Where: n.At("number"), Note: string(e.ID),
		}
		if p.Name == e.Maker+" "+e.Number {
			p.Name = ""
		}
		p.Safety = safety(p, entries)
		serials, err := parts.ParseRange(e.Serials)
		if err != nil && e.Serials != "" {
			told.report(n.At("serials"), note.Incomplete, "part-serials", "%v", err)
		}
		for _, id := range e.Fits {
			p.Fits = append(p.Fits, parts.Fit{Appliance: string(id), Serials: serials})
		}
		for _, name := range slices.Sorted(maps.Keys(e.Attributes)) {
			a := parts.Attribute{Name: name, Text: e.Attributes[name]}
			if err := a.Check(); err != nil {
				told.report(n.At("attributes"), note.Incomplete, "part-attributes", "%v; it cannot be compared as it is", err)
			}
			p.Attributes = append(p.Attributes, a)
		}
		byNote[e.ID] = p
		out = append(out, p)
	}
	item := func(id note.ID) parts.Item {
		if p := byNote[id]; p != nil {
			return parts.Item{ID: p.ID, Number: p.Number, Count: 1}
		}
		return parts.Item{ID: parts.ID("note/" + id), Number: string(id), Count: 1}
	}
	for _, n := range kept {
		e, ok := n.Entry.(*note.Part)
		if !ok {
			continue
		}
		p := byNote[e.ID]
		serials, _ := parts.ParseRange(e.Serials)
		for _, id := range e.Supersedes {
			if old := byNote[id]; old != nil {
				old.By = append(old.By, parts.Succession{By: []parts.Item{item(e.ID)}, Serials: serials, Needs: e.Needs, Where: n.At("supersedes")})
				old.Status = cmp.Or(old.Status, note.Superseded)
			}
		}
		for _, id := range e.Contains {
			p.Contains = append(p.Contains, item(id))
		}
		for _, c := range e.Interchange {
			it := item(c.With)
			claim := parts.Claim{By: it.ID, Number: it.Number, Grade: c.Grade, Source: cmp.Or(c.Source, e.Source), Needs: c.Needs,
				Approved: c.Approved, Both: c.BothWays, Where: n.At("interchange")}
			if with := byNote[c.With]; with != nil {
				claim.Maker = with.Maker
			}
			p.Claims = append(p.Claims, claim)
		}
		for _, id := range e.InterchangesWith {
			if with := byNote[id]; with != nil {
				p.Claims = append(p.Claims, parts.Claim{By: with.ID, Maker: with.Maker, Number: with.Number, Grade: note.ByAttributes, Source: e.Source, Where: n.At("interchanges-with")})
			}
		}
	}
	return out
}

// telling collects problems, and of one rule in one file no more than can be read.
type telling struct {
	problems []place.Problem
	count    map[string]int
	files    []string
	kept     []*note.Note
	near     map[string]string // what was looked for before
}

// nearest names the entry of a kind that is most like an id.
func (t *telling) nearest(id string, kind note.Kind) string {
	if said, ok := t.near[id]; ok {
		return said
	}
	var valid []string
	for _, n := range t.kept {
		if n.Kind() == kind {
			valid = append(valid, string(n.ID()))
		}
	}
	t.near[id] = fmt.Sprintf(": `kg list %s` names them", kind.Plural())
	if near, ok := spell.Nearest(id, valid); ok {
		t.near[id] = fmt.Sprintf(": did you mean %q?", near)
	}
	return t.near[id]
}

func (t *telling) report(at place.Pos, grade place.Grade, rule, format string, args ...any) {
	key := at.File + "\x00" + rule
	if t.count[key]++; t.count[key] == 1 {
		t.files = append(t.files, key)
	}
	if t.count[key] > mostOfARule {
		return
	}
	t.problems = append(t.problems, place.Problem{Pos: at, Rule: rule, Grade: grade, Message: fmt.Sprintf(format, args...)})
}

// rest says how many problems were not told.
func (t *telling) rest() {
	for _, key := range t.files {
		if more := t.count[key] - mostOfARule; more > 0 {
			last := slices.IndexFunc(t.problems, func(p place.Problem) bool { return p.File+"\x00"+p.Rule == key })
			p := t.problems[last]
			t.problems = append(t.problems, place.Problem{Pos: place.Pos{File: p.File}, Rule: p.Rule, Grade: p.Grade,
				Message: fmt.Sprintf("%d more rows are like that: mend what they have in common", more)})
		}
	}
}
