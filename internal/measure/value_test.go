package measure

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"kg/internal/units"
)

func TestValuesAsPeopleWriteThem(t *testing.T) {
	t.Parallel()
	const third = 1.7320508075688772 // the root of 3
	for _, row := range []struct {
		kind     units.Kind
		bare     string
		text     string
		want     float64
		standard float64 // 0 for none
	}{
		{units.Resistance, "ohm", "10.4k", 10400, 0},
		{units.Resistance, "ohm", "10k4", 10400, 0},
		{units.Resistance, "ohm", "10K", 10000, 0},
		{units.Resistance, "ohm", "4R7", 4.7, 0},
		{units.Resistance, "ohm", "2M2", 2.2e6, 0},
		{units.Resistance, "ohm", "10k4 ohm", 10400, 0},
		{units.Resistance, "ohm", "10,4 kΩ", 10400, 0},
		{units.Resistance, "ohm", "4,200 ohms", 4200, 0},
		{units.Resistance, "ohm", "1,234,567", 1234567, 0},
		{units.Resistance, "ohm", "10 400 ohm", 10400, 0},
		{units.Resistance, "ohm", "1 234 567", 1234567, 0},
		{units.Resistance, "ohm", "1.2e3", 1200, 0},
		{units.Resistance, "ohm", "1200", 1200, 0},
		{units.Resistance, "ohm", "10 kilohms", 10000, 0},
		{units.Resistance, "ohm", "50 mΩ", 0.05, 0},
		{units.Resistance, "Mohm", "2", 2e6, 0},
		{units.Resistance, "ohm", "10.4kohm", 10400, 0},
		{units.Resistance, "ohm", "10k ± 1%", 10000, 100 / third},
		{units.Resistance, "ohm", "10k±100", 10000, 100 / third},
		{units.Pressure, "bar", "1.2 bar", 1.2, 0},
		{units.Pressure, "bar", "17 psi", 1.17211, 0},
		{units.Pressure, "bar", "120 kPa", 1.2, 0},
		{units.Pressure, "bar", "20mbar", 0.02, 0},
		{units.Pressure, "bar", "1 bar abs", 1 - 1.01325, 0},
		{units.Pressure, "bar", "1.2 bar g", 1.2, 0},
		{units.Pressure, "bar", "8 in wg", 8 * 2.4908891e-3, 0},
		{units.Pressure, "bar", "5 m head", 5 * 9.80665e-2, 0},
		{units.Pressure, "mbar", "20", 0.02, 0},
		{units.Temperature, "C", "75F", 23.888888889, 0},
		{units.Temperature, "C", "24 degrees", 24, 0},
		{units.Temperature, "C", "24 deg C", 24, 0},
		{units.Temperature, "C", "24°C", 24, 0},
		{units.Temperature, "C", "-7", -7, 0},
		{units.Temperature, "C", "−7 C", -7, 0},
		{units.Temperature, "C", "minus 7 C", -7, 0},
		{units.Temperature, "C", "300K", 26.85, 0},
		{units.Temperature, "C", "about 24 C", 24, 0},
		{units.Temperature, "C", "~24", 24, 0},
		{units.Temperature, "C", "20 C ± 1", 20, 1 / third},
		{units.Temperature, "C", "20±1C", 20, 1 / third},
		{units.Temperature, "C", "20 +/- 1 K", 20, 1 / third},
		{units.Temperature, "C", "68F +- 1.8F", 20, 1 / third},
		{units.Temperature, "C", "20 C ± 1 k=2", 20, 0.5},
		{units.Temperature, "C", "20 C ± 1 K (k=2)", 20, 0.5},
		{units.Difference, "K", "20K", 20, 0},
		{units.Difference, "K", "36F", 20, 0},
		{units.Current, "uA", "0.6 uA", 0.6e-6, 0},
		{units.Current, "uA", "0.6µA", 0.6e-6, 0},
		{units.Current, "mA", "12", 0.012, 0},
		{units.Voltage, "V", "230 V AC", 230, 0},
		{units.Voltage, "V", "3V3", 3.3, 0},
		{units.Voltage, "V", "5 vdc", 5, 0},
		{units.Flow, "l/s", "12 l/min", 0.2, 0},
		{units.Flow, "l/s", "0.2 l/s ± 2% k=2", 0.2, 0.002},
		{units.Flow, "l/s", "0.72 m3/h", 0.2, 0},
		{units.Volume, "m3", "0.1", 100, 0},
		{units.Volume, "l", "1 ft3", 28.316846592, 0},
		{units.Volume, "l", "2 m3 in 118 s", 2000, 0},
		{units.Duration, "s", "118", 118, 0},
		{units.Duration, "s", "2 min 5 s", 125, 0},
		{units.Duration, "s", "2m5", 125, 0},
		{units.Duration, "s", "1:58", 118, 0},
		{units.Duration, "s", "1 h", 3600, 0},
		{units.Share, "%", "5 %", 5, 0},
		{units.Share, "%", "0.05", 0.05, 0},
		{units.Concentration, "ppm", "360", 360, 0},
		{units.Concentration, "ppm", "0.01%", 100, 0},
		{units.HeatingValue, "MJ/m3", "39.5 MJ/m3", 39.5, 0},
		{units.Power, "kW", "3000 W", 3, 0},
		{units.Power, "kW", "80,000 BTU/h", 23.4457, 0},
		{units.Length, "m", "20 ft", 6.096, 0},
		{units.Number, "-", "1.02264", 1.02264, 0},
	} {
		q, err := parseQuantity(row.kind, row.bare, row.text)
		if !assert.NoError(t, err, row.text) {
			continue
		}
		assert.InEpsilon(t, row.want, q.Value, 1e-5, row.text)
		assert.Equal(t, Figure, q.State, row.text)
		if row.standard == 0 {
			assert.True(t, math.IsNaN(q.Standard), row.text)
		} else {
			assert.InEpsilon(t, row.standard, q.Standard, 1e-5, row.text)
		}
	}
	q, err := parseQuantity(units.Volume, "m3", "2 m3 in 1 min 58 s")
	require.NoError(t, err)
	assert.InDelta(t, 118, q.Seconds, 1e-9)
}

