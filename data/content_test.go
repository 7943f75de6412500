package data_test

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/note"
)

func byID(t *testing.T) map[note.ID]*note.Note {
	t.Helper()
	out := map[note.ID]*note.Note{}
	for _, n := range shipped(t).Kept {
		out[n.ID()] = n
	}
	return out
}

func TestEveryFigureHasASource(t *testing.T) {
	t.Parallel()
	figures := 0
	for _, n := range shipped(t).Kept {
		if n.FirstFigure.Line == 0 {
			continue
		}
		figures++
		assert.NotEmpty(t, n.Entry.Head().Source, "%s", n.FirstFigure)
	}
	assert.Positive(t, figures)
}

// A saying leads to one symptom. Case, spaces and punctuation do not make it
// another.
func TestNoTwoSymptomsShareASaying(t *testing.T) {
	t.Parallel()
	folded := func(s string) string {
		return strings.Join(strings.FieldsFunc(strings.ToLower(s), func(r rune) bool {
			return strings.ContainsRune(" \t\n.,;:!?-", r)
		}), " ")
	}
	said := map[string]note.ID{}
	for _, n := range shipped(t).Kept {
		s, ok := n.Entry.(*note.Symptom)
		if !ok {
			continue
		}
		for _, saying := range append([]string{s.Name}, s.Also...) {
			if other, taken := said[folded(saying)]; taken && other != s.ID {
				t.Errorf("%s: %q is said of %s too", n.Path, saying, other)
			}
			said[folded(saying)] = s.ID
		}
	}
	assert.NotEmpty(t, said)
}

func TestEveryModeHasARepairThatIsARepair(t *testing.T) {
	t.Parallel()
	entries := byID(t)
	for _, n := range entries {
		m, ok := n.Entry.(*note.Mode)
		if !ok {
			continue
		}
		assert.NotEmpty(t, m.Repair, n.Path)
		for _, id := range m.Repair {
			remedy, ok := entries[id].Entry.(*note.Remedy)
			if assert.True(t, ok, "%s: %s is not a remedy", n.Path, id) {
				assert.Equal(t, note.Repair, remedy.Measure, "%s: %s", n.Path, id)
			}
		}
	}
}

func TestEveryCodeStandsForASymptomOrAMode(t *testing.T) {
	t.Parallel()
	entries := byID(t)
	codes := 0
	for _, n := range entries {
		a, ok := n.Entry.(*note.Appliance)
		if !ok {
			continue
		}
		if a.Maker != "" {
			assert.NotEmpty(t, a.IsA, "%s: one maker's appliance belongs to a family", n.Path)
		}
		for _, c := range a.Codes {
			codes++
			assert.NotEmpty(t, c.Means, "%s: %s stands for nothing", n.Path, c.Shown)
			for _, id := range c.Means {
				e, ok := entries[id]
				if assert.True(t, ok, "%s: %s stands for %s, which is not there", n.Path, c.Shown, id) {
					assert.Contains(t, []note.Kind{note.KindSymptom, note.KindMode}, e.Kind(), "%s: %s", n.Path, c.Shown)
				}
			}
		}
	}
	assert.Positive(t, codes)
}

// What stops the work tells people what to do instead, and why.
func TestEverySymptomThatStopsTheWorkSaysWhatToDoFirst(t *testing.T) {
	t.Parallel()
	stops := 0
	for _, n := range shipped(t).Kept {
		if s, ok := n.Entry.(*note.Symptom); ok && len(s.StopWork) > 0 {
			stops++
			assert.GreaterOrEqual(t, len(s.StopWork), 2, n.Path)
			assert.NotEmpty(t, s.Caveats, "%s: it is shown with its hazard", n.Path)
		}
	}
	require.Positive(t, stops)
}

// A switch that is worked in gas lights it. Where first steps work one, the same step or
// one before it says that this is not done with a smell of gas.
func TestNoFirstStepWorksASwitchWithoutAThoughtOfGas(t *testing.T) {
	t.Parallel()
	works := regexp.MustCompile(`(?i)consumer unit|main switch|\bspur\b|isolator|\b(?:turn|switch)\b[^.;]*\boff\b|\bisolate\b|cut the power`)
	thinks := regexp.MustCompile(`(?i)gas is smelt|smells? of gas|smelt? (?:\w+ ){0,4}gas|no (?:naked flame, no smoking, no )?switch|no (?:light, )?switch|wherever no gas|no ignition source`)
	worked := 0
	for _, n := range shipped(t).Kept {
		s, ok := n.Entry.(*note.Symptom)
		if !ok {
			continue
		}
		if at := slices.IndexFunc(s.StopWork, works.MatchString); at >= 0 {
			worked++
			assert.True(t, slices.ContainsFunc(s.StopWork[:at+1], thinks.MatchString), "%s: step %d works a switch: %s", n.Path, at+1, s.StopWork[at])
		}
	}
	assert.Greater(t, worked, 20)
}

// Whatever lights a flame for another reason than to mend a leak is not done after a
// smell, a hiss, a struck pipe, a bang, an alarm, or with anyone unwell.
func TestNoTestLightsAFlameWhereGasOrFumesAreFeared(t *testing.T) {
	t.Parallel()
	for _, n := range shipped(t).Kept {
		e, ok := n.Entry.(*note.Test)
		if !ok || !slices.Contains(e.Does, note.Lights) {
			continue
		}
		for _, danger := range []note.ID{"gas-smell", "gas-pipe-struck", "bottled-gas-leak"} {
			assert.Contains(t, e.NotWhen, danger, n.Path)
		}
		if e.Who.CoveredBy([]note.Competence{note.Apprentice}) {
			for _, danger := range []note.ID{"co-alarm-sounding", "flue-products-smell", "occupants-unwell", "explosive-ignition", "scorching-smell", "refrigerant-hiss"} {
				assert.Contains(t, e.NotWhen, danger, n.Path)
			}
		}
	}
}

// What keeps people safe is never exchanged for what is only like it. These types are
// the least that are known for it, by themselves or by a wider type.
func TestTypesThatKeepPeopleSafeSayWhatFrom(t *testing.T) {
	t.Parallel()
	entries := byID(t)
	component := func(id note.ID) *note.Component {
		if n := entries[id]; n != nil {
			c, _ := n.Entry.(*note.Component)
			return c
		}
		return nil
	}
	for class, types := range map[note.Safety][]note.ID{
		note.Gas:              {"gas-valve", "gas-supply", "pilot-assembly", "venturi"},
		note.Relief:           {"safety-relief-valve", "expansion-relief-valve", "temperature-pressure-relief-valve", "relief-discharge-pipe", "tundish", "open-vent-pipe", "pressure-reducing-valve", "cylinder-expansion-vessel"},
		note.TemperatureLimit: {"limit-thermostat", "control-thermostat", "thermal-cut-out", "immersion-thermostat", "thermostatic-mixing-valve", "underfloor-mixing-valve"},
		note.Combustion:       {"burner", "fan", "flue", "flue-terminal", "combustion-seal", "flame-sensing-electrode", "control-board", "primary-heat-exchanger", "co-alarm", "condensate-trap", "oil-burner-control", "oil-photocell", "oil-fire-valve"},
		note.PressureSensing:  {"air-pressure-switch", "pressure-sensor", "hot-water-flow-switch", "pressure-gauge"},
	} {
		for _, id := range types {
			assert.Equal(t, class, note.SafetyOfType(id, component), id)
		}
	}
}
