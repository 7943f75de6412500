package measure

import (
	"fmt"
	"math"

	"kg/internal/portable"
	"kg/internal/units"
)

// kelvin0 is 0 degrees Celsius on the kelvin scale.
const kelvin0 = -absoluteZero

// thermistorBeta returns the resistance of an NTC thermistor by its B value
// (IEC 60539-1):
//
//	R = Rr exp(B (1/T - 1/Tr)), T in kelvin
//
// where it has the resistance rr at the temperature ref, usually 25 degrees C. A
// B value is the mean slope between two temperatures, often 25 and 85 degrees C;
// further out the true curve leaves it (betaError).
func thermistorBeta(rr ohm, ref celsius, beta kelvin, t celsius) ohm {
	return rr * ohm(portable.Exp(float64(beta)*(1/(kelvin0+float64(t))-1/(kelvin0+float64(ref)))))
}

// thermistorSlope is the relative change of that resistance, -B/T², as a part of
// it per kelvin.
func thermistorSlope(beta kelvin, t celsius) float64 {
	T := kelvin0 + float64(t)
	return -float64(beta) / (T * T)
}

// betaError is how far a B value that holds from 25 to 85 degrees C may be out,
// as a half-width in kelvin: nothing between the two, about 1 K at 0 degrees C,
// growing in proportion on either side. Common practice.
func betaError(t celsius) kelvin {
	const from, to, perKelvin = 25, 85, 1.0 / 25
	return kelvin(perKelvin * max(0, from-float64(t), float64(t)-to))
}

// steinhart are the coefficients of the Steinhart-Hart equation:
//
//	1/T = A + B ln R + C (ln R)³, T in kelvin and R in ohms
type steinhart struct{ A, B, C float64 }

// Resistance is the resistance at a temperature, by Cardano's formula for the one
// real root (C not 0).
func (s steinhart) Resistance(t celsius) ohm {
	y := 1 / (kelvin0 + float64(t))
	if s.C == 0 {
		return ohm(portable.Exp((y - s.A) / s.B))
	}
	// l³ + p l + q = 0
	p, q := s.B/s.C, (s.A-y)/s.C
	d := float64(q*q/4) + p*p*p/27
	if d < 0 {
		return ohm(none)
	}
	root := math.Sqrt(d)
	return ohm(portable.Exp(portable.Cbrt(root-float64(q/2)) - portable.Cbrt(root+float64(q/2))))
}

// Slope is the relative change of the resistance at a temperature, as a part of
// it per kelvin.
func (s steinhart) Slope(t celsius) float64 {
	T := kelvin0 + float64(t)
	l := portable.Log(float64(s.Resistance(t)))
	return -1 / (T * T * (s.B + float64(3*s.C*l*l)))
}

// genericCurve is a curve of building controls that many makers build sensors to.
type genericCurve struct {
	Name      string
	steinhart steinhart
}

// genericCurves are the two 10 kilohm curves that are met most. The coefficients
// of 10k-2 are printed in many public sources. Those of 10k-3 were fitted by
// others to its table (29,490 ohm at 0, 10,000 at 25 and 3,893 at 50 degrees C);
// tables of other makers for the same name differ by up to 0.5 per cent.
var genericCurves = []genericCurve{
	{"10k-2", steinhart{0.001129148, 0.000234125, 8.76741e-8}},
	{"10k-3", steinhart{0.001028172, 0.0002392811, 1.5611865e-7}},
}

// The range over which the models of thermistors answer, in degrees Celsius.
const (
	thermistorColdest = -50
	thermistorHottest = 150
)

// fitForService is how far a sensor may be out before control of an appliance
// suffers: 1 K. Common practice.
const fitForService = 1

var (
	thermistorKeyAt = Key{Name: "at", Also: []string{"temperature", "t"}, About: "temperature of the sensor", Kind: units.Temperature, Unit: "C",
		Low: thermistorColdest, High: thermistorHottest, Default: room, Given: pipeProbe, Assumed: someRoom}
	thermistorCautions = []Caution{isolateSensor, hotSurfaces}
)

const (
	betaR25 = iota
	betaB
	betaAt
	betaRef
	betaTolerance
	betaSpread
)

func betaResistance(v *values, t float64) float64 {
	return float64(thermistorBeta(ohm(v.x[betaR25]), celsius(v.x[betaRef]), kelvin(v.x[betaB]), celsius(t)))
}

func betaSlope(v *values) float64 {
	return math.Abs(float64(thermistorSlope(kelvin(v.x[betaB]), celsius(v.x[betaAt]))))
}

