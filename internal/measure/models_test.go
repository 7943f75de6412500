package measure

import (
	"math"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"kg/internal/signal"
	"kg/internal/units"
)

// IEC 60751:2022, clause 4.2: A, B and C are exact; at 100 C the ratio is 1.385055,
// at -200 C 0.185201, at 850 C 3.904811 (table of the standard, from memory, 5e-6).
func TestPlatinumCoefficients(t *testing.T) {
	t.Parallel()
	for at, ratio := range map[celsius]float64{-200: 0.185201, 0: 1, 100: 1.385055, 850: 3.904811} {
		assert.InDelta(t, ratio, float64(platinum(1, at)), 5e-6)
	}
}

func TestPlatinumRunsBothWays(t *testing.T) {
	t.Parallel()
	for _, r0 := range []float64{100, 500, 1000} {
		for at := -200.0; at <= 850; at += 17.5 {
			r := platinum(ohm(r0), celsius(at))
			j := judge(t, "platinum", "r0="+format(r0)+" reads="+strconv.FormatFloat(float64(r), 'g', -1, 64))
			assert.InDelta(t, at, j.Expected, 1e-6)
		}
	}
}

func TestThermistorsRunBothWays(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		at := celsius(rapid.Float64Range(-50, 150).Draw(t, "at"))
		c := rapid.SampledFrom(genericCurves).Draw(t, "curve")
		l := math.Log(float64(c.steinhart.Resistance(at)))
		assert.InDelta(t, float64(at), 1/(c.steinhart.A+c.steinhart.B*l+c.steinhart.C*l*l*l)-273.15, 1e-6)
		warmer := c.steinhart.Resistance(at + 1)
		assert.Less(t, float64(warmer), float64(c.steinhart.Resistance(at)), "it falls")
		slope := (float64(warmer)/float64(c.steinhart.Resistance(at)) - 1)
		assert.InDelta(t, slope, c.steinhart.Slope(at), 0.004)
	})
}

// A table of generic 10 kilohm sensors as a maker of controls printed it: 29,490
// ohm at 0 C, 18,780 at 10, 12,260 at 20, 3,893 at 50, 1,990 at 70, 816.8 at 100.
// A fit of three coefficients stays within 0.5 per cent.
func TestCurve10K3FollowsItsTable(t *testing.T) {
	t.Parallel()
	for at, r := range map[string]float64{"0": 29490, "10": 18780, "20": 12260, "25": 10000, "50": 3893, "70": 1990, "100": 816.8} {
		j := judge(t, "ntc-curve", "curve=10k-3 at="+at+"C")
		assert.InEpsilon(t, r, j.Expected, 0.005, at)
	}
}

// IAPWS R7-97(2012), tables 5, 35 and 36, to the digits that are printed there.
func TestWaterReproducesTheVerificationTables(t *testing.T) {
	t.Parallel()
	for _, row := range []struct {
		kelvin, bar, volume, enthalpy, heat float64
	}{
		{300, 30, 0.100215168e-2, 0.115331273e3, 0.417301218e1},
		{300, 800, 0.971180894e-3, 0.184142828e3, 0.401008987e1},
		{500, 30, 0.120241800e-2, 0.975542239e3, 0.465580682e1},
	} {
		w := water(celsius(row.kelvin-273.15), bar(row.bar))
		assert.InEpsilon(t, row.volume, w.Volume, 1e-8)
		assert.InEpsilon(t, row.enthalpy, w.Enthalpy, 1e-8)
		assert.InEpsilon(t, row.heat, w.HeatCap, 1e-8)
		assert.InEpsilon(t, 1/row.volume, w.Density, 1e-8)
	}
	for kelvin, mega := range map[float64]float64{300: 0.353658941e-2, 500: 0.263889776e1, 600: 0.123443146e2} {
		assert.InEpsilon(t, 10*mega, float64(boilingPressure(celsius(kelvin-273.15))), 1e-8)
	}
	for mega, kelvin := range map[float64]float64{0.1: 0.372755919e3, 1: 0.453035632e3, 10: 0.584149488e3} {
		assert.InEpsilon(t, 10*mega, float64(boilingPressure(celsius(kelvin-273.15))), 2e-8)
	}
	for _, outside := range []waterState{water(-1, 2), water(120, 1), water(20, 2000), water(400, 500)} {
		assert.True(t, math.IsNaN(outside.Density))
	}
	assert.True(t, math.IsNaN(float64(boilingPressure(400))))
}

