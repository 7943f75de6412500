package measure

import (
	"fmt"
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

// Has reports whether a key has been set; false for one that the model does not
// have.
func (g *Given) Has(name string) bool {
	if strings.EqualFold(name, readsName) {
		return g.hasReads
	}
	i, err := g.model.key(name)
	return err == nil && g.values.given[i]
}
