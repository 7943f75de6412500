package present_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/advise"
	"kg/internal/catalogue"
	"kg/internal/library"
	"kg/internal/measure"
	"kg/internal/present"
	"kg/internal/signal"
)

const hostile = "a\x1b[31m <b>\"x\" & 'y'</b>"

// texts reads a drawing and returns its elements and what is written on it.
func texts(t *testing.T, svg []byte) (elements map[string]int, written []string) {
	t.Helper()
	elements = map[string]int{}
	d := xml.NewDecoder(bytes.NewReader(svg))
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return elements, written
		}
		require.NoError(t, err)
		switch token := token.(type) {
		case xml.StartElement:
			elements[token.Name.Local]++
		case xml.CharData:
			if text := string(bytes.TrimSpace(token)); text != "" {
				written = append(written, text)
			}
		}
	}
}

func TestNothingInANoteCanSteerADrawing(t *testing.T) {
	t.Parallel()
	const shown = `a [31m <b>"x" & 'y'</b>`
	card := measure.Card{Model: measure.Models()[0], Source: hostile, Rows: []measure.Row{{At: 1, Expected: 2, Low: 1, High: 3}}}
	for name, svg := range map[string][]byte{
		"chart": present.ChartSheet(advise.Chart{Name: hostile, Start: &advise.ChartStep{Kind: "test", ID: "x", Name: hostile},
			Caveats: []library.Alert{{Level: signal.Danger, Name: hostile}}}),
		"chart that stops": present.ChartSheet(advise.Chart{Name: hostile, StopWork: []string{hostile}}),
		"card":             present.CardSheet(&card, hostile, "A5"),
	} {
		t.Run(name, func(t *testing.T) {
			elements, written := texts(t, svg)
			assert.Contains(t, written, shown)
			assert.Zero(t, elements["b"])
			assert.Equal(t, 1, elements["svg"])
		})
	}
}

func TestACurveIsDrawnThroughAllItsPoints(t *testing.T) {
	t.Parallel()
	plan := catalogue.StockPlan{PlanQuestion: catalogue.PlanQuestion{Budget: 50, Slots: 4, Jobs: 10}, Curve: []catalogue.CurvePoint{{Budget: 0, Share: 0.2}, {Budget: 50, Share: 0.5}, {Budget: 100, Share: 0.6}}}
	svg := present.CurveSheet(plan)
	_, written := texts(t, svg)
	for _, budget := range []string{"0", "50", "100"} {
		assert.Contains(t, written, budget)
	}
	assert.Equal(t, 1, bytes.Count(svg, []byte(`stroke-width="0.6"`)), "one curve")
}
