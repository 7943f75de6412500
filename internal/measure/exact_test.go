package measure

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"kg/internal/units"
)

// EN 50291-1: at 30 ppm an alarm does not sound before 120 minutes; at 50 it sounds
// after 60 to 90, at 100 after 10 to 40, at 300 within 3.
func TestAnAlarmSoundsWithinItsWindow(t *testing.T) {
	t.Parallel()
	for _, row := range []struct {
		ppm       string
		low, high float64
	}{{"30", 120, math.Inf(1)}, {"50", 60, 90}, {"100", 10, 40}, {"300", 0, 3}} {
		j := judge(t, "co-alarm", "co="+row.ppm)
		assert.Equal(t, row.low, j.In(j.Low), row.ppm)
		assert.Equal(t, row.high, j.In(j.High), row.ppm)
		sooner := row.high
		if math.IsInf(sooner, 1) {
			sooner = row.low
		}
		assert.Equal(t, sooner, j.In(j.Expected), row.ppm)
	}
	assert.Equal(t, Low, judge(t, "co-alarm", "co=100 reads=9.5min").Verdict)
	assert.Equal(t, High, judge(t, "co-alarm", "co=100 reads=40.5min").Verdict)
	assert.Equal(t, Healthy, judge(t, "co-alarm", "co=30 reads=300min").Verdict)
	assert.Contains(t, formulaOf(t, "co-alarm", "co=30"), "not before 120 min")
	assert.Contains(t, formulaOf(t, "co-alarm", "co=50"), "between 60 and 90 min")
}

func formulaOf(t *testing.T, model, keys string) string {
	j := judge(t, model, keys)
	return j.Formula()
}

// Two of three temperatures tell the third. All three may contradict each other, and
// one alone says nothing, except a difference.
func TestTemperaturesOfAPairAreGivenInTwos(t *testing.T) {
	t.Parallel()
	const flow = "flow=0.2 l/s "
	want := judge(t, "heat-output", flow+"supply=70 return=50").Expected
	assert.InEpsilon(t, 0.2*4.19*20, want, 0.03)
	for _, keys := range []string{"supply=70 difference=20", "return=50 difference=20"} {
		assert.InEpsilon(t, want, judge(t, "heat-output", flow+keys).Expected, 1e-12, keys)
	}
	assert.InEpsilon(t, 0.2*4.19*20, judge(t, "heat-output", flow+"difference=20").Expected, 0.01)
	for keys, says := range map[string]string{
		"supply=70 return=50 difference=20": "not all three",
		"supply=70":                         "needs two of",
		"return=50":                         "needs two of",
		"":                                  "needs two of",
	} {
		g, err := given("heat-output", flow+keys)
		require.NoError(t, err)
		_, err = g.Judge()
		assert.ErrorContains(t, err, says, keys)
	}
}

// A table of times of burning is an order of magnitude: the band is half to twice.
// The standard uncertainty is a quarter, so that its double is half.
func TestATimeOfScaldingIsAnOrderOfMagnitude(t *testing.T) {
	t.Parallel()
	j := judge(t, "scald-time", "water=60±0")
	assert.InEpsilon(t, j.Expected/2, j.Low, 1e-9)
	assert.InEpsilon(t, j.Expected*3/2, j.High, 1e-9)
}

// What a part may be off by follows from its class: 1 per cent of the span of 16 mA
// or of the span of 0.8 times the supply.
func TestToleranceOfATransducerIsAShareOfItsSpan(t *testing.T) {
	t.Parallel()
	j := judge(t, "current-loop", "pressure=1.5bar span=4bar tolerance=2%")
	assert.InDelta(t, 0.32, j.Width(j.Tolerance), 1e-9)
	assert.InDelta(t, 10, j.In(j.Expected), 1e-9)
	j = judge(t, "transducer-voltage", "pressure=1.5 span=4 supply=5V tolerance=2%")
	assert.InDelta(t, 0.08, j.Width(j.Tolerance), 1e-9)
	// Solved for the pressure, the tolerance is that of the pressure: 2 per cent of 4 bar.
	j = judge(t, "transducer-voltage", "span=4 supply=5V tolerance=2% reads=2V")
	assert.InEpsilon(t, 0.08, j.Tolerance, 1e-6)
	j = judge(t, "loop-resistance", "supply=24 minimum=10")
	assert.InDelta(t, 14/0.021, j.Expected, 1e-9)
}