func TestMetersShowOpenAndShort(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]State{
		"OL": Open, "O.L": Open, "0L": Open, ".OL": Open, "open": Open, "Open Circuit": Open,
		"∞": Open, "inf": Open, "short": Short, "Dead short": Short,
	} {
		q, err := parseQuantity(units.Resistance, "ohm", text)
		require.NoError(t, err, text)
		assert.Equal(t, want, q.State, text)
	}
	_, err := parseQuantity(units.Temperature, "C", "OL")
	assert.ErrorContains(t, err, "is what a meter shows for a resistance")
}

func TestWrongValuesAreAnsweredClearly(t *testing.T) {
	t.Parallel()
	for _, row := range []struct {
		kind units.Kind
		bare string
		text string
		want string
	}{
		{units.Temperature, "C", "17 psi", `"psi" is a pressure; here a temperature is needed, like 20C`},
		{units.Resistance, "ohm", "1.2 bar", `"bar" is a pressure; here a resistance is needed`},
		{units.Pressure, "bar", "1.2 barr", `there is no unit "barr" for a pressure: did you mean bar?`},
		{units.Pressure, "bar", "1.2 florps", `there is no unit "florps" for a pressure: use one of bar,`},
		{units.Number, "-", "3 florps", `there is no unit "florps" here: give a plain number`},
		{units.Temperature, "C", "-300C", "below absolute zero, -273.15 C"},
		{units.Temperature, "C", "-1K", "below absolute zero"},
		{units.Temperature, "C", "", "the value is empty"},
		{units.Temperature, "C", "warm", "does not begin with a number"},
		{units.Resistance, "ohm", "1.2.3", "is not one number"},
		{units.Resistance, "ohm", "1,2,3", "separate neither thousands nor decimals"},
		{units.Resistance, "ohm", "1e999", "too large"},
		{units.Resistance, "ohm", "10k 5", "is left over"},
		{units.Resistance, "ohm", "10k ± x", "reading the uncertainty"},
		{units.Resistance, "ohm", "10k ± 1 bar", "is a pressure"},
		{units.Resistance, "ohm", "10k ± -1", "a number from 0"},
		{units.Volume, "m3", "2 m3 in x", `reading the time after "in"`},
		{units.Volume, "m3", "2 m3 in 0 s", "more than nothing"},
		{units.Duration, "s", "1:75", "minutes and seconds"},
		{units.Resistance, "ohm", strings.Repeat("1", 300), "not readable"},
		{units.Resistance, "ohm", "\xff", "not readable"},
	} {
		_, err := parseQuantity(row.kind, row.bare, row.text)
		assert.ErrorContains(t, err, row.want, row.text)
	}
}

