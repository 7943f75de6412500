package measure

import (
	"fmt"

	"kg/internal/signal"
	"kg/internal/units"
)

// ratiometric is the output in volts of a sensor that gives a tenth of its supply
// at zero and nine tenths at full span.
func ratiometric(supply float64, value, span bar) float64 {
	return supply * (0.1 + float64(0.8*float64(value/span)))
}

// loopCurrent is the current in milliamperes of a 4 to 20 mA transmitter
// (IEC 60381-1).
func loopCurrent(value, span bar) float64 { return 4 + float64(16*float64(value/span)) }

const (
	transducerPressure = iota
	transducerSpan
	transducerSupply
	transducerZero
	transducerError
)

var (
	pressureKey = Key{Name: "pressure", Also: []string{"p", "value"}, About: "pressure at the sensor, by a gauge that is trusted", Kind: units.Pressure, Unit: "bar", Low: -1, High: 1000, Default: none, Given: gauge}
	spanKey     = Key{Name: "span", Also: []string{"range", "fs", "full-scale"}, About: "pressure at full scale", Kind: units.Pressure, Unit: "bar", Low: 0.001, High: 1000, Default: none}
	errorKey    = Key{Name: "tolerance", Also: []string{"tol"}, About: "of the sensor, of its span", Kind: units.Share, Unit: "%", Low: 0, High: 20, Default: 2}
	zeroKey     = Key{Name: "zero", About: "pressure at the lower end", Kind: units.Pressure, Unit: "bar", Low: -1, High: 1000, Default: 0}
)

func withinSpan(pressure, span, zero int) func(v *values) error {
	return func(v *values) error {
		switch {
		case v.x[span] <= v.x[zero]:
			return fmt.Errorf("the span, %s bar, has to be above zero, %s bar", figure(v.x[span]), figure(v.x[zero]))
		case v.known(pressure) && (v.x[pressure] > 1.1*v.x[span] || v.x[pressure] < v.x[zero]-float64(0.1*v.x[span])):
			return fmt.Errorf("%s bar is outside the span of the sensor, %s to %s bar", figure(v.x[pressure]), figure(v.x[zero]), figure(v.x[span]))
		}
		return nil
	}
}

var liveLowVoltage = Caution{signal.Warning, "This is measured with the appliance powered: probe only the sensor's own low voltage, by someone competent to work near live parts; mains is close by."}

const (
	loopPressure = iota
	loopSpan
	loopZero
	loopError
)