// A height is not below nothing, so neither is the band of one that was solved for;
// a temperature may be.
func TestABandEndsWhereTheQuantityDoes(t *testing.T) {
	t.Parallel()
	j := judge(t, "static-head", "reads=0.005bar")
	assert.Equal(t, "height", j.SolvedName())
	assert.Zero(t, j.Low)
	assert.Greater(t, j.High, j.Expected)
	j = judge(t, "platinum", "r0=1000 reads=1000")
	assert.InDelta(t, 0, j.Expected, 1e-6)
	assert.Less(t, j.Low, 0.0)
	assert.InDelta(t, j.Expected-j.Low, j.High-j.Expected, 1e-9)
}

// A card is a table from one end to the other, both of them in it.
func TestACardRunsFromOneEndToTheOther(t *testing.T) {
	t.Parallel()
	g, err := given("transducer-voltage", "span=4")
	require.NoError(t, err)
	c, err := g.Card("", "", "")
	require.NoError(t, err)
	require.Len(t, c.Rows, 17)
	for i, row := range c.Rows {
		assert.InDelta(t, float64(i)/4, row.At, 1e-12)
		assert.InDelta(t, 5*(0.1+0.8*row.At/4), row.Expected, 1e-9)
		assert.Less(t, row.Low, row.Expected)
		assert.Greater(t, row.High, row.Expected)
	}
	c, err = g.Card("1 bar", "2 bar", "0.3 bar")
	require.NoError(t, err)
	require.Len(t, c.Rows, 4, "1, 1.3, 1.6, 1.9; the next would be beyond")
	assert.InDelta(t, 1.9, c.Rows[3].At, 1e-12)
	c, err = g.Card("2 bar", "2 bar", "")
	require.NoError(t, err)
	assert.Len(t, c.Rows, 1)
	c, err = g.Card("0 bar", "1.99 bar", "0.01 bar")
	require.NoError(t, err)
	assert.Len(t, c.Rows, 200, "the longest")
	for _, ends := range [][3]string{{"2 bar", "1 bar", ""}, {"0 bar", "2 bar", "0.01 bar"}, {"", "", "0 bar"}, {"", "", "-1 bar"}} {
		_, err = g.Card(ends[0], ends[1], ends[2])
		assert.ErrorContains(t, err, "at most 200 steps", "%v", ends)
	}
	sensor, err := given("ntc-curve", "curve=10k-2")
	require.NoError(t, err)
	c, err = sensor.Card("32 F", "50 F", "5 K")
	require.NoError(t, err)
	require.Len(t, c.Rows, 3)
	assert.InDelta(t, 10, c.Rows[2].At, 1e-9)
}

// Which uncertainties were taken for granted is said, with their half-widths, as
// far as they count.
func TestUncertaintiesTakenForGrantedAreSaid(t *testing.T) {
	t.Parallel()
	j := judge(t, "transducer-voltage", "pressure=1.5 span=4 supply=5 reads=2")
	usual := strings.Join(j.Usual(), "; ")
	assert.Contains(t, usual, "pressure ± ")
	assert.NotContains(t, usual, "zero")
	j = judge(t, "transducer-voltage", "pressure=1.5±0.1 span=4±0 supply=5±0 reads=2 meter=0.1")
	assert.Empty(t, j.Usual(), "all of them were given")
	j = judge(t, "transducer-voltage", "pressure=1.5±0 span=4±0 supply=5±0 tolerance=0% reads=2")
	require.Len(t, j.Usual(), 1)
	assert.Contains(t, j.Usual()[0], "meter ± ")
	require.Len(t, j.Parts(), 1)
	assert.InDelta(t, 1, j.Parts()[0].Share, 1e-9)
}

