package note

import (
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v3"
)

// Context is what is known about a call-out before anything is looked at, and
// makes some modes more or less likely.
type Context string

// The contexts that a mode can speak of.
const (
	Frost        Context = "frost"           // it freezes, or did last night
	Summer       Context = "summer"          // the heating season is over
	FirstCold    Context = "first-cold-days" // the heating came on for the first time
	NewAppliance Context = "new"             // up to two years old
	OldAppliance Context = "old"             // more than twelve years old
	WorkedOn     Context = "worked-on"       // someone worked on this component lately
)

// Contexts returns the valid keys of the `likelier` field.
func Contexts() []Context {
	return []Context{Frost, Summer, FirstCold, NewAppliance, OldAppliance, WorkedOn}
}

// Factor is how many times the odds of a mode are in a context what they are on
// average.
type Factor struct {
	In    Context `json:"in"`
	Times float64 `json:"times"`
}

// mostTimes bounds a factor, and its inverse.
const mostTimes = 1000

func factors(to *[]Factor) reader {
	return func(d *decoder, n *yaml.Node) {
		d.pairs(n, func(k, v *yaml.Node) {
			in := Context(k.Value)
			if !slices.Contains(Contexts(), in) {
				var valid []string
				for _, c := range Contexts() {
					valid = append(valid, string(c))
				}
				d.fail(k, "bad-context", "%q is no context%s: one of %s", in, didYouMean(string(in), valid), strings.Join(valid, ", "))
				return
			}
			s, ok := d.scalar(v)
			if !ok {
				return
			}
			if d.note.FirstFigure.Line == 0 {
				d.note.FirstFigure = d.pos(v)
			}
			times, err := strconv.ParseFloat(s, 64)
			if err != nil || !(times >= 1.0/mostTimes && times <= mostTimes) {
				d.fail(v, "bad-factor", "%q is no factor: write how many times the odds are, like 5 or 0.2", s)
				return
			}
			*to = append(*to, Factor{in, times})
		})
	}
}
