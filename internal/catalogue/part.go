package catalogue

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"kg/internal/hear"
	"kg/internal/library"
	"kg/internal/link"
	"kg/internal/note"
	"kg/internal/parts"
	"kg/internal/term"
)

// PartQuestion asks for a part by its number, in any spelling, or by the words for
// its type.
type PartQuestion struct {
	Text      string
	Appliance note.ID      // empty for any
	Serial    parts.Serial // of the appliance; empty for any
}

// PartAnswer is what `kg part` says. Its JSON form is part of the program's
// interface.
type PartAnswer struct {
	Query     string       `json:"query"`
	Appliance note.ID      `json:"appliance,omitempty"`
	Serial    parts.Serial `json:"serial,omitempty"`
	// Found are the parts that have the number; several makers may use one.
	Found []PartFound `json:"found,omitempty"`
	// Component and Today are what the words stand for, and its parts.
	Component     note.ID       `json:"component,omitempty"`
	ComponentName string        `json:"component_name,omitempty"`
	Others        []PartType    `json:"or,omitempty"` // other types that the words may mean
	Today         []TodayPart   `json:"today,omitempty"`
	More          int           `json:"more,omitempty"` // parts that were left out
	Near          []PartNearest `json:"near,omitempty"`
}

// PartNearest is a number that is somewhat like one that nobody has.
type PartNearest struct {
	Number string `json:"number"`
	Maker  string `json:"maker"`
	Name   string `json:"name,omitempty"`
	Why    string `json:"why"`
}

// PartFound is one part with all that is known of it.
type PartFound struct {
	*parts.Part
	TypeName string `json:"type_name"`
	// FitsAppliance says whether it fits the appliance that was asked about.
	FitsAppliance *bool           `json:"fits_appliance,omitempty"`
	Fit           []NamedFit      `json:"fits_on"`
	Class         note.Safety     `json:"safety_class,omitempty"`
	Today         []TodaySet      `json:"today"`
	Chain         []ChainLink     `json:"chain"`
	Older         []OlderPart     `json:"older"`
	Substitutes   []Instead       `json:"interchanges"`
	Caveats       []library.Alert `json:"caveats,omitempty"`
}

// NamedFit is an appliance that a part fits, with its name.
type NamedFit struct {
	Appliance note.ID     `json:"appliance"`
	Name      string      `json:"name"`
	Serials   parts.Range `json:"serials,omitzero"`
}

// TodaySet is what is ordered today, together, for some serial numbers.
type TodaySet struct {
	Items   []TodayItem `json:"items"`
	Serials string      `json:"serials,omitempty"`
	Needs   []string    `json:"needs,omitempty"`
}

// TodayItem is one part of a set. Ends says why it cannot be ordered, if so.
type TodayItem struct {
	ID     parts.ID `json:"-"`
	Number string   `json:"number"`
	Maker  string   `json:"maker,omitempty"`
	Count  int      `json:"count"`
	Ends   string   `json:"ends,omitempty"`
	Stock  string   `json:"stock,omitempty"`
}

// ChainLink is one step of a supersession.
type ChainLink struct {
	From    string   `json:"from"`
	To      []string `json:"to"`
	Serials string   `json:"serials,omitempty"`
	Needs   []string `json:"needs,omitempty"`
	Says    string   `json:"says"` // the list or note that says so
	Ends    string   `json:"ends,omitempty"`
}

// OlderPart is a number that was replaced, with what its replacement needed.
type OlderPart struct {
	Number  string   `json:"number"`
	Serials string   `json:"serials,omitempty"`
	Needs   []string `json:"needs,omitempty"`
	With    []string `json:"with,omitempty"`
}

// TodayPart is a part that is ordered today, with the older numbers it replaces.
type TodayPart struct {
	ID      parts.ID    `json:"-"`
	Number  string      `json:"number"`
	Maker   string      `json:"maker"`
	Name    string      `json:"name,omitempty"`
	Type    note.ID     `json:"type"`
	Status  note.Status `json:"status"`
	Serials string      `json:"serials,omitempty"`
	Older   []OlderPart `json:"older,omitempty"`
	Says    string      `json:"says"`
	Stock   string      `json:"stock,omitempty"`

	price, space int
}

// PartType is a generic component type that a repair puts in.
type PartType struct {
	Component note.ID `json:"component"`
	Name      string  `json:"name"`
}

