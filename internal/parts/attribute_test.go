package parts

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Pipe threads of ISO 228-1:2000, table 1; those of ISO 7-1:1994 have the same
// pitch and diameter. From memory; the pitch in millimetres follows as 25.4 over
// the number in an inch, to the three digits that the tables print.
func TestPipeThreadsAreThoseOfTheStandard(t *testing.T) {
	t.Parallel()
	pitch := map[string]float64{"1/8": 0.907, "1/4": 1.337, "3/8": 1.337, "1/2": 1.814, "3/4": 1.814, "1": 2.309, "1 1/4": 2.309, "1 1/2": 2.309, "2": 2.309}
	diameter := map[string]float64{"1/8": 9.728, "1/4": 13.157, "3/8": 16.662, "1/2": 20.955, "3/4": 26.441, "1": 33.249, "1 1/4": 41.910, "1 1/2": 47.803, "2": 59.614}
	found := 0
	for _, p := range pipeThreads() {
		if want, ok := pitch[p.size]; ok {
			found++
			assert.InDelta(t, want, 25.4/float64(p.perInch), 0.0005, p.size)
			assert.InDelta(t, diameter[p.size], p.diameter, 0.0005, p.size)
		}
	}
	assert.Len(t, pitch, found)
}

func TestThreadsInAnySpelling(t *testing.T) {
	t.Parallel()
	for want, spellings := range map[string][]string{
		"G 1/2":   {"G1/2", "g 1/2", "G½", `G 1/2"`, "G 1/2 A", "G1/2B", "1/2 BSPP"},
		"R 3/4":   {"R3/4", "3/4 BSPT", "R ¾"},
		"Rp 1/2":  {"RP1/2", "Rp 1/2"},
		"Rc 1":    {"rc 1"},
		"G 1 1/4": {"G 1 1/4", "G1-1/4", "G 1  1/4"},
		"M10x1":   {"M 10 x 1", "m10x1", "M10×1"},
		"M30x1.5": {"M30x1.5"},
	} {
		for _, s := range spellings {
			got, err := parseThread(s)
			require.NoError(t, err, s)
			assert.Equal(t, want, spelled(got), s)
		}
	}
	for s, why := range map[string]string{
		"1/2 BSP": "parallel or taper", "G 1/3": "not a size", "M10": "pitch", "half inch": "not a thread", "": "not a thread", "M-1x1": "pitch", "M1e9x1": "pitch",
	} {
		_, err := parseThread(s)
		assert.ErrorContains(t, err, why, s)
	}
}

func TestQuantitiesWithUnitsAndTolerances(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, text           string
		low, high, tolerance float64
	}{
		{"set pressure", "3 bar", 3, 3, math.NaN()},
		{"set pressure", "300 kPa ± 10 kPa", 3, 3, 0.1},
		{"set pressure", "3 bar ± 10 %", 3, 3, 0.3},
		{"set pressure", "3 bar +/- 0.1", 3, 3, 0.1},
		{"range", "0 to 4 bar", 0, 4, math.NaN()},
		{"range", "-10 to 50 C", -10, 50, math.NaN()},
		{"set temperature", "90 C ± 3 K", 90, 90, 3},
		{"voltage", "220 to 240 V", 220, 240, math.NaN()},
		{"resistance", "10 kohm ± 2 %", 10_000, 10_000, 200},
		{"flow", "1.2 m3/h", 20, 20, math.NaN()},
		{"pre-charge", "750 mbar", 0.75, 0.75, math.NaN()},
		{"plates", "16", 16, 16, math.NaN()},
		{"current", "500 mA", 0.5, 0.5, math.NaN()},
	} {
		v, err := Attribute{c.name, c.text}.read()
		require.NoError(t, err, c.text)
		assert.InDelta(t, c.low, v.low, 1e-9, c.text)
		assert.InDelta(t, c.high, v.high, 1e-9, c.text)
		if math.IsNaN(c.tolerance) {
			assert.True(t, math.IsNaN(v.tolerance), c.text)
		} else {
			assert.InDelta(t, c.tolerance, v.tolerance, 1e-9, c.text)
		}
	}
	for _, c := range []struct{ name, text, why string }{
		{"set pressure", "3 V", "belongs here"}, {"set pressure", "three bar", "not a unit"}, {"set pressure", "3", "belongs here"},
		{"range", "4 to 0 bar", "below where it begins"}, {"voltage", "230 V ± 1 bar", "unit of the value"},
		{"voltage", "230 V ± -1", "below zero"}, {"voltage", "NaN V", "not a unit"}, {"voltage", "1e99 V", "not a figure"}, {"voltage", "", "no value"},
	} {
		_, err := Attribute{c.name, c.text}.read()
		assert.ErrorContains(t, err, c.why, c.text)
	}
}

