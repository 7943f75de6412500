package parts

import (
	"fmt"
	"strings"

	"kg/internal/units"
)

// written are the units that may stand in lists, the first of each kind being the one
// that values are held in. Lists do not say of what kind a value is, so that no name
// stands for two kinds here: m is a metre, and never milliohms or minutes.
var written = []struct {
	kind  units.Kind
	names string
}{
	{units.Pressure, "bar mbar Pa kPa MPa psi mH2O"},
	{units.Voltage, "V VAC VDC mV kV"},
	{units.Current, "A mA uA µA"},
	{units.Power, "W kW mW MW"},
	{units.Length, "mm cm m in"},
	{units.Volume, "l litre litres ml"},
	{units.Flow, "l/min l/h l/s m3/h"},
	{units.Resistance, "ohm kohm mOhm MOhm Ω kΩ"},
	{units.Temperature, "C °C"},
	{units.Frequency, "Hz"},
	{units.Capacitance, "uF µF"},
	{units.Duration, "s min"},
}

type unit struct {
	kind   units.Kind
	factor float64 // to the first unit of the kind
}

// unitsWritten maps the names of units, as they stand and in small letters, but for
// those that only capitals tell apart.
var unitsWritten = func() map[string]unit {
	out := map[string]unit{"": {units.Number, 1}, "pin": {units.Number, 1}, "pins": {units.Number, 1}}
	low := map[string][]unit{}
	for _, w := range written {
		first := 0.0
		for name := range strings.FieldsSeq(w.names) {
			factor := units.Usual(w.kind, name).Factor
			if first == 0 {
				first = factor
			}
			u := unit{w.kind, factor / first}
			out[name] = u
			low[strings.ToLower(name)] = append(low[strings.ToLower(name)], u)
		}
	}
	for name, all := range low {
		if len(all) == 1 {
			out[name] = all[0]
		}
	}
	return out
}()

// unitNamed looks a unit up as it is written.
func unitNamed(s string) (unit, error) {
	if u, ok := unitsWritten[s]; ok {
		return u, nil
	}
	if u, ok := unitsWritten[strings.ToLower(s)]; ok {
		return u, nil
	}
	return unit{}, fmt.Errorf("%q is not a unit that is known here", s)
}