func TestWrongKeysAreAnsweredClearly(t *testing.T) {
	t.Parallel()
	for _, row := range []struct{ model, keys, want string }{
		{"ntc-crve", "", `there is no model "ntc-crve": did you mean ntc-curve?`},
		{"zzzzzzzz", "", `there is no model "zzzzzzzz" among the`},
		{"ntc-curve", "curve=10k-4", `curve has no value "10k-4": did you mean 10k-2?`},
		{"ntc-curve", "crve=10k-2", `ntc-curve has no key "crve": did you mean curve?`},
		{"ntc-curve", "zzz=1", "its keys are curve, at, tolerance, reads, meter"},
		{"ntc-curve", "at=20 at=21", "at is given twice"},
		{"ntc-curve", "at=200C", "at has to be from -50 to 150 C for ntc-curve; 200C is outside"},
		{"ntc-curve", "at=OL", "is what a meter shows"},
		{"ntc-beta", "r25=OL", "r25 is a resistance of the part, not a reading"},
		{"ntc-beta", "r25=-5", "r25 cannot be negative and has to be from 1"},
		{"ntc-curve", "reads=1 reads=2", "reads is given twice"},
		{"ntc-curve", "meter=-1", "from 0"},
		{"ntc-curve", "meter=200%", "between 0 and 100%"},
		{"ntc-curve", "meter=x", "meter is the accuracy of the instrument"},
	} {
		_, err := given(row.model, row.keys)
		assert.ErrorContains(t, err, row.want, "%s %s", row.model, row.keys)
	}
	g, err := given("ntc-curve", "at=20")
	require.NoError(t, err)
	_, err = g.Judge()
	assert.EqualError(t, err, "ntc-curve needs curve (name of the curve), like curve=10k-2")
}

// The definitions: SI brochure, international yard (0.3048 m to the foot), 32 F at
// 0 C; pound-force by 4.4482216152605 N and inch by 25.4 mm; inch of water at 4 C.
func TestUnitsAreTheirDefinitions(t *testing.T) {
	t.Parallel()
	for _, row := range []struct {
		kind units.Kind
		text string
		want float64
	}{
		{units.Volume, "1 ft3", math.Pow(3.048, 3)},
		{units.Pressure, "1 psi", 4.4482216152605 / (0.0254 * 0.0254) / 1e5},
		{units.Pressure, "1 ftH2O", 0.3048 * 0.0980665},
		{units.Temperature, "212F", 100},
		{units.Temperature, "273.15K", 0},
		{units.Power, "1 hp", 550 * 0.3048 * 4.4482216152605 / 1000},
		{units.Power, "1 BTU/h", 1.05505585262 / 3600},
		{units.HeatingValue, "1 BTU/ft3", 1.05505585262e-3 / math.Pow(0.3048, 3)},
		{units.Surface, "1 ft2", 0.3048 * 0.3048},
	} {
		q, err := parseQuantity(row.kind, "", row.text)
		require.NoError(t, err)
		assert.InDelta(t, row.want, q.Value, 2e-6*max(1, row.want), row.text)
	}
}

func TestValuesRoundTrip(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(-200, 850).Draw(t, "x")
		text := rapid.SampledFrom([]string{"%C", "% C", "%", "about % C", "%°C"}).Draw(t, "form")
		q, err := parseQuantity(units.Temperature, "C", strings.ReplaceAll(text, "%", format(x)))
		require.NoError(t, err)
		assert.InDelta(t, x, q.Value, 1e-9)
	})
}

func FuzzValue(f *testing.F) {
	for _, text := range []string{"10.4k", "10k4", "4R7", "1.2 bar", "17 psi", "75F", "0.6 uA", "2 m3 in 118 s", "4,200 ohms", "20 C ± 1", "0.2 l/s ± 2% k=2", "OL", "1:58", "2 min 5 s", "−7", "about 24 degrees", "1e9", "±", "1 ±", "0.-5", "1 in", "1 (k", "1:"} {
		for k := range units.Kind(22) {
			f.Add(uint8(k), text)
		}
	}
	f.Fuzz(func(t *testing.T, kind uint8, text string) {
		q, err := parseQuantity(units.Kind(kind%22), "", text)
		if err != nil {
			if err.Error() == "" || strings.ContainsAny(err.Error()[:1], "ABCDEFGHIJKLMNOPQRSTUVWXYZ") {
				t.Errorf("an error says what is wrong, in small letters: %q", err)
			}
			return
		}
		if math.IsNaN(q.Value) || math.IsInf(q.Value, 0) {
			t.Errorf("%q became %v", text, q.Value)
		}
		if q.Standard < 0 || math.IsInf(q.Standard, 0) || q.Seconds < 0 {
			t.Errorf("%q has the uncertainty %v and time %v", text, q.Standard, q.Seconds)
		}
	})
}

func format(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }
