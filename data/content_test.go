package data_test

import (
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
