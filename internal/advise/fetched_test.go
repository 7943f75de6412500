package advise

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/bucket"
	"kg/internal/library"
	"kg/internal/library/librarytest"
)

// counted counts how often each key is looked up.
type counted struct {
	bucket.Reader
	times map[string]int
}

func (c counted) Get(b, key string) ([]byte, error) {
	c.times[b+"/"+key]++
	return c.Reader.Get(b, key)
}

func TestNoEntryIsFetchedTwiceInOneAnswer(t *testing.T) {
	t.Parallel()
	stores := librarytest.ShippedBundle(t).Stores()
	times := map[string]int{}
	stores.Entries = counted{stores.Entries, times}
	l, err := library.New(stores, nil)
	require.NoError(t, err)
	_, err = Ask(context.Background(), l, Question{Text: "no hot water but heating is fine", Appliance: "combination-boiler"})
	require.NoError(t, err)
	require.NotEmpty(t, times)
	for key, n := range times {
		assert.Equal(t, 1, n, key)
	}
}
