package parts

import "fmt"

// Safety is what a part keeps people safe from. A part with one is exchanged for
// what its maker says, and for nothing else.
type Safety string

const (
	NoSafety         Safety = ""
	Gas              Safety = "gas"
	Relief           Safety = "relief"
	TemperatureLimit Safety = "temperature-limit"
	Combustion       Safety = "combustion"
	PressureSensing  Safety = "pressure-sensing"
)

// safeties returns the classes of parts that keep people safe.
func safeties() []Safety {
	return []Safety{Gas, Relief, TemperatureLimit, Combustion, PressureSensing}
}

// safetyOf is the class of the component types that are known to have one.
var safetyOf = map[string]Safety{
	"gas-valve": Gas, "gas-supply": Gas, "pilot-assembly": Gas, "venturi": Gas, "gas-regulator": Gas,
	"safety-relief-valve": Relief, "relief-valve": Relief, "expansion-relief-valve": Relief,
	"temperature-pressure-relief-valve": Relief, "relief-discharge-pipe": Relief, "tundish": Relief,
	"open-vent-pipe": Relief, "pressure-reducing-valve": Relief, "cylinder-expansion-vessel": Relief,
	"limit-thermostat": TemperatureLimit, "thermal-cut-out": TemperatureLimit, "immersion-thermostat": TemperatureLimit,
	"thermostatic-mixing-valve": TemperatureLimit, "underfloor-mixing-valve": TemperatureLimit,
	"burner": Combustion, "fan": Combustion, "flue": Combustion, "flue-terminal": Combustion, "combustion-seal": Combustion,
	"combustion-air": Combustion, "flame-sensing-electrode": Combustion, "ignition-electrode": Combustion,
	"spark-generator": Combustion, "control-board": Combustion, "primary-heat-exchanger": Combustion, "co-alarm": Combustion,
	"oil-burner": Combustion, "oil-burner-control": Combustion, "oil-photocell": Combustion, "oil-solenoid-valve": Combustion,
	"oil-nozzle": Combustion, "oil-ignition-electrodes": Combustion, "oil-ignition-transformer": Combustion,
	"oil-fire-valve": Combustion, "control-thermostat": TemperatureLimit,
	"condensate-trap":     Combustion, // its seal keeps combustion gases in
	"air-pressure-switch": PressureSensing, "pressure-sensor": PressureSensing, "hot-water-flow-switch": PressureSensing,
	"pressure-gauge": PressureSensing,
}

// SafetyOfType is the class of a component type, and of the wider types that it
// belongs to; NoSafety if none of them is known to have one.
func SafetyOfType(types ...string) Safety {
	for _, t := range types {
		if s, ok := safetyOf[t]; ok {
			return s
		}
	}
	return NoSafety
}

// Class is what a part keeps people safe from: what its list says, or else what
// its type is known for. A list cannot take away what a type is known for.
func (p *Part) Class() Safety {
	if s := SafetyOfType(p.Type); s != NoSafety {
		return s
	}
	return p.Safety
}

// refusal says why a part may not stand in for one that keeps people safe.
func refusal(s Safety) string {
	what := map[Safety]string{
		Gas: "it holds gas back", Relief: "it lets pressure or heat out before something bursts",
		TemperatureLimit: "it is what stops overheating or scalding", Combustion: "it is part of safe combustion",
		PressureSensing: "it proves that air or water is there",
	}[s]
	return fmt.Sprintf("safety part (%s): %s. Only the maker's own number, or one the maker approves in writing, goes in; "+
		"no note says so of this one. Look in the maker's instructions", s, what)
}
