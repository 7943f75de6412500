package measure

import (
	"fmt"
	"math"

	"kg/internal/signal"
	"kg/internal/units"
)

// kilowatt is a power.
type kilowatt float64

// tradeHeat is the shortcut of the trade, in kJ/(l K).
const tradeHeat = 4.19

// heatOutput is the heat that a flow in litres per second carries from the supply
// to the return temperature, by the enthalpies of water at 2.5 bar absolute. The
// flow is metered where the water has the temperature metered.
func heatOutput(litresPerSecond float64, supply, back, metered celsius) kilowatt {
	kg := litresPerSecond * water(metered, systemPressure).Density / 1000
	return kilowatt(kg * (water(supply, systemPressure).Enthalpy - water(back, systemPressure).Enthalpy))
}

// least is the smallest lift, in kelvin, for which a bound means anything.
const least = 1

// carnot is the bound on the performance of a heat pump between two temperatures:
// Th/(Th - Tc) in kelvin, infinite where the source is not the colder.
func carnot(source, supply celsius) float64 {
	if supply <= source {
		return math.Inf(1)
	}
	return (kelvin0 + float64(supply)) / float64(supply-source)
}

var (
	flowMeter   = Spread{Relative: 0.03}
	strapped    = Spread{Half: 0.5} // of one of a pair of probes used for a difference
	electricity = Spread{Relative: 0.02}
	hotPipes    = Caution{signal.Caution, "Pipes and water are hot enough to scald."}
)

const (
	outputFlow = iota
	outputSupply
	outputReturn
	outputDifference
	outputMetered
)

func litresKey(def float64, optional bool) Key {
	return Key{Name: "flow", Also: []string{"flow-rate", "rate", "q"}, About: "water flow", Kind: units.Flow, Unit: "l/s", Low: 1e-4, High: 1e4, Default: def, Optional: optional, Given: flowMeter}
}

func temperatureKey(name, about string, also ...string) Key {
	return Key{Name: name, Also: also, About: about, Kind: units.Temperature, Unit: "C", Low: 0, High: 120, Default: none, Optional: true, Given: strapped}
}

// between are the temperatures of a pair, or a rise alone.
func between(supply, back, difference int, names string) func(v *values) error {
	return func(v *values) error {
		switch {
		case v.known(difference) && !v.known(supply) && !v.known(back):
			return nil
		case v.known(difference) && v.known(supply) && v.known(back) && v.given[difference]:
			return fmt.Errorf("give two of %s, not all three", names)
		case v.known(supply) && v.known(back) || v.known(difference):
			return nil
		}
		return fmt.Errorf("it needs two of %s, like supply=70C return=50C, or difference=20K alone", names)
	}
}

func outputTemperatures(v *values, supply, back, difference int) (s, r float64, ok bool) {
	s, r = v.x[supply], v.x[back]
	switch {
	case v.known(supply) && v.known(back):
	case v.known(supply) && v.known(difference):
		r = s - v.x[difference]
	case v.known(back) && v.known(difference):
		s = r + v.x[difference]
	default:
		return 0, 0, false
	}
	return s, r, true
}

func heatOutputOf(v *values) float64 {
	s, r, ok := outputTemperatures(v, outputSupply, outputReturn, outputDifference)
	if !ok {
		return v.x[outputFlow] * tradeHeat * v.x[outputDifference]
	}
	metered := r
	if v.x[outputMetered] > 0 {
		metered = s
	}
	return float64(heatOutput(v.x[outputFlow], celsius(s), celsius(r), celsius(metered)))
}

const (
	drawFlow = iota
	drawCold
	drawHot
	drawRise
)

func drawHeat(v *values) float64 {
	if v.known(drawRise) && !v.known(drawHot) {
		if !v.given[drawCold] {
			return v.x[drawFlow] * tradeHeat * v.x[drawRise]
		}
		return float64(heatOutput(v.x[drawFlow], celsius(v.x[drawCold]+v.x[drawRise]), celsius(v.x[drawCold]), celsius(v.x[drawCold])))
	}
	return float64(heatOutput(v.x[drawFlow], celsius(v.x[drawHot]), celsius(v.x[drawCold]), celsius(v.x[drawCold])))
}

const (
	pumpFlow = iota
	pumpSupply
	pumpReturn
	pumpPower
	pumpSource
	pumpHeat
	pumpDifference
)