func TestBoylesLawRunsBothWays(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		size := litre(rapid.Float64Range(5, 50).Draw(t, "size"))
		cold := bar(rapid.Float64Range(0.5, 2).Draw(t, "cold"))
		charge := bar(rapid.Float64Range(0, float64(cold)).Draw(t, "charge"))
		gas := float64(size) * float64((charge+1.01325)/(cold+1.01325))
		more := litre(rapid.Float64Range(0.05, 0.8).Draw(t, "part") * gas)
		hot := vesselHotPressure(size, charge, cold, more)
		assert.Greater(t, float64(hot), float64(cold))
		assert.InDelta(t, float64(charge), float64(vesselPrecharge(size, cold, hot, more)), 1e-9)
		assert.True(t, math.IsInf(float64(vesselHotPressure(size, charge, cold, litre(gas))), 1))
	})
	// Filled to less than the pre-charge, the vessel begins empty of water.
	hot := vesselHotPressure(12, 1.5, 1, 2)
	assert.InDelta(t, 12*2.51325/10-1.01325, float64(hot), 1e-12)
	assert.InDelta(t, 1.5, float64(vesselOvercharge(12, hot, 2)), 1e-12)
	assert.Less(t, float64(vesselPrecharge(12, 1, hot, 2)), 0.0, "no charge below the fill explains it")
	assert.True(t, math.IsNaN(float64(vesselPrecharge(12, 1, 1, 2))))
	assert.InDelta(t, 1, float64(vesselHotPressure(12, 0.5, 1, 0)), 0)
}

func TestPairOfPressuresSaysWhatItCannotTell(t *testing.T) {
	t.Parallel()
	j := judge(t, "vessel-precharge", "size=12 pressure=1.0 hot-pressure=1.45 cold=20 hot=60")
	assert.Contains(t, j.Remark(), "cannot tell")
	assert.Equal(t, "volume", j.Missing()[0])
	j = judge(t, "vessel-precharge", "size=12 pressure=1.2 hot-pressure=2.119 expansion=2.089l ±0")
	assert.NotContains(t, j.Remark(), "cannot tell")
	j = judge(t, "vessel-hot-pressure", "size=12 volume=100 cold=20 hot=70 pressure=1.2 reads=3.5")
	assert.Equal(t, Impossible, j.Verdict)
	j = judge(t, "vessel-hot-pressure", "size=2 volume=300 cold=10 hot=80 pressure=1 precharge=1")
	assert.Contains(t, j.Remark(), "does not fit")
}

func TestWiringFaultsOfTransducers(t *testing.T) {
	t.Parallel()
	for reads, want := range map[string]Verdict{
		"0.2V": IsShort, "0.26V": Low, "2V": Healthy, "3V": High, "4.8V": IsOpen, "-1V": Impossible, "12V": Impossible,
		"OL": IsOpen, "short": IsShort,
	} {
		assert.Equal(t, want, judge(t, "transducer-voltage", "pressure=1.5 span=4 reads="+reads).Verdict, reads)
	}
	j := judge(t, "transducer-voltage", "span=4 reads=2V")
	assert.InDelta(t, 1.5, j.Expected, 1e-9)
	assert.Equal(t, "pressure", j.SolvedName())
}

// NAMUR NE 43: 3.8 to 20.5 mA measures, up to 3.6 and from 21 mA is a failure.
func TestCurrentLoopFollowsNE43(t *testing.T) {
	t.Parallel()
	for reads, want := range map[string]Verdict{
		"0mA": IsOpen, "3.6mA": IsOpen, "3.7mA": Low, "3.9mA": Low, "10mA": Healthy,
		"20.4mA": High, "20.6mA": High, "21mA": IsShort, "-5mA": Impossible,
	} {
		assert.Equal(t, want, judge(t, "current-loop", "pressure=1.5bar span=4bar reads="+reads).Verdict, reads)
	}
	assert.InDelta(t, 1.5, judge(t, "current-loop", "span=4bar reads=10mA").Expected, 1e-9)
}

// The relative uncertainty is the root of the sum of squares: 2 per cent of flow,
// 0.2 K of 5 K, 1 per cent of power (GUM 5.1.6), of a performance of 3.5.
func TestUncertaintyOfPerformance(t *testing.T) {
	t.Parallel()
	j := judge(t, "heat-pump", "flow=0.25 l/s ± 2% k=2 difference=5K ± 0.2K k=2 power=1.5kW ± 1% k=2")
	assert.InDelta(t, 0.25*4.19*5/1.5, j.Expected, 1e-9)
	assert.InEpsilon(t, j.Expected*math.Sqrt(0.02*0.02+0.04*0.04+0.01*0.01), j.Expanded, 1e-5)
}

