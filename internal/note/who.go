package note

import (
	"fmt"
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"
)

// Who says who may do some work: one of several, each a set of competences that are
// needed together. It is the least that is needed. The zero value asks for nothing, so
// that everybody may.
//
// As text, and so in JSON, it is like "gas-licensed and electrician" or "gas-licensed or
// oil-qualified"; "and" binds what "or" parts.
type Who [][]Competence

// All is who has all of some competences.
func All(competences ...Competence) Who { return Who{competences} }

// ParseWho reads who may do some work.
func ParseWho(s string) (Who, error) {
	var out Who
	var all []Competence
	var words []string
	take := func() error {
		c, ok := CompetenceOf(strings.Join(words, " "))
		if !ok {
			return fmt.Errorf("%q is not a competence: choose from %s, with `and` between those that are needed together", strings.Join(words, " "), Choices(Competences()))
		}
		if !slices.Contains(all, c) {
			all = append(all, c)
		}
		words = nil
		return nil
	}
	for _, w := range append(strings.Fields(s), "or") {
		if w != "and" && w != "or" {
			words = append(words, w)
			continue
		}
		if err := take(); err != nil {
			return nil, err
		}
		if w == "or" {
			out = out.or(all)
			all = nil
		}
	}
	return out, nil
}

// or adds others who may do it too, unless they are named already.
func (w Who) or(others ...[]Competence) Who {
	for _, all := range others {
		if !slices.ContainsFunc(w, func(have []Competence) bool { return slices.Equal(have, all) }) {
			w = append(w, all)
		}
	}
	return w
}

func (w Who) String() string {
	each := make([]string, len(w))
	for i, all := range w {
		names := make([]string, len(all))
		for j, c := range all {
			names[j] = string(c)
		}
		each[i] = strings.Join(names, " and ")
	}
	return strings.Join(each, " or ")
}

// MarshalText writes it as String does.
func (w Who) MarshalText() ([]byte, error) { return []byte(w.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (w *Who) UnmarshalText(text []byte) (err error) {
	if *w = nil; len(text) > 0 {
		*w, err = ParseWho(string(text))
	}
	return err
}

// CoveredBy reports whether somebody with some competences may do the work.
func (w Who) CoveredBy(have []Competence) bool {
	covered := func(need Competence) bool {
		return slices.ContainsFunc(have, func(c Competence) bool { return c.Covers(need) })
	}
	return len(w) == 0 || slices.ContainsFunc(w, func(all []Competence) bool {
		return !slices.ContainsFunc(all, func(need Competence) bool { return !covered(need) })
	})
}

// Within reports whether all who may do this work may do another's as well.
func (w Who) Within(other Who) bool {
	if len(w) == 0 {
		return other.CoveredBy(nil)
	}
	return !slices.ContainsFunc(w, func(all []Competence) bool { return !other.CoveredBy(all) })
}

// Elsewhere says who may do some work on one family of appliances, where that is not
// who may do it on others.
type Elsewhere struct {
	On  ID  `json:"on"`
	Who Who `json:"who"`
}

// WhoOn is who may do some work on an appliance of some families: who a note names for
// the first that it names of those, and else who it names for all.
func WhoOn(all Who, elsewhere []Elsewhere, families []ID) Who {
	for _, e := range elsewhere {
		if slices.Contains(families, e.On) {
			return e.Who
		}
	}
	return all
}

func who(to *Who) reader {
	return func(d *decoder, n *yaml.Node) {
		items := d.list(n)
		if n.Kind == yaml.SequenceNode && len(items) == 0 { // which would be everybody
			d.fail(n, "empty-value", "%s is empty: write who may do it, like [gas-licensed, oil-qualified]", d.key)
		}
		for _, item := range items {
			s, ok := d.scalar(item)
			if !ok {
				continue
			}
			w, err := ParseWho(s)
			if err != nil {
				d.fail(item, "bad-choice", "%s: %v", d.key, err)
				continue
			}
			*to = to.or(w...)
		}
	}
}

func whoOn(to *[]Elsewhere) reader {
	return func(d *decoder, n *yaml.Node) {
		d.pairs(n, func(k, v *yaml.Node) {
			if id, ok := d.id(k, []Kind{KindAppliance}); ok {
				e := Elsewhere{On: id}
				who(&e.Who)(d, v)
				*to = append(*to, e)
			}
		})
	}
}