// EN 60335-1 has appliances for European mains marked with a rated voltage, or a
// range of them, that includes 230 V (400 V between phases); from memory. A part
// for 220 to 240 V will do for 230 V, one for 110 V or 24 V will not.
func TestSupplyRatings(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		want, has string
		agrees    bool
	}{
		{"230 V", "230 V", true}, {"230 V", "220 to 240 V", true}, {"230 V", "240 V", true}, {"220 to 240 V", "230 V", true},
		{"230 V", "24 V", false}, {"230 V", "110 V", false}, {"230 V", "400 V", false}, {"24 V", "230 V", false}, {"230 V", "200 to 220 V", true},
		{"230 V", "100 to 200 V", false},
	} {
		d := difference(Attribute{"voltage", c.want}, Attribute{"voltage", c.has})
		assert.Equal(t, c.agrees, d.Agrees(), "%s for %s: %v", c.has, c.want, d)
	}
}

func TestWhatDiffersAndWhatDoesNot(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, want, has string
		agrees          bool
		why             string
	}{
		{"thread", "G 1/2", "1/2 BSPP", true, ""},
		{"thread", "G 1/2", "R 1/2", false, "seals another way"},
		{"thread", "G 1/2", "G 3/4", false, "does not screw in"},
		{"thread", "M10x1", "G 1/8", false, "does not screw in"},
		{"range", "0 to 4 bar", "0 to 6 bar", true, ""},
		{"range", "0 to 6 bar", "0 to 4 bar", false, "does not cover it"},
		{"range", "0 to 4 bar", "0 to 400 kPa", true, ""},
		{"range", "0 to 4 bar", "0 to 4 V", false, "kind of quantity"},
		{"output", "0.5 to 3.5 V", "0.5 to 4.5 V", false, "out of tolerance"},
		{"set pressure", "3 bar", "3 bar", true, ""},
		{"set pressure", "3 bar", "3.1 bar", false, "out of tolerance"},
		{"set pressure", "3 bar ± 0.2", "3.1 bar", true, ""},
		{"set pressure", "3 bar ± 0.1", "3 bar ± 0.5", false, "out of tolerance"},
		{"pre-charge", "0.75 bar", "0.8 bar", true, ""},
		{"pre-charge", "0.75 bar", "1.5 bar", false, "out of tolerance"},
		{"current", "10 A", "16 A", true, ""},
		{"current", "16 A", "10 A", false, "does not cover it"},
		{"length", "130 mm", "13 cm", true, ""},
		{"connector", "3 pin lock", "3  Pin Lock", true, ""},
		{"connector", "3 pin lock", "3 pin clip", false, "not the same"},
	} {
		d := difference(Attribute{c.name, c.want}, Attribute{c.name, c.has})
		assert.Equal(t, c.agrees, d.Agrees(), "%s: %s for %s: %+v", c.name, c.has, c.want, d)
		assert.Contains(t, d.Why, c.why)
		assert.LessOrEqual(t, d.Distance, farthestApart)
	}
	d := compare([]Attribute{{"thread", "G 1/2"}}, nil)
	assert.Equal(t, unstated, d[0].Distance)
}

// A value is like itself, in whatever unit it is written.
func TestAValueAgreesWithItself(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := rapid.SampledFrom(meanings).Draw(t, "attribute")
		a := Attribute{m.name, m.hint}
		require.Zero(t, difference(a, a).Distance, "%v", a)
	})
}

// spelled is a thread in one spelling.
func spelled(t thread) string {
	if t.series == metric {
		return fmt.Sprintf("M%gx%g", t.diameter, t.pitch)
	}
	return string(t.series) + " " + t.size
}
