package catalogue

import (
	"fmt"
	"strings"

	"kg/internal/library"
	"kg/internal/parts"
	"kg/internal/spell"
)

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
	near, ok := spell.Nearest(string(key), keys)
	if !ok {
		return nil, nil
	}
	return l.nearestParts([]parts.ID{of[near]}, "the nearest number")
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