func pumpWorks(v *values) bool {
	_, _, ok := outputTemperatures(v, pumpSupply, pumpReturn, pumpDifference)
	return v.known(pumpPower) && (v.known(pumpHeat) || v.known(pumpFlow) && (ok || v.known(pumpDifference)))
}

func pumpOutput(v *values) float64 {
	if v.known(pumpHeat) {
		return v.x[pumpHeat]
	}
	s, r, ok := outputTemperatures(v, pumpSupply, pumpReturn, pumpDifference)
	if !ok {
		return v.x[pumpFlow] * tradeHeat * v.x[pumpDifference]
	}
	return float64(heatOutput(v.x[pumpFlow], celsius(s), celsius(r), celsius(r)))
}

func pumpBound(v *values) float64 {
	if !v.known(pumpSource) || !v.known(pumpSupply) {
		return math.Inf(1)
	}
	return carnot(celsius(v.x[pumpSource]), celsius(v.x[pumpSupply]))
}

var refrigerant = Caution{signal.Notice, "Only the water and electric side is measured here; work on the refrigerant circuit is for people certified for it."}

var heatModels = []*Model{
	{
		Name: "heat-output", Also: []string{"output", "heat"}, About: "heat output from water flow and the difference of its temperatures, and the flow for an output",
		Keys: []Key{litresKey(none, false), temperatureKey("supply", "temperature leaving the appliance", "hot", "flow-temperature"),
			temperatureKey("return", "temperature coming back", "cold", "back"),
			{Name: "difference", Also: []string{"dt", "delta", "rise"}, About: "of the two temperatures, if they are not given", Kind: units.Difference, Unit: "K", Low: 0.01, High: 120, Default: none, Optional: true, Given: Spread{Half: 0.7}},
			{Name: "metered", Also: []string{"position"}, About: "where the flow is metered", Kind: units.Word, Words: []string{"return", "supply"}, Default: 0}},
		Kind: units.Power, Unit: "kW", ReadsAlso: []string{"power"}, Meter: Spread{Relative: 0.02}, reverse: []int{outputFlow},
		Source: "enthalpy of water by " + iapws + "; without the temperatures kW = l/s x 4.19 x K", Cautions: []Caution{hotPipes},
		check: func(v *values) error {
			if err := between(outputSupply, outputReturn, outputDifference, "supply, return and difference")(v); err != nil {
				return err
			}
			if s, r, ok := outputTemperatures(v, outputSupply, outputReturn, outputDifference); ok && (s < r || r < 0 || s > 120) {
				return fmt.Errorf("supply (%s C) has to be above return (%s C), both within 0 to 120 C: swap or check them", figure(s), figure(r))
			}
			return nil
		},
		predict: heatOutputOf,
		approximate: func(v *values, y float64) float64 {
			if _, _, ok := outputTemperatures(v, outputSupply, outputReturn, outputDifference); ok {
				return 0
			}
			return rectangular(0.02 * y) // the shortcut, over 10 to 80 degrees C
		},
		formula: func(v *values, y float64) string {
			s, r, ok := outputTemperatures(v, outputSupply, outputReturn, outputDifference)
			if !ok {
				return fmt.Sprintf("P = q x 4.19 x dT = %s x 4.19 x %s = %s kW", figure(v.x[outputFlow]), figure(v.x[outputDifference]), figure(y))
			}
			m := r
			if v.x[outputMetered] > 0 {
				m = s
			}
			return fmt.Sprintf("P = q rho (h supply - h return) = %s x %s x (%s - %s) = %s kW", figure(v.x[outputFlow]), figure(water(celsius(m), systemPressure).Density/1000),
				figure(water(celsius(s), systemPressure).Enthalpy), figure(water(celsius(r), systemPressure).Enthalpy), figure(y))
		},
		more: func(v *values, _ float64) []Detail {
			s, r, ok := outputTemperatures(v, outputSupply, outputReturn, outputDifference)
			if !ok {
				return nil
			}
			return []Detail{{"by the trade's 4.19", v.x[outputFlow] * tradeHeat * (s - r), "kW"}, {"flow", v.x[outputFlow] * 60, "l/min"}}
		},
		card: &cardPlan{key: outputFlow, from: 0.05, to: 0.6, step: 0.05},
	},
	{
		Name: "hot-water", Also: []string{"hot-water-flow", "dhw"}, About: "power for a flow of hot water, and the flow that a power heats",
		Keys: []Key{
			func() Key { k := litresKey(none, false); k.Unit = "l/min"; return k }(),
			{Name: "cold", Also: []string{"mains", "inlet"}, About: "temperature of the cold water", Kind: units.Temperature, Unit: "C", Low: 0, High: 60, Default: 10, Given: pipeProbe, Assumed: someRoom},
			{Name: "hot", Also: []string{"outlet", "delivered"}, About: "temperature of the hot water", Kind: units.Temperature, Unit: "C", Low: 0, High: 100, Default: none, Given: pipeProbe, Optional: true},
			{Name: "rise", Also: []string{"difference", "dt", "delta"}, About: "of the temperature, if hot is not given", Kind: units.Difference, Unit: "K", Low: 0.1, High: 90, Default: none, Optional: true, Given: Spread{Half: 1.4}},
		},
		Kind: units.Power, Unit: "kW", ReadsAlso: []string{"power", "output"}, Meter: Spread{Relative: 0.02}, reverse: []int{drawFlow, drawHot},
		Source:   "enthalpy of water by " + iapws + ", flow metered cold; with rise alone kW = l/s x 4.19 x K",
		Cautions: []Caution{{signal.Caution, "Water above 45 C scalds, at 60 C within seconds: draw it off into a bucket, not over hands."}},
		skip:     func(v *values, key int) bool { return key == drawHot && v.known(drawRise) },
		check: func(v *values) error {
			switch {
			case v.given[drawRise] && v.given[drawHot]:
				return fmt.Errorf("give hot or rise, not both")
			case !v.known(drawRise) && !v.known(drawHot) && !v.given[drawFlow]:
				return fmt.Errorf("it needs hot, like hot=45C, or rise=35K")
			case v.known(drawHot) && v.x[drawHot] <= v.x[drawCold]:
				return fmt.Errorf("hot (%s C) has to be above cold (%s C)", figure(v.x[drawHot]), figure(v.x[drawCold]))
			case v.known(drawRise) && v.x[drawCold]+v.x[drawRise] > 99:
				return fmt.Errorf("a rise of %s K from %s C would boil", figure(v.x[drawRise]), figure(v.x[drawCold]))
			}
			return nil
		},
		predict: drawHeat,
		formula: func(v *values, y float64) string {
			if !v.known(drawHot) {
				return fmt.Sprintf("P = q c dT = %s l/s x %s K: %s kW", figure(v.x[drawFlow]), figure(v.x[drawRise]), figure(y))
			}
			return fmt.Sprintf("P = q rho (h hot - h cold) = %s x %s x (%s - %s) = %s kW", figure(v.x[drawFlow]), figure(water(celsius(v.x[drawCold]), systemPressure).Density/1000),
				figure(water(celsius(v.x[drawHot]), systemPressure).Enthalpy), figure(water(celsius(v.x[drawCold]), systemPressure).Enthalpy), figure(y))
		},
		card: &cardPlan{key: drawFlow, from: 4, to: 20, step: 1},
	},
	{
		Name: "heat-pump", Also: []string{"cop"}, About: "performance of a heat pump, with the Carnot bound; the bound alone without power",
		Keys: []Key{litresKey(none, true), temperatureKey("supply", "temperature leaving the heat pump", "water", "hot", "flow-temperature"),
			temperatureKey("return", "temperature coming back", "back"),
			{Name: "power", Also: []string{"electric", "input"}, About: "electric power taken in", Kind: units.Power, Unit: "kW", Low: 1e-3, High: 1e4, Default: none, Optional: true, Given: electricity},
			{Name: "source", Also: []string{"air", "outside", "brine", "cold", "ground"}, About: "temperature of the source", Kind: units.Temperature, Unit: "C", Low: -40, High: 60, Default: none, Optional: true, Given: pipeProbe},
			{Name: "heat", Also: []string{"output"}, About: "heat given out, if it is metered", Kind: units.Power, Unit: "kW", Low: 1e-3, High: 1e5, Default: none, Optional: true, Given: Spread{Relative: 0.03}},
			{Name: "difference", Also: []string{"dt", "delta"}, About: "of supply and return, if one is not given", Kind: units.Difference, Unit: "K", Low: 0.01, High: 60, Default: none, Optional: true, Given: Spread{Half: 0.7}}},
		Kind: units.Number, Unit: "-", ReadsAlso: []string{"cop"}, derived: true,
		Source: "enthalpy of water by " + iapws + "; Carnot's bound Th/(Th - Tc); less than a quarter of it is low: common practice", Cautions: []Caution{refrigerant, hotPipes},
		check: func(v *values) error {
			s, r, ok := outputTemperatures(v, pumpSupply, pumpReturn, pumpDifference)
			switch {
			case !pumpWorks(v) && (!v.known(pumpSource) || !v.known(pumpSupply)):
				return fmt.Errorf("it needs flow, supply, return and power, like flow=0.25 supply=35 return=30 power=1.5kW, or source and supply for the bound alone")
			case ok && s < r:
				return fmt.Errorf("supply (%s C) has to be above return (%s C): swap or check them; in defrost it is the other way round, so wait", figure(s), figure(r))
			case v.known(pumpSource) && v.known(pumpSupply) && v.x[pumpSource]+least >= v.x[pumpSupply]:
				return fmt.Errorf("the source (%s C) has to be colder than the supply (%s C) for a bound", figure(v.x[pumpSource]), figure(v.x[pumpSupply]))
			}
			return nil
		},
		predict: func(v *values) float64 {
			if !pumpWorks(v) {
				return pumpBound(v)
			}
			return pumpOutput(v) / v.x[pumpPower]
		},
		measured: pumpWorks,
		limits: func(v *values) (float64, float64) {
			bound := pumpBound(v)
			if math.IsInf(bound, 1) {
				return 1, bound
			}
			return bound / 4, bound
		},
		state: func(v *values, reads float64) (Verdict, string) {
			if bound := pumpBound(v); reads > bound {
				return Impossible, fmt.Sprintf("above Carnot's bound of %s: a reading is wrong, most likely the flow or a temperature", figure(bound))
			}
			if reads <= 0 {
				return Impossible, "no heat given out: defrosting, or a reading is wrong"
			}
			return Unjudged, ""
		},
		formula: func(v *values, y float64) string {
			if !pumpWorks(v) {
				return fmt.Sprintf("Th/(Th - Tc) = %s/(%s - %s) = %s", figure(kelvin0+v.x[pumpSupply]), figure(kelvin0+v.x[pumpSupply]), figure(kelvin0+v.x[pumpSource]), figure(y))
			}
			return fmt.Sprintf("COP = Q/P = %s/%s = %s", figure(pumpOutput(v)), figure(v.x[pumpPower]), figure(y))
		},
		more: func(v *values, _ float64) []Detail {
			var out []Detail
			if pumpWorks(v) {
				out = append(out, Detail{"heat given out", pumpOutput(v), "kW"})
			}
			if bound := pumpBound(v); finite(bound) {
				out = append(out, Detail{"Carnot's bound", bound, "-"})
			}
			return out
		},
		remark: func(j *Judgement, v *values) string {
			if pumpWorks(v) && !finite(pumpBound(v)) {
				return "give source=... (outdoor air, brine) and supply=... to check against Carnot's bound"
			}
			return ""
		},
	},
	{
		Name: "carnot", About: "highest performance that a heat pump can have between two temperatures",
		Keys: []Key{
			{Name: "source", Also: []string{"cold", "air", "tc"}, About: "temperature of the source", Kind: units.Temperature, Unit: "C", Low: -60, High: 100, Default: none, Given: pipeProbe},
			{Name: "supply", Also: []string{"hot", "water", "th"}, About: "temperature of the water", Kind: units.Temperature, Unit: "C", Low: -40, High: 150, Default: none, Given: pipeProbe},
		},
		Kind: units.Number, Unit: "-", ReadsAlso: []string{"cop"}, Source: "thermodynamics: Th/(Th - Tc)",
		check: func(v *values) error {
			if v.x[1] <= v.x[0]+least {
				return fmt.Errorf("the supply (%s C) has to be clearly warmer than the source (%s C)", figure(v.x[1]), figure(v.x[0]))
			}
			return nil
		},
		predict: func(v *values) float64 { return carnot(celsius(v.x[0]), celsius(v.x[1])) },
		limits:  func(v *values) (float64, float64) { return 0, carnot(celsius(v.x[0]), celsius(v.x[1])) },
		state: func(v *values, reads float64) (Verdict, string) {
			if reads > carnot(celsius(v.x[0]), celsius(v.x[1])) {
				return Impossible, "above Carnot's bound: a reading is wrong"
			}
			return Unjudged, ""
		},
		formula: func(v *values, y float64) string {
			return fmt.Sprintf("Th/(Th - Tc) = %s/(%s - %s) = %s", figure(kelvin0+v.x[1]), figure(kelvin0+v.x[1]), figure(kelvin0+v.x[0]), figure(y))
		},
		card: &cardPlan{key: 1, from: 25, to: 65, step: 5},
	},
}
