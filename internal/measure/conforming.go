package measure

import (
	"fmt"
	"math"

	"kg/internal/units"
)

const (
	conformLower = iota
	conformUpper
	conformUncertainty
)

func conformLimits(v *values) (low, high float64) {
	low, high = math.Inf(-1), math.Inf(1)
	if v.known(conformLower) {
		low = v.x[conformLower]
	}
	if v.known(conformUpper) {
		high = v.x[conformUpper]
	}
	return low, high
}

var conformityModels = []*Model{{
	Name: "conformity", Also: []string{"jcgm106", "conforms"}, About: "probability that a measured quantity is within its limits; all in one unit",
	Keys: []Key{
		{Name: "lower", Also: []string{"tl", "low", "min"}, About: "lower limit", Kind: units.Number, Unit: "-", Low: -1e15, High: 1e15, Default: none, Optional: true},
		{Name: "upper", Also: []string{"tu", "high", "max"}, About: "upper limit", Kind: units.Number, Unit: "-", Low: -1e15, High: 1e15, Default: none, Optional: true},
		{Name: "uncertainty", Also: []string{"u"}, About: "standard uncertainty of the reading", Kind: units.Number, Unit: "-", Low: 0, High: 1e15, Default: none},
	},
	Kind: units.Number, Unit: "-", ReadsAlso: []string{"y", "measured"}, Source: "JCGM 106:2012, clause 7",
	check: func(v *values) error {
		low, high := conformLimits(v)
		switch {
		case !v.known(conformLower) && !v.known(conformUpper):
			return fmt.Errorf("it needs lower, upper or both, like upper=-5.40")
		case low > high:
			return fmt.Errorf("lower (%s) is above upper (%s): swap them", figure(low), figure(high))
		}
		return nil
	},
	predict:     func(*values) float64 { return none },
	approximate: func(v *values, _ float64) float64 { return v.x[conformUncertainty] },
	limits:      conformLimits,
	formula: func(v *values, _ float64) string {
		return fmt.Sprintf("p = Phi((TU - y)/u) - Phi((TL - y)/u), u = %s", figure(v.x[conformUncertainty]))
	},
	more: func(v *values, _ float64) []Detail {
		u := v.x[conformUncertainty]
		return []Detail{{"guard band for 95 in 100", guardBand(0.95, u), "-"}}
	},
}}