// Instead is a part that may, or must not, stand in for another.
type Instead struct {
	Number      string             `json:"number"`
	Maker       string             `json:"maker"`
	Name        string             `json:"name,omitempty"`
	Status      note.Status        `json:"status,omitempty"`
	Grade       note.Grade         `json:"grade"`
	By          []string           `json:"by,omitempty"` // who claims it, step by step
	Needs       string             `json:"needs,omitempty"`
	Approved    bool               `json:"approved,omitempty"`
	Distance    float64            `json:"distance"`
	Differences []parts.Difference `json:"differences,omitempty"`
	Refused     string             `json:"refused,omitempty"`
}

// mostOfType bounds how many parts are listed by type.
const mostOfType = 40

// shelf looks parts up in one library.
type shelf struct{ *library.Library }

// LookUp looks a part up, by number or by words. An answer with nothing but Near
// means that no part was found.
func LookUp(ctx context.Context, lib *library.Library, q PartQuestion) (PartAnswer, error) {
	a, err := shelf{lib}.part(ctx, q)
	if err != nil {
		return a, fmt.Errorf("looking the part %q up: %w", term.Shortened(q.Text), err)
	}
	return a, nil
}

func (l shelf) part(ctx context.Context, q PartQuestion) (PartAnswer, error) {
	a := PartAnswer{Query: q.Text, Appliance: q.Appliance, Serial: q.Serial}
	s, err := l.Scope(ctx, q.Appliance)
	if err != nil {
		return a, err
	}
	found, err := l.numbered(q.Text)
	if err != nil {
		return a, err
	}
	for _, p := range found {
		f, err := l.partFound(p, s, q.Serial)
		if err != nil {
			return a, err
		}
		a.Found = append(a.Found, f)
	}
	if len(found) > 0 {
		return a, nil
	}
	if a.Near, err = l.alikeNumbers(q.Text); err != nil || len(a.Near) > 0 {
		return a, err
	}
	if err := l.partByWords(ctx, q, s, &a); err != nil {
		return a, err
	}
	if a.Component == "" && strings.ContainsAny(q.Text, "0123456789") {
		a.Near, err = l.besideNumber(q.Text)
	}
	return a, err
}

// wordsIn are the words of a question that are no number and no name of a maker.
func (l shelf) wordsIn(text string) (string, error) {
	makers, err := l.Makers()
	if err != nil {
		return "", err
	}
	var out []string
	for _, w := range strings.Fields(text) {
		ofMaker := slices.ContainsFunc(makers, func(m string) bool {
			return slices.ContainsFunc(strings.Fields(m), func(part string) bool { return strings.EqualFold(part, w) })
		})
		if !ofMaker && !strings.ContainsAny(w, "0123456789") {
			out = append(out, w)
		}
	}
	return strings.Join(out, " "), nil
}

func (l shelf) partByWords(ctx context.Context, q PartQuestion, s *library.Scope, a *PartAnswer) error {
	const some = 4
	text, err := l.wordsIn(q.Text)
	if err != nil || text == "" {
		return err
	}
	found, err := hear.Near(l.Library, text, some, note.KindComponent)
	if err != nil {
		return err
	}
	for _, s := range found {
		if a.Component == "" {
			a.Component, a.ComponentName = s.ID, s.Name
			continue
		}
		a.Others = append(a.Others, PartType{s.ID, s.Name})
	}
	if a.Component == "" {
		return nil
	}
	types, err := l.narrower(ctx, a.Component)
	if err != nil {
		return err
	}
	if a.Today, a.More, err = l.todays(types, s, q.Serial); err != nil {
		return err
	}
	if n := len(a.Today); n > mostOfType {
		a.More += n - mostOfType
		a.Today = a.Today[:mostOfType]
	}
	return nil
}

// narrower is a component type with those that are kinds of it.
func (l shelf) narrower(ctx context.Context, id note.ID) ([]note.ID, error) {
	out := []note.ID{id}
	for i := 0; i < len(out); i++ {
		edges, err := l.In(ctx, out[i], link.IsA)
		if err != nil {
			return nil, err
		}
		for _, e := range edges {
			if !slices.Contains(out, e.From) {
				out = append(out, e.From)
			}
		}
	}
	return out, nil
}
