package measure

import (
	"fmt"
	"maps"
	"slices"
	"strings"
)

// Pair is a key of a model with its value, as it was typed.
type Pair struct{ Key, Value string }

// Pairs reads keys and values as people type them. Words without "=" belong to the
// value before them, as in `volume=2 m3 in 600 s`; those before the first key are
// what the meter shows.
func Pairs(words []string) ([]Pair, error) {
	var out []Pair
	for _, w := range words {
		key, value, ok := strings.Cut(w, "=")
		switch {
		case ok && key != "k" && key != "(k" && key != "":
			out = append(out, Pair{key, value})
		case ok && len(out) == 0:
			return nil, fmt.Errorf("%q is not KEY=VALUE", w)
		case len(out) == 0:
			out = append(out, Pair{readsName, w})
		default:
			out[len(out)-1].Value += " " + w
		}
	}
	return out, nil
}

// Taken is a case of the model of a name with what was read and noted, as it was typed:
// what the meter shows first, then keys and values. What was not noted is filled in from
// data, see Fill.
func Taken(model, words string, data ...map[string]string) (*Given, error) {
	pairs, err := Pairs(strings.Fields(words))
	if err != nil {
		return nil, err
	}
	g, err := New(model)
	if err != nil {
		return nil, err
	}
	for _, p := range pairs {
		if err := g.Set(p.Key, p.Value); err != nil {
			return nil, err
		}
	}
	if !g.hasReads {
		return nil, fmt.Errorf("say what the meter showed, like 10.4k or OL")
	}
	return g, g.Fill(data...)
}

// Fill gives keys that are not set yet the values that they have in some data, the first
// that has one.
func (g *Given) Fill(data ...map[string]string) error {
	for _, d := range data {
		for _, key := range slices.Sorted(maps.Keys(d)) {
			if g.Has(key) {
				continue
			}
			if err := g.Set(key, d[key]); err != nil {
				return err
			}
		}
	}
	return nil
}

// Has reports whether a key has been set; false for one that the model does not
// have.
func (g *Given) Has(name string) bool {
	if strings.EqualFold(name, readsName) {
		return g.hasReads
	}
	i, err := g.model.key(name)
	return err == nil && g.values.given[i]
}
