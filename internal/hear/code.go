package hear

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"kg/internal/archive"
	"kg/internal/library"
	"kg/internal/note"
)

var (
	codeInText  = regexp.MustCompile(`(?i)\b(?:(?:code|fault|error)\s+)?([a-z]{1,3}[ .:-]?\d{1,4})\b|\b(?:code|fault|error)\s+(\d{1,6})\b`)
	codeAlone   = regexp.MustCompile(`(?i)^\s*(?:(?:fault|error)?\s*code|fault|error)?\s*([a-z]{0,3}[ .:-]?\d{1,6})\s*$`)
	codeWrapper = regexp.MustCompile(`(?i)\b(?:shows?|showing|displays?|displaying|flashing|flashes|fault|error|code|codes|the|it|with|a|an|on|screen|display)\b`)
)

// codes finds fault codes in a text and what they stand for, of the chosen
// appliance first. It returns the text without the codes it knew.
func (e *ear) codes(text string, s *library.Scope) (rest string, found []Finding, remarks []string, err error) {
	alone := codeAlone.FindStringSubmatch(text)
	if alone != nil {
		u, say, err := e.code(alone[1], s)
		if err != nil {
			return "", nil, nil, err
		}
		if u == nil {
			near, err := e.unknownCode(alone[1], s)
			return "", nil, append(say, near), err
		}
		return "", []Finding{*u}, say, nil
	}
	rest = text
	for _, m := range codeInText.FindAllStringSubmatch(text, mostSenses) {
		shown := m[1] + m[2]
		u, say, err := e.code(shown, s)
		if err != nil {
			return "", nil, nil, err
		}
		if u == nil {
			continue // "R32" or "G3" are no fault codes
		}
		found = append(found, *u)
		remarks = append(remarks, say...)
		rest = strings.Replace(rest, m[0], " ", 1)
	}
	if len(found) > 0 && strings.TrimSpace(codeWrapper.ReplaceAllString(rest, "")) == "" {
		rest = ""
	}
	return rest, found, remarks, nil
}

// code returns what a code stands for: on the chosen appliance and its families,
// else on all appliances that use it.
func (e *ear) code(shown string, s *library.Scope) (*Finding, []string, error) {
	all, err := e.Codes(shown)
	if err != nil || len(all) == 0 {
		return nil, nil, err
	}
	var remarks []string
	use := all
	if s != nil {
		use = slices.DeleteFunc(slices.Clone(all), func(c archive.Code) bool { return !slices.Contains(s.Families, c.Appliance) })
		if len(use) == 0 {
			remarks = append(remarks, fmt.Sprintf("%s is not a code of %s; shown is what it means on other appliances: check the maker's list", shown, s.Name))
			use = all
		}
	}
	var means []note.ID
	for _, c := range use {
		for _, id := range c.Means {
			if !slices.Contains(means, id) {
				means = append(means, id)
			}
		}
		if s == nil || len(remarks) > 0 {
			name, err := e.Name(c.Appliance)
			if err != nil {
				return nil, nil, err
			}
			remarks = append(remarks, fmt.Sprintf("%s on %s (--appliance %s)", c.Shown, name, c.Appliance))
		}
	}
	u := &Finding{Text: shown, Present: true, Code: use[0].Shown}
	for _, id := range means {
		t, err := e.Title(id)
		if errors.Is(err, archive.ErrNotFound) {
			continue // left out of the library
		}
		if err != nil {
			return nil, nil, err
		}
		u.Senses = append(u.Senses, Sense{ID: id, Kind: t.Kind, Name: t.Full, Score: 1, Weight: 1})
	}
	if len(u.Senses) == 0 {
		return nil, append(remarks, fmt.Sprintf("what the code %s means was left out of the library: `kg lint` says why", shown)), nil
	}
	share(u.Senses)
	return u, remarks, nil
}

// unknownCode says that a code is not known and which are like it.
func (e *ear) unknownCode(shown string, s *library.Scope) (string, error) {
	near, err := e.NearCodes(shown)
	if err != nil {
		return "", err
	}
	where := "no appliance in the library"
	if s != nil {
		near = slices.DeleteFunc(near, func(c archive.Code) bool { return !slices.Contains(s.Families, c.Appliance) })
		where = s.Name + " does not have it and no other appliance in the library"
	}
	var list []string
	for _, c := range near[:min(5, len(near))] {
		list = append(list, fmt.Sprintf("%s (%s)", c.Shown, c.Appliance))
	}
	say := fmt.Sprintf("the code %s is not known: %s uses it", strings.TrimSpace(shown), where)
	if len(list) > 0 {
		say += "; near: " + strings.Join(list, ", ")
	}
	return say, nil
}
