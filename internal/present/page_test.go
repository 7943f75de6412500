package present

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"kg/internal/present/presenttest"
	"kg/internal/signal"
)

func TestALabelWiderThanItsColumnStillFitsOnALine(t *testing.T) {
	t.Parallel()
	var b strings.Builder
	g := NewPage(&b, Columns, false)
	g.labelled(2, strings.Repeat("i", 45), 10, strings.Repeat("word ", 20))
	assert.Empty(t, presenttest.LayoutFaults(b.String()))
}

func TestNothingInANoteCanSteerTheTerminal(t *testing.T) {
	t.Parallel()
	const hostile = "a\x1b[31mb\x07c\u009bd\re"
	var b strings.Builder
	g := NewPage(&b, Columns, false)
	g.heading(hostile)
	g.labelled(1, hostile, 4, hostile)
	g.hanging(1, hostile)
	g.alert(1, signal.Danger, hostile)
	assert.Empty(t, presenttest.LayoutFaults(b.String()))
	assert.Equal(t, 5, strings.Count(b.String(), "[31mb"), "the letters are kept")
}

func TestAGapIsOneEmptyLineAndNoneAtTheTop(t *testing.T) {
	t.Parallel()
	var b strings.Builder
	g := NewPage(&b, Columns, false)
	g.gap()
	g.line("a")
	g.gap()
	g.gap()
	g.line("b")
	assert.Equal(t, "a\n\nb\n", b.String())
}

func TestABarShowsEveryShareAboveNothing(t *testing.T) {
	t.Parallel()
	g := NewPage(nil, Columns, false)
	for p, want := range map[float64]int{0: 0, 0.001: 1, 0.05: 1, 0.5: 10, 0.974: 19, 1: 20} {
		assert.Len(t, g.bar(p), want, p)
	}
}
