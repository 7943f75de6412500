package parts

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Factors of NIST Special Publication 811 (2008), appendix B: 1 psi is 6894.757 Pa,
// 1 metre of water 9806.65 Pa, 1 inch 25.4 mm. The others are powers of ten and the
// seconds of a minute and an hour.
func TestEveryUnitIsTheOneOfTheTables(t *testing.T) {
	t.Parallel()
	factors := map[string]float64{
		"bar": 1, "mbar": 0.001, "Pa": 1e-5, "kPa": 0.01, "MPa": 10, "psi": 0.06894757, "mH2O": 0.0980665,
		"V": 1, "VAC": 1, "VDC": 1, "mV": 0.001, "kV": 1000, "A": 1, "mA": 0.001, "uA": 1e-6, "µA": 1e-6,
		"W": 1, "kW": 1000, "mW": 0.001, "MW": 1e6, "mm": 1, "cm": 10, "m": 1000, "in": 25.4,
		"l": 1, "litre": 1, "litres": 1, "ml": 0.001, "l/min": 1, "l/h": 1.0 / 60, "l/s": 60, "m3/h": 1000.0 / 60,
		"ohm": 1, "kohm": 1000, "mOhm": 0.001, "MOhm": 1e6, "Ω": 1, "kΩ": 1000, "C": 1, "°C": 1, "Hz": 1, "uF": 1, "µF": 1,
		"s": 1, "min": 60, "": 1, "pin": 1, "pins": 1,
	}
	for name, want := range factors {
		u, err := unitNamed(name)
		require.NoError(t, err, name)
		assert.InEpsilon(t, want, u.factor, 1e-7, name)
		v, err := parseQuantity("3 " + name)
		require.NoError(t, err, name)
		assert.InEpsilon(t, 3*want, v.low, 1e-7, name)
		assert.Equal(t, u.kind, v.kind, name)
	}
	for name := range unitsWritten {
		_, known := factors[name]
		assert.True(t, known || name == strings.ToLower(name), "%q is left out", name)
	}
	_, err := unitNamed("furlong")
	assert.ErrorContains(t, err, "not a unit")
}

// ISO 228-1:2000, table 1, from memory: threads in an inch by size, all of them.
func TestEverySizeHasThePitchOfItsGroup(t *testing.T) {
	t.Parallel()
	pitch := map[string]int{"1/16": 28, "1/8": 28, "1/4": 19, "3/8": 19, "1/2": 14, "5/8": 14, "3/4": 14, "7/8": 14,
		"1": 11, "1 1/4": 11, "1 1/2": 11, "1 3/4": 11, "2": 11}
	last := 0.0
	for _, p := range pipeThreads() {
		assert.Equal(t, pitch[p.size], p.perInch, p.size)
		assert.Greater(t, p.diameter, last, "the sizes stand in their order")
		last = p.diameter
	}
	assert.Len(t, pipeThreads(), len(pitch))
}

func TestAMetricThreadHasADiameterAndAPitchThatCanBe(t *testing.T) {
	t.Parallel()
	for s, ok := range map[string]bool{
		"M10x1": true, "M0.5x0.1": true, "M999x99": true, "M1000x1": false, "M10x100": false, "M0x1": false, "M10x0": false, "M10x-1": false, "Mx1": false,
	} {
		_, err := parseThread(s)
		assert.Equal(t, ok, err == nil, s)
	}
}

func TestAFigureIsOneThatPeopleWrite(t *testing.T) {
	t.Parallel()
	for s, want := range map[string]float64{"3": 3, " 3.5 ": 3.5, "-7": -7, "−7": -7, "1e12": 1e12, "-1e12": -1e12, "1e3": 1000} {
		x, err := figure(s)
		require.NoError(t, err, s)
		assert.Equal(t, want, x, s)
	}
	for _, s := range []string{"", "abc", "NaN", "Inf", "-Inf", "1.1e12", "-1.1e12", "0x10", "1_000", "0x1p3", "3 3"} {
		_, err := figure(s)
		assert.ErrorContains(t, err, "not a figure", s)
	}
}

