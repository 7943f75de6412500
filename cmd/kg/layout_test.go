package main

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/note"
	"kg/internal/present/presenttest"
)

// The queries are as people say them: clear, vague, wrong, in several tongues,
// with codes of one appliance or of none, long, and hostile to a terminal.
var queries = []string{
	"pressure not rising on pump start",
	"no hot water but heating is fine",
	"radiators cold upstairs",
	"the boiler clicks but does not light",
	"banging noise when it heats up",
	"water dripping from the copper pipe outside",
	"pressure drops every few days",
	"pressure goes to 3 bar when hot",
	"shower goes cold after two minutes",
	"hot water is lukewarm",
	"smell of gas",
	"carbon monoxide alarm is beeping",
	"scorch marks on the case",
	"water is dripping on the electrics",
	"pump is humming but nothing gets warm",
	"one radiator is cold at the bottom",
	"display is blank",
	"keeps locking out at night",
	"gurgling in the pipes",
	"heating will not turn off",
	"heat pump is icing up",
	"immersion trips the breaker",
	"no pressure",
	"kettling",
	"it is cold",
	"nothing works",
	"no heating and no hot water, the fan runs",
	"pilot will not stay lit",
	"outside unit is very loud and the house is cold",
	"underfloor heating cold in one room",
	"cylinder valve discharges hot water",
	"black water from the bleed screw",
	"B14", "b 14", "code 99", "H.27",
	"B14 on the display and the pressure is fine",
	"die Heizung ist kalt und das Warmwasser auch",
	"x\x1b[31my\tz\u0085 \u200b no hot water",
	strings.Repeat("the radiators are cold and the boiler makes a noise and ", 8),
}

func TestAnswersOnShippedNotesFitOnATerminal(t *testing.T) {
	t.Parallel()
	require.Len(t, queries, 40)
	home := shipped(t)
	for _, q := range queries {
		t.Run(q[:min(len(q), 40)], func(t *testing.T) {
			t.Parallel()
			for _, flag := range []string{"--most=5", "--full", "--why"} {
				a := kgProgram(t, "--home", home, "ask", flag, "--", q)
				assert.Contains(t, []int{exitAnswered, exitNothing}, a.status, a.err)
				assert.NotEmpty(t, a.out)
				assert.Empty(t, presenttest.LayoutFaults(a.out))
			}
		})
	}
}

func TestEntriesOfShippedNotesFitOnATerminal(t *testing.T) {
	t.Parallel()
	const every = 20
	home := shipped(t)
	n := 0
	for _, k := range note.Kinds() {
		a := kgProgram(t, "--home", home, "list", "--json", string(k))
		require.Contains(t, []int{exitAnswered, exitNothing}, a.status, a.err) // there may be no parts
		var titles []struct{ ID string }
		require.NoError(t, json.Unmarshal([]byte(a.out), &titles))
		for _, title := range titles {
			if n++; n%every != 0 {
				continue
			}
			a := kgProgram(t, "--home", home, "show", title.ID)
			assert.Equal(t, exitAnswered, a.status, "%s: %s", title.ID, a.err)
			assert.Empty(t, presenttest.LayoutFaults(a.out), title.ID)
		}
	}
	require.Greater(t, n, every, "there are shipped entries")
}

func TestChainsFindsAndListsOfShippedNotesFitOnATerminal(t *testing.T) {
	t.Parallel()
	home := shipped(t)
	for _, args := range [][]string{
		{"chain", "pressure-climbs-hot", "--depth", "20"},
		{"chain", "expansion-vessel-lost-charge", "--ahead", "--depth", "12"},
		{"find", "expansion vessel", "--most", "100"},
		{"find", "pump"},
		{"list"}, {"list", "modes"}, {"list", "jobs"},
		{"check"},
	} {
		a := kgProgram(t, append([]string{"--home", home}, args...)...)
		assert.Equal(t, exitAnswered, a.status, "%s: %s", args, a.err)
		assert.Empty(t, presenttest.LayoutFaults(a.out), args)
	}
}

func TestPartsOfShippedListsFitOnATerminal(t *testing.T) {
	t.Parallel()
	home := shipped(t)
	a := kgProgram(t, "--home", home, "parts", "export", "--json")
	require.Equal(t, exitAnswered, a.status, a.err)
	var list []struct{ Number, Maker, Type string }
	require.NoError(t, json.Unmarshal([]byte(a.out), &list))
	const every = 31
	types := map[string]bool{}
	for i, p := range list {
		if i%every == 0 {
			a := kgProgram(t, "--home", home, "part", p.Maker, p.Number)
			assert.Equal(t, exitAnswered, a.status, "%s: %s", p.Number, a.err)
			assert.Contains(t, a.out, p.Maker+" "+p.Number)
			assert.Empty(t, presenttest.LayoutFaults(a.out), p.Number)
		}
		if !types[p.Type] {
			types[p.Type] = true
			a := kgProgram(t, "--home", home, "part", "match", p.Maker, p.Number)
			assert.Contains(t, []int{exitAnswered, exitNothing}, a.status, a.err)
			assert.Empty(t, presenttest.LayoutFaults(a.out), p.Number)
		}
	}
	for _, appliance := range []string{"skerry-c24", "tholen-combi-30", "hollin-air-7", "anvil-lift-2"} {
		for _, words := range []string{"pump", "pressure sensor", "expansion vessel", "valve", "control board"} {
			a := kgProgram(t, "--home", home, "part", words, "--appliance", appliance)
			assert.Contains(t, []int{exitAnswered, exitNothing}, a.status, a.err)
			assert.Empty(t, presenttest.LayoutFaults(a.out), words)
		}
	}
}
