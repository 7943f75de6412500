package archive

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/bucket/memory"
	"kg/internal/note"
	"kg/internal/parts"
	"kg/internal/place"
)

func stored(t *testing.T, list []*parts.Part) *Parts {
	t.Helper()
	var m memory.Buckets
	require.NoError(t, WriteParts(t.Context(), &m, sortedByID(list)))
	s, err := PartsIn(&m)
	require.NoError(t, err)
	return s
}

func sortedByID(list []*parts.Part) []*parts.Part {
	return slices.SortedFunc(slices.Values(list), func(a, b *parts.Part) int { return cmp.Compare(a.ID, b.ID) })
}

func part(maker, number, component string, fits ...string) *parts.Part {
	p := &parts.Part{ID: parts.IDOf(maker, number), Maker: maker, Number: number, Type: component}
	for _, a := range fits {
		p.Fits = append(p.Fits, parts.Fit{Appliance: a})
	}
	return p
}

func TestPartsAreFoundByNumberFormTypeAndAppliance(t *testing.T) {
	t.Parallel()
	full := part("Ferrow", "A-0010-02", "pump", "ferrow-20", "ferrow-30")
	full.By = []parts.Succession{{By: []parts.Item{{ID: "ferrow/A11", Number: "A-11", Count: 2}}, Serials: parts.Range{From: "1"}, Needs: []string{"glue"}}}
	full.Claims = []parts.Claim{{By: "lunt/7", Maker: "Lunt", Number: "7", Grade: note.Identical, Both: true}}
	full.Attributes = []parts.Attribute{{Name: "thread", Text: "G 1/2"}}
	full.Where = place.Pos{File: "list.csv", Line: 2}
	s := stored(t, []*parts.Part{full, part("Ferrow", "A-O1", "pump"), part("Lunt", "A001002", "valve", "ferrow-20")})
	assert.Equal(t, 3, s.Count())
	got, err := s.Get(full.ID)
	require.NoError(t, err)
	assert.Equal(t, full, got, "as it was written")
	missing, err := s.Get("ferrow/X")
	require.NoError(t, err)
	assert.Nil(t, missing)

	for name, c := range map[string]struct {
		find func() ([]parts.ID, error)
		want []parts.ID
	}{
		"number":              {func() ([]parts.ID, error) { return s.Numbered(parts.KeyOf("a 0010.02")) }, []parts.ID{"ferrow/A1002"}},
		"beginning is not it": {func() ([]parts.ID, error) { return s.Numbered("A10") }, nil},
		"fewer zeros":         {func() ([]parts.ID, error) { return s.Grouped(parts.Grouped("A-10-2")) }, []parts.ID{"ferrow/A1002"}},
		"alike":               {func() ([]parts.ID, error) { return s.Alike(parts.Alike("A-01")) }, []parts.ID{"ferrow/AO1"}},
		"type":                {func() ([]parts.ID, error) { return s.OfType("pump", "") }, []parts.ID{"ferrow/A1002", "ferrow/AO1"}},
		"type and appliance":  {func() ([]parts.ID, error) { return s.OfType("pump", "ferrow-30") }, []parts.ID{"ferrow/A1002"}},
		"other appliance":     {func() ([]parts.ID, error) { return s.OfType("pump", "ferrow-3") }, nil},
	} {
		got, err := c.find()
		require.NoError(t, err)
		if name == "number" {
			assert.Contains(t, got, parts.ID("ferrow/A1002"))
			continue
		}
		assert.Equal(t, c.want, got, name)
	}
	makers, err := s.Makers()
	require.NoError(t, err)
	assert.Equal(t, []string{"Ferrow", "Lunt"}, makers)
	n := 0
	require.NoError(t, s.Each(func(*parts.Part) error { n++; return nil }))
	assert.Equal(t, 3, n)
}

func TestNumbersBesideOne(t *testing.T) {
	t.Parallel()
	var list []*parts.Part
	for i := range 20 {
		list = append(list, part("Ferrow", fmt.Sprintf("B-%d", 100+i), "pump"))
	}
	s := stored(t, list)
	got, err := s.Beside("B1055", 2)
	require.NoError(t, err)
	assert.Equal(t, []parts.ID{"ferrow/B106", "ferrow/B107", "ferrow/B105", "ferrow/B104"}, got)
	got, err = s.Beside("Z", 2)
	require.NoError(t, err)
	assert.Equal(t, []parts.ID{"ferrow/B119", "ferrow/B118"}, got, "after the last are those before")
}

func TestNoPartsAreAStoreToo(t *testing.T) {
	t.Parallel()
	s := stored(t, nil)
	assert.Zero(t, s.Count())
	ids, err := s.Numbered("A1")
	require.NoError(t, err)
	assert.Empty(t, ids)
	makers, err := s.Makers()
	require.NoError(t, err)
	assert.Empty(t, makers)
}

func TestWritingPartsCanBeStopped(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	err := WriteParts(ctx, &memory.Buckets{}, []*parts.Part{part("Ferrow", "A-1", "pump")})
	require.ErrorIs(t, err, context.Canceled)
	_, err = PartsIn(&memory.Buckets{})
	require.Error(t, err)
}