var transducerModels = []*Model{
	{
		Name: "transducer-voltage", Also: []string{"transducer", "ratiometric"}, About: "voltage of a ratiometric pressure sensor, and the pressure that a voltage means",
		Keys: []Key{pressureKey, spanKey,
			{Name: "supply", Also: []string{"vs", "voltage"}, About: "supply of the sensor", Kind: units.Voltage, Unit: "V", Low: 0.5, High: 30, Default: 5, Given: Spread{Half: 0.01}, Assumed: Spread{Relative: 0.05}},
			zeroKey, errorKey},
		Kind: units.Voltage, Unit: "V", Meter: Spread{Half: 0.002, Relative: 0.005}, reverse: []int{transducerPressure},
		Source:   "10 to 90% ratiometric convention of sensor makers; tolerance and fault bands (below 5 and above 95% of the supply): common practice",
		Cautions: []Caution{liveLowVoltage, hotWaterUnderPressure},
		check:    withinSpan(transducerPressure, transducerSpan, transducerZero),
		predict: func(v *values) float64 {
			zero := v.x[transducerZero]
			return ratiometric(v.x[transducerSupply], bar(v.x[transducerPressure]-zero), bar(v.x[transducerSpan]-zero))
		},
		tolerance: func(v *values, _ float64) float64 { return v.x[transducerSupply] * 0.8 * v.x[transducerError] / 100 },
		state: func(v *values, reads float64) (Verdict, string) {
			switch supply := v.x[transducerSupply]; {
			case reads < 0:
				return Impossible, "a voltage below nothing: the meter's leads are swapped, or the sensor has no ground"
			case reads > 1.05*supply:
				return Impossible, fmt.Sprintf("more than its supply of %s V: measure the supply, and look for a short to another one", figure(supply))
			case reads < 0.05*supply:
				return IsShort, fmt.Sprintf("below %s V, 5%% of the supply: signal shorted to ground, or no supply, or the signal wire broken where the board pulls it down", figure(0.05*supply))
			case reads > 0.95*supply:
				return IsOpen, fmt.Sprintf("above %s V, 95%% of the supply: ground wire broken, or the signal shorted to the supply, or broken where the board pulls it up", figure(0.95*supply))
			}
			return Unjudged, ""
		},
		formula: func(v *values, y float64) string {
			return fmt.Sprintf("V = Vs(0.1 + 0.8 p/FS) = %s(0.1 + 0.8 x %s/%s) = %s V", figure(v.x[transducerSupply]),
				figure(v.x[transducerPressure]-v.x[transducerZero]), figure(v.x[transducerSpan]-v.x[transducerZero]), figure(y))
		},
		card: &cardPlan{key: transducerPressure, from: 0, to: 4, step: 0.25},
	},
	{
		Name: "current-loop", Also: []string{"4-20ma", "loop"}, About: "current of a 4 to 20 mA pressure transmitter, and the pressure that a current means",
		Keys: []Key{pressureKey, spanKey, zeroKey, func() Key { k := errorKey; k.Default = 1; return k }()},
		Kind: units.Current, Unit: "mA", Meter: Spread{Half: 2e-5, Relative: 0.002}, reverse: []int{loopPressure},
		Source:   "IEC 60381-1:1982 (from memory); NAMUR NE 43: measures within 3.8 to 20.5 mA, signals a failure at up to 3.6 and from 21.0 mA",
		Cautions: []Caution{liveLowVoltage},
		check:    withinSpan(loopPressure, loopSpan, loopZero),
		predict: func(v *values) float64 {
			return loopCurrent(bar(v.x[loopPressure]-v.x[loopZero]), bar(v.x[loopSpan]-v.x[loopZero])) / 1000
		},
		tolerance: func(v *values, _ float64) float64 { return 0.016 * v.x[loopError] / 100 },
		state: func(_ *values, reads float64) (Verdict, string) {
			const dead, failedLow, measuresLow, measuresHigh, failedHigh = 0.0005, 0.0036, 0.0038, 0.0205, 0.021
			const rounding = 1e-9
			switch {
			case reads < -rounding:
				return Impossible, "the current flows backwards: the meter's leads are swapped"
			case reads < dead:
				return IsOpen, "no current: the loop is broken or has no supply"
			case reads <= failedLow+rounding:
				return IsOpen, "at or below 3.6 mA: the transmitter signals a failure (NE 43), or the loop has too little supply"
			case reads >= failedHigh-rounding:
				return IsShort, "at or above 21.0 mA: the transmitter signals a failure (NE 43), or the loop is shorted"
			case reads < measuresLow:
				return Low, "between 3.6 and 3.8 mA: neither a measured value nor a failure (NE 43)"
			case reads > measuresHigh:
				return High, "between 20.5 and 21.0 mA: neither a measured value nor a failure (NE 43)"
			}
			return Unjudged, ""
		},
		formula: func(v *values, y float64) string {
			return fmt.Sprintf("I = 4 + 16 p/FS = 4 + 16 x %s/%s = %s mA", figure(v.x[loopPressure]-v.x[loopZero]), figure(v.x[loopSpan]-v.x[loopZero]), figure(1000*y))
		},
		card: &cardPlan{key: loopPressure, from: 0, to: 4, step: 0.25},
	},
	{
		Name: "loop-resistance", Also: []string{"loop-load"}, About: "highest resistance that a current loop bears",
		Keys: []Key{
			{Name: "supply", Also: []string{"vs", "voltage"}, About: "supply of the loop", Kind: units.Voltage, Unit: "V", Low: 1, High: 100, Default: 24, Given: Spread{Relative: 0.01}, Assumed: Spread{Relative: 0.1}},
			{Name: "minimum", Also: []string{"vmin"}, About: "voltage that the transmitter needs", Kind: units.Voltage, Unit: "V", Low: 0, High: 50, Default: 10, Assumed: Spread{Half: 2}},
			{Name: "current", Also: []string{"i"}, About: "highest current of the loop", Kind: units.Current, Unit: "mA", Low: 0.001, High: 0.1, Default: 0.021},
		},
		Kind: units.Resistance, Unit: "ohm", Meter: multimeter, Source: "Ohm's law; 21 mA is the failure signal of NAMUR NE 43", Cautions: []Caution{isolateSensor},
		check: func(v *values) error {
			if v.x[0] <= v.x[1] {
				return fmt.Errorf("a supply of %s V is not above the %s V that the transmitter needs", figure(v.x[0]), figure(v.x[1]))
			}
			return nil
		},
		predict: func(v *values) float64 { return (v.x[0] - v.x[1]) / v.x[2] },
		limits:  func(v *values) (float64, float64) { return 0, (v.x[0] - v.x[1]) / v.x[2] },
		formula: func(v *values, y float64) string {
			return fmt.Sprintf("R = (Vs - Vmin)/I = (%s - %s)/%s = %s ohm", figure(v.x[0]), figure(v.x[1]), figure(v.x[2]), figure(y))
		},
	},
}
