package presenttest_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"kg/internal/present/presenttest"
)

func TestEveryKindOfFaultOfLayoutIsNoticed(t *testing.T) {
	t.Parallel()
	assert.Empty(t, presenttest.LayoutFaults("fine\n\n "+strings.Repeat("ö", 79)+"\n"))
	assert.Len(t, presenttest.LayoutFaults(strings.Repeat("ö", 81)), 1)
	assert.Len(t, presenttest.LayoutFaults("trailing \nfine"), 1)
	assert.Len(t, presenttest.LayoutFaults("tab\there"), 1)
	assert.Len(t, presenttest.LayoutFaults("colour \x1b[1m"), 1)
}
