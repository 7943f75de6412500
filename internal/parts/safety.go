package parts

import (
	"fmt"

	"kg/internal/note"
)

// safetyOf is the class of the component types that are known to have one. It stands
// here and not in their notes, so that no note that is put over another can take it
// away by leaving it out; a note of a type adds to it (note.Component).
var safetyOf = map[string]note.Safety{
	"gas-valve": note.Gas, "gas-supply": note.Gas, "pilot-assembly": note.Gas, "venturi": note.Gas, "gas-regulator": note.Gas,
	"safety-relief-valve": note.Relief, "relief-valve": note.Relief, "expansion-relief-valve": note.Relief,
	"temperature-pressure-relief-valve": note.Relief, "relief-discharge-pipe": note.Relief, "tundish": note.Relief,
	"open-vent-pipe": note.Relief, "pressure-reducing-valve": note.Relief, "cylinder-expansion-vessel": note.Relief,
	"limit-thermostat": note.TemperatureLimit, "thermal-cut-out": note.TemperatureLimit, "immersion-thermostat": note.TemperatureLimit,
	"thermostatic-mixing-valve": note.TemperatureLimit, "underfloor-mixing-valve": note.TemperatureLimit,
	"burner": note.Combustion, "fan": note.Combustion, "flue": note.Combustion, "flue-terminal": note.Combustion, "combustion-seal": note.Combustion,
	"combustion-air": note.Combustion, "flame-sensing-electrode": note.Combustion, "ignition-electrode": note.Combustion,
	"spark-generator": note.Combustion, "control-board": note.Combustion, "primary-heat-exchanger": note.Combustion, "co-alarm": note.Combustion,
	"oil-burner": note.Combustion, "oil-burner-control": note.Combustion, "oil-photocell": note.Combustion, "oil-solenoid-valve": note.Combustion,
	"oil-nozzle": note.Combustion, "oil-ignition-electrodes": note.Combustion, "oil-ignition-transformer": note.Combustion,
	"oil-fire-valve": note.Combustion, "control-thermostat": note.TemperatureLimit,
	"condensate-trap":     note.Combustion, // its seal keeps combustion gases in
	"air-pressure-switch": note.PressureSensing, "pressure-sensor": note.PressureSensing, "hot-water-flow-switch": note.PressureSensing,
	"pressure-gauge": note.PressureSensing,
}

// SafetyOfType is the class of a component type, and of the wider types that it
// belongs to; NoSafety if none of them is known to have one.
func SafetyOfType(types ...string) note.Safety {
	for _, t := range types {
		if s, ok := safetyOf[t]; ok {
			return s
		}
	}
	return note.NoSafety
}

// Class is what a part keeps people safe from: what its list says, or else what
// its type is known for. A list cannot take away what a type is known for.
func (p *Part) Class() note.Safety {
	if s := SafetyOfType(p.Type); s != note.NoSafety {
		return s
	}
	return p.Safety
}

// refusal says why a part may not stand in for one that keeps people safe.
func refusal(s note.Safety) string {
	what := map[note.Safety]string{
		note.Gas: "it holds gas back", note.Relief: "it lets pressure or heat out before something bursts",
		note.TemperatureLimit: "it is what stops overheating or scalding", note.Combustion: "it is part of safe combustion",
		note.PressureSensing: "it proves that air or water is there",
	}[s]
	return fmt.Sprintf("safety part (%s): %s. Only the maker's own number, or one the maker approves in writing, goes in; "+
		"no note says so of this one. Look in the maker's instructions", s, what)
}