func TestCarnotBoundFindsWrongReadings(t *testing.T) {
	t.Parallel()
	j := judge(t, "heat-pump", "flow=1 l/s supply=35 return=30 power=1.5kW source=7")
	assert.Equal(t, Impossible, j.Verdict)
	assert.Contains(t, j.Why, "Carnot")
	j = judge(t, "heat-pump", "flow=0.3 l/s supply=35 return=30 power=1.5kW source=7")
	assert.Equal(t, Healthy, j.Verdict)
	assert.Equal(t, Impossible, judge(t, "carnot", "source=7 supply=35 reads=12").Verdict)
	assert.Equal(t, Unjudged, judge(t, "heat-pump", "source=7 supply=35").Verdict)
}

// 1.02264 is what bills are worked out with, 39.5 MJ/m3 a common heating value.
func TestDefaultsOfGas(t *testing.T) {
	t.Parallel()
	assert.InDelta(t, 31.979, judge(t, "gas-rate", "volume=0.095 time=120").Expected, 0.001)
	j := judge(t, "gas-rate", "volume=2 m3 in 118 s correction=1 calorific=39.5")
	assert.InDelta(t, 2000*39.5/118, j.Expected, 1e-9)
	assert.InDelta(t, 120, judge(t, "gas-rate", "volume=0.095 reads=31.979kW calorific=39.5 correction=1.02264").Expected, 0.01, "the time for an input")
}

func TestHeatingValueOutOfRangeIsSaid(t *testing.T) {
	t.Parallel()
	for calorific, said := range map[string]bool{"37.4": true, "37.5": false, "43": false, "93": true} {
		j := judge(t, "gas-rate", "volume=0.1 time=100 calorific="+calorific)
		assert.Equal(t, said, j.Remark() != "", calorific)
	}
}

func TestTightnessKeepsNoLimitOfItsOwn(t *testing.T) {
	t.Parallel()
	g, err := given("tightness", "reads=3mbar")
	require.NoError(t, err)
	_, err = g.Judge()
	require.ErrorContains(t, err, "needs limit (the limit that the edition in force gives")
	assert.Equal(t, High, judge(t, "tightness", "limit=2mbar reads=3mbar").Verdict)
	m, err := Find("tightness")
	require.NoError(t, err)
	assert.Contains(t, m.Edition, "Edition 4")
}

func TestCombustionRefusesWhatCannotBe(t *testing.T) {
	t.Parallel()
	for _, row := range []struct{ model, keys, want string }{
		{"flue-loss", "flue=160 oxygen=5 co2=9", "give oxygen or co2"},
		{"flue-loss", "flue=160", "give oxygen or co2"},
		{"flue-loss", "flue=160 co2=13 fuel=natural-gas", "more than natural-gas can make"},
		{"co-alarm", "co=70", "30, 50, 100 and 300"},
	} {
		g, err := given(row.model, row.keys)
		require.NoError(t, err)
		_, err = g.Judge()
		assert.ErrorContains(t, err, row.want)
	}
	_, err := given("flue-loss", "flue=45C oxygen=5")
	assert.ErrorContains(t, err, "from 60 to 600 C")
	assert.Equal(t, High, judge(t, "co-ratio", "co=500 co2=9").Verdict)
	assert.Equal(t, Healthy, judge(t, "co-ratio", "co=90ppm co2=9").Verdict)
	// Dilution: 100 ppm at 10.475 per cent of oxygen is 200 ppm without air to spare.
	assert.InDelta(t, 200, judge(t, "co-air-free", "co=100 oxygen=10.475").Expected, 1e-9)
	assert.InDelta(t, 200, judge(t, "co-air-free", "co=100 co2=5.85030 fuel=methane").Expected, 0.01)
}

func TestHotWaterBothWays(t *testing.T) {
	t.Parallel()
	// 24 kW over 35 K: 24/(35 x 4.18) l/s = 9.84 l/min, handbook arithmetic, 0.05.
	assert.InDelta(t, 9.84, judge(t, "hot-water", "power=24kW cold=10C hot=45C").Expected*60, 0.05)
	assert.InDelta(t, 9.82, judge(t, "hot-water", "power=24kW rise=35K").Expected*60, 0.005)
	there := judge(t, "hot-water", "flow=10 l/min cold=10 hot=45")
	assert.InDelta(t, 24.4, there.Expected, 0.1)
	back := judge(t, "hot-water", "flow=10 l/min cold=10 reads=24.4kW")
	assert.Equal(t, "hot", back.SolvedName())
	assert.InDelta(t, 45, back.Expected, 0.1)
}

