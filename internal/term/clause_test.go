package term

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestAsWellAndAGoodHourSayNothingFine(t *testing.T) {
	t.Parallel()
	for text, fine := range map[string]bool{
		"pressure is falling as well": false,
		"it ran for a good hour":      false,
		"heating runs well":           true,
		"pressure is good":            true,
	} {
		assert.Equal(t, fine, Clauses(text)[0].Fine, text)
	}
}