// The distance of two values, by hand: the difference over the tolerance that is
// written or usual; without one, 1 and ten times the share of the value by which they
// differ. It ends at ten.
func TestHowFarTwoValuesAreApart(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, want, has string
		distance        float64
	}{
		{"set pressure", "3 bar", "3.1 bar", 1 + 10*0.1/3},
		{"set pressure", "3 bar", "2.9 bar", 1 + 10*0.1/3},
		{"set pressure", "3 bar", "9 bar", 10},
		{"set pressure", "3 bar ± 0.2", "3.1 bar", 0.5},
		{"set pressure", "3 bar ± 0.2", "3.2 bar", 1},
		{"set pressure", "3 bar ± 0.2", "3.3 bar", 1.5},
		{"set pressure", "3 bar ± 0.2", "2.7 bar", 1.5},
		{"set pressure", "3 bar ± 0.2", "6 bar", 10},
		{"set pressure", "3 bar ± 0.1", "3 bar ± 0.25", 1.5},
		{"set pressure", "3 bar ± 0.1", "3 bar ± 0.05", 0},
		{"set pressure", "3 bar ± 0.1", "3.05 bar ± 0.15", 1},
		{"set pressure", "3 bar", "3 bar ± 0.5", 0},
		{"set temperature", "0 C", "1 C", 10},
		{"current", "16 A", "10 A", 6 / (16 * 0.05)},
		{"current", "10 A", "16 A", 0},
		{"current", "10 A", "9.75 A", 0.5},
		{"current", "4 to 16 A", "4 to 10 A", 6 / (16 * 0.05)},
		{"voltage", "230 V", "24 V", 10},
		{"voltage", "230 V", "223.1 V", 0.5},
		{"voltage", "230 V", "236.9 V", 0.5},
		{"voltage", "230 V", "250 to 300 V", 20 / 13.8},
		{"range", "0 to 6 bar", "0 to 4 bar", 1 + 10*2.0/6},
		{"range", "-1 to 4 bar", "0 to 6 bar", 1 + 10*1.0/4},
		{"range", "0 to 4 bar", "-1 to 6 bar", 0},
		{"output", "0.5 to 3.5 V", "0.4 to 3.5 V", 1 + 10*0.1/3.5},
		{"output", "0.5 to 3.5 V", "0.6 to 3.5 V", 1 + 10*0.1/3.5},
		{"thread", "G 1/2", "R 1/2", 2},
		{"thread", "G 1/2", "R 3/4", 10},
		{"thread 2", "M10x1", "M10x1.5", 10},
		{"connector", "3 pin", "3  PIN", 0},
		{"connector", "3 pin", "4 pin", 10},
		{"range", "0 to 4 bar", "0 to 4 V", 10},
	} {
		d := difference(Attribute{c.name, c.want}, Attribute{c.name, c.has})
		assert.InDelta(t, c.distance, d.Distance, 1e-9, "%s: %s for %s", c.name, c.has, c.want)
		assert.Equal(t, c.distance <= 1, d.Agrees())
		assert.Equal(t, c.distance <= 1, d.Why == "", "%s: %s", c.name, d.Why)
	}
	d := difference(Attribute{"length", "130 mm"}, Attribute{"length", "long"})
	assert.Equal(t, farthestApart, d.Distance)
	assert.Contains(t, d.Why, "cannot be read")
}

// What each attribute lets pass where no tolerance is written. A value of one hundred
// is off by just less and by just more than that.
func TestWhatUsuallyDoesNotMatter(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		text [3]string // wanted, just near enough, just too far
	}{
		"voltage":     {[3]string{"100 V", "105.9 V", "106.1 V"}},
		"pre-charge":  {[3]string{"1 bar", "1.099 bar", "1.101 bar"}},
		"volume":      {[3]string{"100 l", "104.9 l", "105.1 l"}},
		"pipe size":   {[3]string{"100 mm", "100.9 mm", "101.1 mm"}},
		"length":      {[3]string{"100 mm", "100.49 mm", "100.51 mm"}},
		"diameter":    {[3]string{"100 mm", "99.51 mm", "99.49 mm"}},
		"head":        {[3]string{"10 m", "9.51 m", "9.49 m"}},
		"power":       {[3]string{"10 kW", "10.49 kW", "10.51 kW"}},
		"current":     {[3]string{"10 A", "9.51 A", "9.49 A"}},
		"resistance":  {[3]string{"10 kohm", "10.19 kohm", "10.21 kohm"}},
		"flow":        {[3]string{"10 l/min", "10.49 l/min", "10.51 l/min"}},
		"stroke":      {[3]string{"10 mm", "10.19 mm", "10.21 mm"}},
		"capacitance": {[3]string{"2 uF", "2.09 uF", "2.11 uF"}},
		"plates":      {[3]string{"16", "16", "17"}},
	} {
		assert.True(t, difference(Attribute{name, c.text[0]}, Attribute{name, c.text[1]}).Agrees(), "%s: %s", name, c.text[1])
		assert.False(t, difference(Attribute{name, c.text[0]}, Attribute{name, c.text[2]}).Agrees(), "%s: %s", name, c.text[2])
	}
}

// A part that bears or measures more will do where that is what the attribute says,
// and nowhere else.
func TestWhatBearsMoreWillDo(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		small, large string
		covers       bool
	}{
		"voltage":           {"225 to 235 V", "100 to 300 V", true},
		"range":             {"0 to 4 bar", "0 to 10 bar", true},
		"temperature range": {"-10 to 110 C", "-40 to 150 C", true},
		"current":           {"10 A", "20 A", true},
		"output":            {"0.5 to 3.5 V", "0 to 10 V", false},
		"flow":              {"5 to 8 l/min", "2 to 20 l/min", false},
		"set pressure":      {"3 bar", "6 bar", false},
	} {
		assert.Equal(t, c.covers, difference(Attribute{name, c.small}, Attribute{name, c.large}).Agrees(), name)
		d := difference(Attribute{name, c.large}, Attribute{name, c.small})
		assert.False(t, d.Agrees(), name)
		assert.Equal(t, c.covers, d.Why == "does not cover it", "%s: %s", name, d.Why)
	}
}

func TestTolerancesAreSharesOrFiguresInAUnit(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]float64{
		"-5 to 3 bar ± 10 %": 0.5, "20 C ± 0 K": 0, "3 bar ± 50 mbar": 0.05, "0 bar ± 10 %": 0, "250 mA ± 5": 0.005,
	} {
		v, err := parseQuantity(text)
		require.NoError(t, err, text)
		assert.InDelta(t, want, v.tolerance, 1e-12, text)
	}
	for text, why := range map[string]string{"3 bar ± x": "not a unit", "3 bar ± -10 %": "below zero", "3 bar ± 1 V": "not in the unit", "3 bar ± %": "not a figure", "5 to 3 bar": "ends below"} {
		_, err := parseQuantity(text)
		assert.ErrorContains(t, err, why, text)
	}
	v, err := parseQuantity("3 to 3 bar")
	require.NoError(t, err)
	assert.False(t, math.IsNaN(v.low) || v.low != v.high)
}