func TestOpenAndShortSensors(t *testing.T) {
	t.Parallel()
	for reads, want := range map[string]Verdict{
		"OL": IsOpen, "open": IsOpen, "5M": IsOpen, "short": IsShort, "2": IsShort, "-3": Impossible,
		"12.5k": Healthy, "9k": Low, "15k": High,
	} {
		j := judge(t, "ntc-curve", "curve=10k-2 at=20C reads="+reads)
		assert.Equal(t, want, j.Verdict, reads)
		assert.Equal(t, want == Healthy, j.Probability > 0.5, "%s: %v", reads, j.Probability)
	}
	assert.Equal(t, IsOpen, judge(t, "platinum", "r0=1000 reads=OL").Verdict)
	assert.Equal(t, IsOpen, judge(t, "platinum", "r0=1000 reads=9k").Verdict)
	assert.Equal(t, IsShort, judge(t, "platinum", "r0=1000 reads=1").Verdict)
}

func TestTheFigureThatWouldNarrowTheBandMostIsNamed(t *testing.T) {
	t.Parallel()
	j := judge(t, "ntc-curve", "curve=10k-2")
	assert.Equal(t, []string{"at"}, j.Missing())
	exact := judge(t, "ntc-curve", "curve=10k-2 at=20C±0.1")
	assert.Less(t, exact.Expanded, j.Expanded/4)
	assert.Empty(t, exact.Missing())
	assert.Greater(t, judge(t, "ntc-curve", "curve=10k-2 at=about 20C").Expanded, 1.8*judge(t, "ntc-curve", "curve=10k-2 at=20C").Expanded)
}

func TestNamesThatFixAKey(t *testing.T) {
	t.Parallel()
	assert.InDelta(t, 1000, judge(t, "pt1000", "at=0C").Expected, 1e-9)
	assert.InDelta(t, 500, judge(t, "PT1000", "r0=500 at=0C").Expected, 1e-9, "what is said counts")
	assert.InDelta(t, 100, judge(t, "pt100", "at=0C class=1/3B").Expected, 1e-9)
}

func TestReadingIsAlsoSaidAsWhatItWouldMean(t *testing.T) {
	t.Parallel()
	j := judge(t, "ntc-curve", "curve=10k-2 at=20C reads=10k")
	name, x, unit, ok := j.Means()
	assert.True(t, ok)
	assert.Equal(t, "at", name)
	assert.InDelta(t, 25, x, 0.01)
	assert.Equal(t, "C", unit)
	j = judge(t, "supply-voltage", "reads=230")
	_, _, _, ok = j.Means()
	assert.False(t, ok)
}

// Where the sensor sits decides whether it can see the pump start at all.
func TestPositionOfTheSensorIsAskedFor(t *testing.T) {
	t.Parallel()
	j := judge(t, "pump-start", "head=5m")
	assert.Equal(t, "position", j.Missing()[0])
	assert.Contains(t, j.Remark(), "discharge side")
	assert.InDelta(t, 0.4865, judge(t, "pump-start", "head=5m position=discharge").Expected, 0.0005) // 992.2 kg/m3 at 40 C
	j = judge(t, "pump-start", "head=5m position=vessel reads=0")
	assert.Equal(t, Healthy, j.Verdict)
}

func TestModelsAreComplete(t *testing.T) {
	t.Parallel()
	names := map[string]string{}
	for _, m := range Models() {
		for _, n := range append([]string{m.Name}, m.Also...) {
			assert.Empty(t, names[n], "%s is a name of %s and %s", n, names[n], m.Name)
			names[n] = m.Name
		}
		assert.NotEmpty(t, m.About, m.Name)
		assert.NotEmpty(t, m.Source, m.Name)
		assert.LessOrEqual(t, len(m.Keys), 12, m.Name)
		keys := map[string]bool{"reads": true, "meter": true, "accuracy": true}
		for _, n := range m.ReadsAlso {
			assert.False(t, keys[n], "%s: %s", m.Name, n)
			keys[n] = true
		}
		for i := range m.Keys {
			k := &m.Keys[i]
			for _, n := range append([]string{k.Name}, k.Also...) {
				assert.False(t, keys[n], "%s: two keys %s", m.Name, n)
				keys[n] = true
			}
			assert.NotEmpty(t, k.Explain(), m.Name)
			for nick, word := range k.Nicknames {
				if k.Kind == units.Word && m.Name != "gas-drop" && m.Name != "supply-pressure" && m.Name != "gas-heating-value" {
					assert.Contains(t, k.Words, word, "%s: %s", m.Name, nick)
				}
			}
		}
		for _, c := range m.Cautions {
			assert.Contains(t, signal.Words(), c.Level)
		}
	}
}
