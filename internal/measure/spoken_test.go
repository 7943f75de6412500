package measure

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestFiguresAreFoundInWords(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		model, text string
		want        []Pair
	}{
		{"ntc-beta r25=10k", "hot sensor is about 3 k at 55, right", []Pair{{"reads", "3k"}, {"at", "55C"}}},
		{"ntc-beta r25=10k", "got 10.4 kohm on the meter @ 24 degrees by the clamp", []Pair{{"reads", "10.4kohm"}, {"at", "24C"}}},
		{"ntc-beta r25=10k", "12,5k at about 20°C", []Pair{{"reads", "12,5k"}, {"at", "20C"}}},
		{"ntc-beta r25=10k", "reads 680 ohms", []Pair{{"reads", "680ohms"}}},
		{"ntc-beta r25=10k", "10 k cold and 3 k hot", nil},
		{"ntc-beta r25=10k", "all six agree, within 2", nil},
		{"ntc-beta r25=10k", "at 20 kelvin off it was no use", nil},
		{"platinum r0=1000", "1077 ohms at 20", []Pair{{"reads", "1077ohms"}, {"at", "20C"}}},
		{"element power=3kW", "18 ohms across the two of them", []Pair{{"reads", "18ohms"}}},
		{"transducer-voltage span=4bar", "1.7 V at 1.2 bar on my own gauge", []Pair{{"reads", "1.7V"}, {"pressure", "1.2bar"}}},
		{"transducer-voltage span=4bar", "1.7 V at 1.2, climbing with it", []Pair{{"reads", "1.7V"}, {"pressure", "1.2bar"}}},
		{"transducer-voltage", "1.7 V at 1.2, climbing with it", []Pair{{"reads", "1.7V"}}}, // of the span or of the pressure
	} {
		g := begun(t, c.model)
		assert.Equal(t, c.want, g.Spoken(c.text), "%s: %s", c.model, c.text)
	}
}

// begun is a case of a model with some keys, as in "element power=3kW".
func begun(t *testing.T, text string) *Given {
	t.Helper()
	pairs, err := Pairs(strings.Fields(text))
	require.NoError(t, err)
	g, err := New(pairs[0].Value)
	require.NoError(t, err)
	for _, p := range pairs[1:] {
		require.NoError(t, g.Set(p.Key, p.Value))
	}
	return g
}
