package catalogue

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"kg/internal/archive"
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
	Class         string          `json:"safety_class,omitempty"`
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
	Status  string      `json:"status"`
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
	Status      string             `json:"status,omitempty"`
	Grade       parts.Grade        `json:"grade"`
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

// numbered are the parts of a number. Words before the number may name the maker.
func (l shelf) numbered(text string) ([]*parts.Part, error) {
	words := strings.Fields(text)
	for i := range words {
		key := parts.KeyOf(strings.Join(words[i:], " "))
		if key == "" {
			continue
		}
		ids, err := l.Numbered(key)
		for _, form := range []parts.Key{parts.Grouped(strings.Join(words[i:], " ")), key} {
			if err == nil && len(ids) == 0 {
				ids, err = l.Grouped(form)
			}
		}
		if err != nil {
			return nil, err
		}
		maker := parts.KeyOf(strings.Join(words[:i], " "))
		var out []*parts.Part
		for _, id := range ids {
			p, err := l.Part(id)
			if err != nil {
				return nil, err
			}
			if p != nil && strings.HasPrefix(string(parts.KeyOf(p.Maker)), string(maker)) {
				out = append(out, p)
			}
		}
		if len(out) > 0 {
			return out, nil
		}
	}
	return nil, nil
}

// alikeNumbers are the parts whose number differs by letters that are taken for
// digits.
func (l shelf) alikeNumbers(text string) ([]PartNearest, error) {
	if !strings.ContainsAny(text, "0123456789") {
		return nil, nil // words, that are no number by their letters alone
	}
	words := strings.Fields(text)
	for i := range words { // those before the number may name the maker
		ids, err := l.Alike(parts.Alike(strings.Join(words[i:], " ")))
		if err != nil {
			return nil, err
		}
		if len(ids) > 0 {
			return l.nearestParts(ids, "a letter in it may be a digit, or the other way round")
		}
	}
	return nil, nil
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

func (l shelf) nearestParts(ids []parts.ID, why string) ([]PartNearest, error) {
	const some = 5
	var out []PartNearest
	for _, id := range ids[:min(some, len(ids))] {
		p, err := l.Part(id)
		if err != nil {
			return nil, err
		}
		if p != nil {
			out = append(out, PartNearest{p.Number, p.Maker, p.Name, why})
		}
	}
	return out, nil
}

// besideNumber are the parts whose numbers are most like one that nobody has.
func (l shelf) besideNumber(text string) ([]PartNearest, error) {
	const around = 50
	key := parts.KeyOf(text)
	ids, err := l.Beside(key, around)
	if err != nil {
		return nil, err
	}
	var keys []string
	of := map[string]parts.ID{}
	for _, id := range ids {
		keys = append(keys, string(id.Key()))
		of[string(id.Key())] = id
	}
	near, ok := note.Nearest(string(key), keys)
	if !ok {
		return nil, nil
	}
	return l.nearestParts([]parts.ID{of[near]}, "the nearest number")
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

func statusRank(s string) int { return slices.Index(parts.Statuses(), parts.Status(s)) }

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

func statusOf(p *parts.Part, end parts.DeadEnd) string {
	switch {
	case end == parts.EndWithdrawn:
		return string(parts.Withdrawn)
	case end != "":
		return string(parts.Superseded)
	case p.Status != "":
		return string(p.Status)
	}
	return string(parts.Current)
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

func (l shelf) partFound(p *parts.Part, s *library.Scope, serial parts.Serial) (PartFound, error) {
	f := PartFound{Part: p, Fit: []NamedFit{}, Today: []TodaySet{}, Chain: []ChainLink{}, Older: []OlderPart{}, Substitutes: []Instead{}, Class: string(p.Class())}
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
		Number: s.Part.Number, Maker: s.Part.Maker, Name: s.Part.Name, Status: string(s.Part.Status), Grade: s.Grade,
		Distance: s.Distance, Differences: orNone(s.Differences), Refused: s.Refused,
	}
	for _, c := range s.Claims {
		i.By = append(i.By, fmt.Sprintf("%s (%s)", cmp.Or(c.Source, "nobody named"), c.Where))
		i.Needs = cmp.Or(c.Needs, i.Needs)
		i.Approved = c.Approved
	}
	return i
}

// MatchAnswer is what `kg part match` says.
type MatchAnswer struct {
	Of      PartFound `json:"of"`
	Matches []Instead `json:"matches"`
	// Looked is how many parts of the type were compared.
	Looked int `json:"looked"`
}

// MatchPart ranks parts of the same type by how far their attributes are from
// those of one.
func MatchPart(ctx context.Context, lib *library.Library, number string, most int) (MatchAnswer, error) {
	var a MatchAnswer
	l := shelf{lib}
	of, err := l.onePart(number)
	if err != nil {
		return a, err
	}
	if a.Of, err = l.partFound(of, nil, ""); err != nil {
		return a, err
	}
	ids, err := l.OfType(of.Type, "")
	if err != nil {
		return a, err
	}
	var candidates []*parts.Part
	for _, id := range ids {
		p, err := l.Part(id)
		if err != nil {
			return a, err
		}
		if p != nil {
			candidates = append(candidates, p)
		}
	}
	a.Looked = len(candidates)
	a.Matches = []Instead{}
	for _, s := range parts.Match(of, candidates, most) {
		a.Matches = append(a.Matches, instead(s))
	}
	return a, ctx.Err()
}

// PartNotFound says that no part has a number, and which is nearest.
type PartNotFound struct {
	Number string
	Near   []PartNearest
}

func (e *PartNotFound) Error() string {
	if len(e.Near) > 0 {
		return fmt.Sprintf("no list has the number %q: did you mean %s %s?", e.Number, e.Near[0].Maker, e.Near[0].Number)
	}
	return fmt.Sprintf("no list has the number %q: `kg part WORDS` looks by what it is", e.Number)
}

// AmbiguousPart says that several makers use a number.
type AmbiguousPart struct {
	Number string
	Makers []string
}

func (e *AmbiguousPart) Error() string {
	return fmt.Sprintf("%q is a number of %s: put the maker before it", e.Number, strings.Join(e.Makers, " and of "))
}

// onePart is the part of a number, which may have its maker before it.
func (l shelf) onePart(number string) (*parts.Part, error) {
	found, err := l.numbered(number)
	if err != nil {
		return nil, err
	}
	if len(found) > 1 {
		e := &AmbiguousPart{Number: number}
		for _, p := range found {
			e.Makers = append(e.Makers, p.Maker)
		}
		return nil, e
	}
	if len(found) == 1 {
		return found[0], nil
	}
	e := &PartNotFound{Number: number}
	if e.Near, err = l.alikeNumbers(number); err == nil && len(e.Near) == 0 {
		e.Near, err = l.besideNumber(number)
	}
	if err != nil {
		return nil, err
	}
	return nil, e
}

// OnePart is the part of a number, which may have its maker before it. The error
// is a *PartNotFound or an *AmbiguousPart where there is not exactly one.
func OnePart(lib *library.Library, number string) (*parts.Part, error) {
	return shelf{lib}.onePart(number)
}