// A bare figure after the sign is in the unit of the value. Where that makes it more
// than the value itself, the letter of the value is not meant.
func TestABareUncertaintyIsInTheUnitThatIsMeant(t *testing.T) {
	t.Parallel()
	for _, row := range []struct {
		kind       units.Kind
		bare, text string
		half       float64
	}{
		{units.Resistance, "ohm", "10k ± 0.1k", 100},
		{units.Resistance, "ohm", "10 kohm ± 0.1", 100},
		{units.Resistance, "ohm", "10 kohm ± 100", 100},
		{units.Resistance, "ohm", "10 kohm ± 10", 10_000},
		{units.Resistance, "ohm", "10 ± 20", 20},
		{units.Voltage, "V", "500 mV ± 20", 0.02},
		{units.Difference, "K", "5 K ± 10", 10},
		{units.Temperature, "C", "2 C ± 5", 5},
		{units.Share, "%", "5 % ± 1 %", 1},
		{units.Pressure, "bar", "2 bar ± 10 %", 0.2},
		{units.Pressure, "bar", "-0.5 bar ± 10 %", 0.05},
		{units.Pressure, "bar", "2 bar ± 0", 0},
	} {
		q, err := parseQuantity(row.kind, row.bare, row.text)
		require.NoError(t, err, row.text)
		assert.InDelta(t, row.half, q.Standard*math.Sqrt(3), 1e-9, row.text)
	}
	_, err := parseQuantity(units.Pressure, "bar", "2 bar ± -1")
	assert.ErrorContains(t, err, "from 0")
}

// A volume that ran through in a time is a flow; each of them has to be there.
func TestAVolumeInATime(t *testing.T) {
	t.Parallel()
	for text, seconds := range map[string]float64{"2 m3 in 118 s": 118, "2 m3 in 1:58": 118, "2 m3 in 2 min 5 s": 125, "2 m3 in 2m5": 125, "2 m3 in 1 h 1 min 1 s": 3661} {
		q, err := parseQuantity(units.Volume, "m3", text)
		require.NoError(t, err, text)
		assert.InDelta(t, 2000, q.Value*1000/unitOf(q), 1e-9, text)
		assert.InDelta(t, seconds, q.Seconds, 1e-9, text)
	}
	for _, text := range []string{"2 m3 in 0 s", "2 m3 in", "2 m3 in -5 s", "2 m3 in 1:60", "2 m3 in 1.5:30"} {
		_, err := parseQuantity(units.Volume, "m3", text)
		assert.Error(t, err, text)
	}
}

// unitOf is by how much a volume of 2 cubic metres is off from the figure 2, whatever
// unit volumes are kept in.
func unitOf(q Quantity) float64 {
	if q.Value > 100 {
		return 1000
	}
	return 1
}

// Slope is the derivative: the difference of two resistances close to each other.
func TestTheSlopeOfPlatinumIsItsDerivative(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		at := celsius(rapid.Float64Range(-199, 849).Draw(t, "at"))
		const h = 1e-3
		want := (platinum(100, at+h) - platinum(100, at-h)) / (2 * h)
		assert.InEpsilon(t, float64(want), float64(platinumSlope(100, at)), 1e-6)
	})
}

// A reading that cannot be weighed is named by its place in the list.
func TestTheReadingThatCannotBeWeighedIsNamed(t *testing.T) {
	t.Parallel()
	limits, err := given("supply-voltage", "reads=230V")
	require.NoError(t, err)
	_, err = Likelihoods(append(readings(t, "at=20C reads=12.5k"), limits), suspects())
	assert.ErrorContains(t, err, "reading 2: supply-voltage has limits")
	_, err = Likelihoods(readings(t, "at=20C reads=12.5k", "at=20C"), suspects())
	assert.ErrorContains(t, err, "reading 2 has no figure")
}

// States are weighed by how often a meter shows them: of a part that is whole, OL
// once in a hundred times; of one that is open, 97 times (common practice).
func TestAStateIsWeighedByHowOftenAMeterShowsIt(t *testing.T) {
	t.Parallel()
	l, err := Likelihoods(readings(t, "at=20C reads=OL"), suspects())
	require.NoError(t, err)
	assert.InDelta(t, 0.01/0.97, l[isHealthy], 1e-9)
	assert.InDelta(t, 0.015/0.97, l[isShort], 1e-9)
	l, err = Likelihoods(readings(t, "at=20C reads=short"), suspects())
	require.NoError(t, err)
	assert.InDelta(t, 0.002/0.97, l[isHealthy], 1e-9)
	assert.InDelta(t, 0.015/0.97, l[isOpen], 1e-9)
	l, err = Likelihoods(readings(t, "at=20C reads=OL", "at=20C reads=OL"), suspects())
	require.NoError(t, err)
	assert.InDelta(t, 0.01/0.97*0.01/0.97, l[isHealthy], 1e-9)
}
