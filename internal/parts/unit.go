package parts

import (
	"fmt"
	"strings"
)

// dimension is what kind of quantity a unit measures.
type dimension string

const (
	pressure    dimension = "pressure"
	voltage     dimension = "voltage"
	current     dimension = "current"
	power       dimension = "power"
	length      dimension = "length"
	volume      dimension = "volume"
	flow        dimension = "flow"
	resistance  dimension = "resistance"
	temperature dimension = "temperature"
	frequency   dimension = "frequency"
	capacitance dimension = "capacitance"
	duration    dimension = "time"
	number      dimension = "number"
)

type unit struct {
	dimension dimension
	factor    float64 // to the first unit of the dimension
}

// units by their names in lower case; those that differ by case alone come first
// in exact.
var (
	exact = map[string]unit{"mOhm": {resistance, 1e-3}, "MOhm": {resistance, 1e6}, "mW": {power, 1e-3}, "MW": {power, 1e6}}
	units = map[string]unit{
		"bar": {pressure, 1}, "mbar": {pressure, 1e-3}, "pa": {pressure, 1e-5}, "kpa": {pressure, 1e-2}, "mpa": {pressure, 10},
		"psi": {pressure, 0.0689475729}, "mh2o": {pressure, 0.0980665},
		"v": {voltage, 1}, "vac": {voltage, 1}, "vdc": {voltage, 1}, "mv": {voltage, 1e-3}, "kv": {voltage, 1e3},
		"a": {current, 1}, "ma": {current, 1e-3}, "ua": {current, 1e-6}, "µa": {current, 1e-6},
		"w": {power, 1}, "kw": {power, 1e3},
		"mm": {length, 1}, "cm": {length, 10}, "m": {length, 1000}, "in": {length, 25.4},
		"l": {volume, 1}, "litre": {volume, 1}, "litres": {volume, 1}, "ml": {volume, 1e-3},
		"l/min": {flow, 1}, "l/h": {flow, 1.0 / 60}, "l/s": {flow, 60}, "m3/h": {flow, 1000.0 / 60},
		"ohm": {resistance, 1}, "kohm": {resistance, 1e3}, "ω": {resistance, 1}, "kω": {resistance, 1e3},
		"c": {temperature, 1}, "°c": {temperature, 1}, "hz": {frequency, 1}, "uf": {capacitance, 1}, "µf": {capacitance, 1},
		"s": {duration, 1}, "min": {duration, 60}, "": {number, 1}, "pin": {number, 1}, "pins": {number, 1},
	}
)

// unitNamed looks a unit up as it is written.
func unitNamed(s string) (unit, error) {
	if u, ok := exact[s]; ok {
		return u, nil
	}
	if u, ok := units[strings.ToLower(s)]; ok {
		return u, nil
	}
	return unit{}, fmt.Errorf("%q is no unit that is known here", s)
}
