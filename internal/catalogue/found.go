package catalogue

import (
	"cmp"
	"fmt"

	"kg/internal/library"
	"kg/internal/note"
	"kg/internal/parts"
)

func (l shelf) partFound(p *parts.Part, s *library.Scope, serial parts.Serial) (PartFound, error) {
	f := PartFound{Part: p, Fit: []NamedFit{}, Today: []TodaySet{}, Chain: []ChainLink{}, Older: []OlderPart{}, Substitutes: []Instead{}, Class: p.Class()}
	var err error
	if f.TypeName, err = l.Name(note.ID(p.Type)); err != nil {
		return f, err
	}
	for _, fit := range p.Fits {
		name, err := l.Name(note.ID(fit.Appliance))
		if err != nil {
			return f, err
		}
		f.Fit = append(f.Fit, NamedFit{note.ID(fit.Appliance), name, fit.Serials})
	}
	if s != nil {
		fits := p.FitsOn(idTexts(s.Families), serial)
		f.FitsAppliance = &fits
	}
	chain, err := parts.Follow(l.Part, p.ID, serial)
	if err != nil {
		return f, err
	}
	for _, set := range chain.Today() {
		t := TodaySet{Serials: set.Serials.String(), Needs: set.Needs}
		for _, it := range set.Items {
			t.Items = append(t.Items, TodayItem{ID: it.Part.ID, Number: it.Part.Number, Maker: it.Part.Maker, Count: it.Count, Ends: string(it.End)})
		}
		f.Today = append(f.Today, t)
	}
	f.Chain = links(chain)
	if f.Older, err = l.older(p); err != nil {
		return f, err
	}
	f.Older = orNone(f.Older)
	substitutes, err := parts.Interchange(l.Part, p)
	if err != nil {
		return f, err
	}
	for _, sub := range substitutes {
		f.Substitutes = append(f.Substitutes, instead(sub))
	}
	f.Caveats, err = l.Alerts(note.ID(p.Type))
	return f, err
}

func orNone[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}

// links are the steps of a chain, each once, those nearest to its beginning first.
func links(c *parts.Chain) []ChainLink {
	out := []ChainLink{}
	done := map[parts.ID]bool{}
	level := []*parts.Chain{c}
	for len(level) > 0 {
		var next []*parts.Chain
		for _, c := range level {
			if done[c.Part.ID] {
				continue
			}
			done[c.Part.ID] = true
			for _, s := range c.Steps {
				link := ChainLink{From: c.Part.Number, Serials: s.Succession.Serials.String(), Needs: s.Needs, Says: cmp.Or(s.Where.String(), c.Part.Where.String())}
				for i, to := range s.To {
					link.To = append(link.To, counted(to.Part.Number, s.By[i].Count))
					if to.End != "" {
						link.Ends = string(to.End)
					}
				}
				out = append(out, link)
				next = append(next, s.To...)
			}
		}
		level = next
	}
	return out
}

func instead(s parts.Substitute) Instead {
	i := Instead{
		Number: s.Part.Number, Maker: s.Part.Maker, Name: s.Part.Name, Status: s.Part.Status, Grade: s.Grade,
		Distance: s.Distance, Differences: orNone(s.Differences), Refused: s.Refused,
	}
	for _, c := range s.Claims {
		i.By = append(i.By, fmt.Sprintf("%s (%s)", cmp.Or(c.Source, "nobody named"), c.Where))
		i.Needs = cmp.Or(c.Needs, i.Needs)
		i.Approved = c.Approved
	}
	return i
}
