package parts

import (
	"cmp"
	"slices"

	"kg/internal/note"
)

// Substitute is a part that may, or may not, stand in for another.
type Substitute struct {
	Part  *Part
	Grade note.Grade
	// Claims are the claims that lead here, one after the other.
	Claims []Claim
	// Differences are how its attributes differ from those of the first part.
	Differences []Difference
	Distance    float64
	// Refused says why it must not go in; empty if it may.
	Refused string
}

// mostSubstitutes bounds how many parts an answer on interchange looks at.
const mostSubstitutes = 200

// Interchange are the parts that notes and lists claim may stand in for a part,
// the best first. Claims are followed one after the other only where each is of
// the grade identical and every attribute that the first part states agrees at
// the end; the last one may need an adapter. Claims by attributes lead nowhere
// further, and nothing is followed from a part that keeps people safe.
func Interchange(look Lookup, of *Part) ([]Substitute, error) {
	var out []Substitute
	seen := map[ID]bool{of.ID: true}
	type way struct {
		part   *Part
		grade  note.Grade
		claims []Claim
	}
	queue := []way{{of, note.Identical, nil}}
	for len(queue) > 0 && len(out) < mostSubstitutes {
		w := queue[0]
		queue = queue[1:]
		for _, c := range w.part.Claims {
			if seen[c.By] || len(w.claims) > 0 && c.Grade == note.ByAttributes {
				continue
			}
			p, err := look(c.By)
			if err != nil {
				return nil, err
			}
			if p == nil {
				p = &Part{ID: c.By, Maker: c.Maker, Number: c.Number, Type: of.Type}
			}
			s := Substitute{Part: p, Grade: w.grade.Weaker(c.Grade), Claims: append(slices.Clone(w.claims), c)}
			s.Differences, s.Distance = differences(of, p)
			class := cmp.Or(of.Class(), p.Class())
			if len(s.Claims) > 1 && (class != note.NoSafety || !allAgree(s.Differences)) {
				continue
			}
			seen[c.By] = true
			if class != note.NoSafety && !c.Approved {
				s.Refused = refusal(class)
			}
			out = append(out, s)
			if s.Grade == note.Identical && class == note.NoSafety {
				queue = append(queue, way{p, s.Grade, s.Claims})
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Substitute) int {
		return cmp.Or(refusedLast(a, b), cmp.Compare(a.Grade.Rank(), b.Grade.Rank()),
			cmp.Compare(len(a.Claims), len(b.Claims)), cmp.Compare(a.Distance, b.Distance), cmp.Compare(a.Part.ID, b.Part.ID))
	})
	return out, nil
}

func refusedLast(a, b Substitute) int {
	switch {
	case a.Refused == b.Refused || a.Refused != "" && b.Refused != "":
		return 0
	case a.Refused != "":
		return 1
	}
	return -1
}

func allAgree(list []Difference) bool {
	return !slices.ContainsFunc(list, func(d Difference) bool { return !d.Agrees() })
}

// Agrees reports whether no attribute of the substitute differs.
func (s Substitute) Agrees() bool { return allAgree(s.Differences) }

func differences(of, p *Part) ([]Difference, float64) {
	list := compare(of.Attributes, p.Attributes)
	sum := 0.0
	for _, d := range list {
		sum += d.Distance
	}
	return list, sum
}

// Match ranks candidates by how far their attributes are from those of a part.
// The part itself, parts of another type and withdrawn or superseded numbers are
// passed over. For a part that keeps people safe every candidate is refused that
// no claim marks as approved by the maker. A part without attributes is like
// nothing: the list is then empty.
func Match(of *Part, candidates []*Part, most int) []Substitute {
	if len(of.Attributes) == 0 {
		return nil
	}
	var out []Substitute
	for _, p := range candidates {
		if p.ID == of.ID || p.Type != of.Type || p.Status == note.Superseded || p.Status == note.Withdrawn || len(p.Attributes) == 0 {
			continue
		}
		s := Substitute{Part: p, Grade: note.ByAttributes}
		s.Differences, s.Distance = differences(of, p)
		at := slices.IndexFunc(of.Claims, func(c Claim) bool { return c.By == p.ID })
		if at >= 0 {
			s.Grade, s.Claims = of.Claims[at].Grade, []Claim{of.Claims[at]}
		}
		if class := cmp.Or(of.Class(), p.Class()); class != note.NoSafety && (at < 0 || !of.Claims[at].Approved) {
			s.Refused = refusal(class)
		}
		out = append(out, s)
	}
	slices.SortFunc(out, func(a, b Substitute) int {
		return cmp.Or(cmp.Compare(a.Distance, b.Distance), refusedLast(a, b), cmp.Compare(a.Part.ID, b.Part.ID))
	})
	return out[:min(most, len(out))]
}
