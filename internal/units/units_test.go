package units_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/units"
)

// Prefixes that capitals tell apart are a factor of a million and more wrong if they
// are not.
func TestCapitalsTellPrefixesApart(t *testing.T) {
	t.Parallel()
	for name, want := range map[string]float64{"Mohm": 1e6, "MOhm": 1e6, "MΩ": 1e6, "mohm": 1e-3, "mohms": 1e-3, "Mohms": 1e6, "mOhm": 1e-3, "mΩ": 1e-3, "KOHM": 1e3} {
		u := units.Find(units.Resistance, name)
		require.NotNil(t, u, name)
		assert.InEpsilon(t, want, u.Factor, 1e-12, name)
	}
	// A text in capitals throughout does not tell; insulation is what it is about.
	for _, name := range []string{"MOHM", "MOHMS", "MEGOHM"} {
		u := units.Find(units.Resistance, name)
		require.NotNil(t, u, name)
		assert.InEpsilon(t, 1e6, u.Factor, 1e-12, name)
	}
	for name, want := range map[string]float64{"MW": 1e3, "mW": 1e-6, "W": 1e-3, "KW": 1} {
		u := units.Find(units.Power, name)
		require.NotNil(t, u, name)
		assert.InEpsilon(t, want, u.Factor, 1e-12, name)
	}
	assert.Nil(t, units.Find(units.Power, "furlong"))
}

// A figure that is converted and back is the same, and each printed name is that of
// one unit of its kind.
func TestEachUnitIsFoundByTheNameThatIsPrinted(t *testing.T) {
	t.Parallel()
	for k := range units.Kinds {
		seen := map[string]bool{}
		for _, name := range units.NamesOf(k) {
			assert.False(t, seen[name], "%s twice", name)
			seen[name] = true
			u := units.Find(k, strings.ReplaceAll(name, " ", ""))
			if assert.NotNil(t, u, name) {
				assert.Equal(t, name, u.Name())
				assert.InDelta(t, 7, u.Of(7*u.Factor+u.Offset), 1e-9, name)
			}
		}
		assert.NotEqual(t, "unknown kind", k.String())
	}
}
