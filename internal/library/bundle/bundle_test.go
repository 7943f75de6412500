package bundle_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/library/bundle"
	"kg/internal/library/librarytest"
)

// A bundle comes back as it was packed, and one that was cut is an error and no
// library that knows less.
func TestABundleComesBackAndACutOneIsAnError(t *testing.T) {
	t.Parallel()
	encoded := librarytest.ShippedBundle(t).Encode()
	b, err := bundle.Unpack(encoded)
	require.NoError(t, err)
	assert.Equal(t, encoded, b.Encode())
	_, err = b.Open()
	require.NoError(t, err)
	for cut := 0; cut < len(encoded); cut += max(1, len(encoded)/40) {
		_, err := bundle.Unpack(encoded[:cut])
		assert.Error(t, err, cut)
	}
}
