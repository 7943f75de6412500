package signal_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"

	"kg/internal/signal"
)

// The order of the words is that of ISO 3864-2, with "notice" of ANSI Z535.6, for
// damage without injury, after them (both from memory).
func TestTheGravestComesFirst(t *testing.T) {
	given := []signal.Word{"notice", "unheard of", "danger", "caution", "warning"}
	slices.SortFunc(given, func(a, b signal.Word) int { return a.Rank() - b.Rank() })
	assert.Equal(t, []signal.Word{"danger", "warning", "caution", "notice", "unheard of"}, given)
}