var betaModel = &Model{
	Name: "ntc-beta", Also: []string{"beta", "thermistor", "ntc"},
	About: "resistance of an NTC thermistor by its B value, and the temperature that a resistance means",
	Keys: []Key{
		{Name: "r25", Also: []string{"r", "r0", "nominal"}, About: "resistance at 25 C", Kind: units.Resistance, Unit: "ohm", Low: 1, High: 1e8, Default: none},
		{Name: "beta", Also: []string{"b", "b25/85", "b2585"}, About: "B value, in kelvin", Kind: units.Difference, Unit: "K", Low: 1000, High: 8000, Default: 3750,
			Assumed: Spread{Half: 350}},
		thermistorKeyAt,
		{Name: "reference", Also: []string{"ref"}, About: "temperature of the nominal resistance", Kind: units.Temperature, Unit: "C", Low: -50, High: 150, Default: 25},
		{Name: "tolerance", Also: []string{"tol"}, About: "of the nominal resistance", Kind: units.Share, Unit: "%", Low: 0, High: 50, Default: 1},
		{Name: "beta-tolerance", Also: []string{"beta-tol"}, About: "of the B value", Kind: units.Share, Unit: "%", Low: 0, High: 20, Default: 1},
	},
	Kind: units.Resistance, Unit: "ohm", Meter: multimeter, reverse: []int{betaAt},
	Source:   "IEC 60539-1, definition of the B value; tolerances and the error of the equation: common practice",
	Cautions: thermistorCautions,
	predict:  func(v *values) float64 { return betaResistance(v, v.x[betaAt]) },
	tolerance: func(v *values, y float64) float64 {
		b := v.x[betaB] * v.x[betaSpread] / 100
		away := math.Abs(1/(kelvin0+v.x[betaAt]) - 1/(kelvin0+v.x[betaRef]))
		return y * (v.x[betaTolerance]/100 + float64(b*away))
	},
	service: func(v *values, y float64) float64 { return y * betaSlope(v) * fitForService },
	approximate: func(v *values, y float64) float64 {
		return rectangular(y * betaSlope(v) * float64(betaError(celsius(v.x[betaAt]))))
	},
	state: resistanceState(func(v *values, hot bool) float64 {
		if hot {
			return betaResistance(v, thermistorHottest)
		}
		return betaResistance(v, thermistorColdest)
	}),
	formula: func(v *values, y float64) string {
		return fmt.Sprintf("R = R25 exp(B(1/T - 1/T25)) = %s exp(%s(1/%s - 1/%s)) = %s ohm", figure(v.x[betaR25]), figure(v.x[betaB]),
			figure(kelvin0+v.x[betaAt]), figure(kelvin0+v.x[betaRef]), figure(y))
	},
	more: func(v *values, _ float64) []Detail {
		return []Detail{{"change", -100 * betaSlope(v), "%/K"}}
	},
	card: &cardPlan{key: betaAt, from: 0, to: 100, step: 5},
}

const (
	steinhartA = iota
	steinhartB
	steinhartC
	steinhartAt
	steinhartTolerance
)

func coefficients(v *values) steinhart {
	return steinhart{v.x[steinhartA], v.x[steinhartB], v.x[steinhartC]}
}

var steinhartModel = steinhartLike(&Model{
	Name: "ntc-steinhart", Also: []string{"steinhart-hart", "steinhart", "ntc-steinhart-hart"},
	About: "resistance of an NTC thermistor by the Steinhart-Hart equation, and the temperature that a resistance means",
	Keys: []Key{
		{Name: "a", About: "first coefficient", Kind: units.Number, Unit: "-", Low: -1, High: 1, Default: none},
		{Name: "b", About: "second coefficient", Kind: units.Number, Unit: "-", Low: 1e-9, High: 1, Default: none},
		{Name: "c", About: "third coefficient", Kind: units.Number, Unit: "-", Low: 0, High: 1, Default: none},
		thermistorKeyAt,
		thermistorTolerance,
	},
	reverse: []int{steinhartAt},
	Source:  "Steinhart and Hart 1968, Deep-Sea Research 15; the coefficients are yours",
	card:    &cardPlan{key: steinhartAt, from: 0, to: 100, step: 5},
}, coefficients, steinhartAt, steinhartTolerance)

// thermistorTolerance is that of interchangeable sensors, 0.2 K from 0 to 70 C.
var thermistorTolerance = Key{Name: "tolerance", Also: []string{"tol"}, About: "of the sensor, as a temperature", Kind: units.Difference, Unit: "K", Low: 0, High: 20, Default: 0.2}

const (
	curveName = iota
	curveAt
	curveTolerance
)

var curveModel = steinhartLike(&Model{
	Name: "ntc-curve", Also: []string{"curve"},
	About: "resistance of a generic 10 kilohm NTC sensor by its curve, and the temperature that a resistance means",
	Keys: []Key{
		{Name: "curve", Also: []string{"type"}, About: "name of the curve", Kind: units.Word, Words: []string{"10k-2", "10k-3"}, Default: none},
		thermistorKeyAt,
		thermistorTolerance,
	},
	reverse: []int{curveAt},
	Source:  "Steinhart-Hart equation with the coefficients of the generic curve, printed in many public sources; tolerance 0.2 K: common practice",
	card:    &cardPlan{key: curveAt, from: 0, to: 100, step: 5},
}, func(v *values) steinhart { return genericCurves[int(v.x[curveName])].steinhart }, curveAt, curveTolerance)

// steinhartLike fills in what two models have in common.
func steinhartLike(m *Model, curve func(v *values) steinhart, at, tolerance int) *Model {
	m.Kind, m.Unit, m.Meter, m.Cautions = units.Resistance, "ohm", multimeter, thermistorCautions
	m.predict = func(v *values) float64 { return float64(curve(v).Resistance(celsius(v.x[at]))) }
	m.tolerance = func(v *values, y float64) float64 {
		return y * curve(v).Slope(celsius(v.x[at])) * v.x[tolerance]
	}
	m.service = func(v *values, y float64) float64 { return y * curve(v).Slope(celsius(v.x[at])) * fitForService }
	m.state = resistanceState(func(v *values, hot bool) float64 {
		if hot {
			return float64(curve(v).Resistance(thermistorHottest))
		}
		return float64(curve(v).Resistance(thermistorColdest))
	})
	m.formula = func(v *values, y float64) string {
		s := curve(v)
		return fmt.Sprintf("1/T = a + b ln R + c (ln R)³ = %s + %s ln R + %s (ln R)³; at T = %s K, R = %s ohm",
			figure(s.A), figure(s.B), figure(s.C), figure(kelvin0+v.x[at]), figure(y))
	}
	m.more = func(v *values, _ float64) []Detail {
		return []Detail{{"change", 100 * curve(v).Slope(celsius(v.x[at])), "%/K"}}
	}
	return m
}

var sensorModels = []*Model{platinumModel, betaModel, steinhartModel, curveModel}
