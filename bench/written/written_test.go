package main

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/advise"
	"kg/internal/note"
)

func TestACalloutIsReadLineByLine(t *testing.T) {
	t.Parallel()
	got, err := read(strings.NewReader(strings.Join([]string{
		"1\tfamily\tcombi", "1\tsaid\tno heat", "1\tfound\tturned it: stands", "1\tresult\tturn-it\tstands", "1\tmode\tpump-seized", "1\tmode\tpump-burnt", "1\tappliance\tcombination-boiler",
		"2\tsaid\tno water", "2\tmode\tnone",
	}, "\n")))
	require.NoError(t, err)
	require.Len(t, got, 2)
	assert.Equal(t, callout{number: "1", family: "combi", appliance: "combination-boiler", said: "no heat", found: []advise.Tested{{Test: "turn-it", Result: "stands"}}, modes: []note.ID{"pump-seized", "pump-burnt"}}, got[0])
	assert.Empty(t, got[1].modes, "the notes do not have it")
	for _, wrong := range []string{"1\tsaid", "1\tguess\tx", "1\tresult\tturn-it"} {
		_, err := read(strings.NewReader(wrong))
		assert.ErrorContains(t, err, "line 1", wrong)
	}
}

func TestWhatStandsOnTopIsCounted(t *testing.T) {
	t.Parallel()
	var got tally
	got.add(judged{known: true, first: true, right: 0.9, top: 0.9, brier: 0.1})
	got.add(judged{known: true, right: 0.1, top: 0.85, brier: 0.5})
	got.add(judged{stopped: true, brier: 1})
	got.add(judged{known: true, first: true, right: 0.5, top: 0.5})
	assert.Equal(t, tally{all: 4, stopped: 1, known: 3, first: 2, right: 1, wrong: 1, brier: 1.6}, got)
}
