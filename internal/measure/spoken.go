package measure

import (
	"math"
	"regexp"
	"strings"

	"kg/internal/units"
)

// spokenFigure is a number as people say one, with the word before it and the one after,
// which may be its unit.
var spokenFigure = regexp.MustCompile(`(?i)(?:(\bat|@)\s*)?(?:(?:about|around|roughly|approx\.?|~)\s*)?(\d+(?:[.,]\d+)?)\s*([\p{L}µΩ°%][\p{L}/°0-9²³]*)?`)

// atName is the key that a bare number after "at" is of, where a model has it.
const atName = "at"

// spokenUnits are units as people say them, beside those of a meter.
var spokenUnits = map[string]string{"deg": "C", "degs": "C", "degree": "C", "degrees": "C", "°": "C", "kay": "k"}

// Spoken finds in words what a meter showed, and under which conditions: in "3.1 k at
// 55, spot on" the resistance of a thermistor and its temperature. The reading needs its
// unit; what follows "at" is for a key of that name, or one that has to be known. There are no
// pairs where the words hold no figure for the reading, or several.
func (g *Given) Spoken(text string) []Pair {
	reads := ""
	var others []Pair
	for _, f := range spokenFigure.FindAllStringSubmatch(text, -1) {
		at, number, unit := f[1] != "", f[2], f[3]
		if said := spokenUnits[strings.ToLower(unit)]; said != "" {
			unit = said
		}
		switch {
		case at:
			if k, u := g.condition(unit); k != nil {
				others = append(others, Pair{k.Name, number + u.Name()})
			}
		case unit != "" && units.Find(g.model.Kind, unit) != nil:
			if reads != "" {
				return nil
			}
			reads = number + unit
		}
	}
	if reads == "" || len(others) > 1 {
		return nil
	}
	return append([]Pair{{readsName, reads}}, others...)
}

// condition is the key that a figure after "at" is of, and its unit: the one that has to
// be known and that the unit suits, or, where what follows the number is no unit, the one
// that is named just so or the only one.
func (g *Given) condition(unit string) (*Key, *units.Unit) {
	var bare *Key
	needed := 0
	for i := range g.model.Keys {
		k := &g.model.Keys[i]
		if g.values.given[i] || k.Kind == units.Word || k.Name != atName && (k.Optional || !math.IsNaN(k.Default)) {
			continue
		}
		if u := units.Find(k.Kind, unit); unit != "" && u != nil {
			return k, u
		}
		if needed++; needed == 1 || k.Name == atName {
			bare = k
		}
	}
	if bare == nil || needed > 1 && bare.Name != atName {
		return nil, nil
	}
	return bare, units.Usual(bare.Kind, bare.Unit)
}
