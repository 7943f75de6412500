package main

import (
	"context"
	"path/filepath"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/hear"
	"kg/internal/library/bundle"
)

// shippedOnce is the library of the shipped notes, for all tests.
var shippedOnce = sync.OnceValues(func() (bundle.Bundle, error) { return shipped(context.Background()) })

// alone is one who listens with what comes with the program.
func alone(t *testing.T) crew {
	t.Helper()
	packed, err := shippedOnce()
	require.NoError(t, err)
	c, err := newCrew(t.Context(), packed, hear.Hearing{}, 1)
	require.NoError(t, err)
	return c
}

func folder(file string) string { return filepath.Join("..", "..", "testdata", "hearing", file) }

// The sentences of these tests are unseen and stay so: what is lost is counted, not
// named.
func mustReach(t *testing.T, floor goal, counted tally) {
	t.Helper()
	s := counted.share()
	assert.True(t, floor.reached(s.value), "%.4f (%s), and should be %v", s.value, s.over, floor)
}

func TestUnseenDangersStopOrAsk(t *testing.T) {
	t.Parallel()
	heard, err := alone(t).read(folder("dangers.tsv"), 2)
	require.NoError(t, err)
	mustReach(t, floorDangerHeard, dangerHeard(heard))
}

func TestHarmlessSentencesDoNotStopForSure(t *testing.T) {
	t.Parallel()
	heard, err := alone(t).read(folder("harmless.tsv"), 2)
	require.NoError(t, err)
	mustReach(t, floorHarmlessStops, harmlessStops(heard))
}

func TestShippedDangersSaidOtherwiseStopOrAsk(t *testing.T) {
	t.Parallel()
	c := alone(t)
	sayings, err := c[0].dangerSayings()
	require.NoError(t, err)
	mustReach(t, floorChangedShipped, someChanged(t, c, sayings))
}

func TestUnseenDangersSaidOtherwiseStopOrAsk(t *testing.T) {
	t.Parallel()
	c := alone(t)
	unseen, err := sentences(folder("dangers.tsv"), 2)
	require.NoError(t, err)
	mustReach(t, floorChangedUnseen, someChanged(t, c, unseen))
}

// someChanged is how many of a part of the changed forms stop the work or ask: with all
// of them the test would take minutes.
func someChanged(t *testing.T, c crew, sayings []said) tally {
	t.Helper()
	const each = 61
	var some []said
	n := 0
	for _, change := range changes(c[0].lib) {
		for _, form := range change.all(sayings) {
			if n++; n%each == 0 {
				some = append(some, form)
			}
		}
	}
	require.Greater(t, len(some), 120)
	heard, err := c.listen(some)
	require.NoError(t, err)
	return dangerHeard(heard)
}
