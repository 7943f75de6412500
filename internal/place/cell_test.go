package place

import (
	"encoding/csv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestTheColumnOfACellCountsCharacters(t *testing.T) {
	t.Parallel()
	in := csv.NewReader(strings.NewReader("van,maker,number\nköln,\"ä\nßö\",third\n"))
	_, err := in.Read()
	require.NoError(t, err)
	row, err := in.Read()
	require.NoError(t, err)
	assert.Equal(t, Pos{"a.csv", 2, 1}, OfCell(in, "a.csv", row, 0))
	assert.Equal(t, Pos{"a.csv", 2, 6}, OfCell(in, "a.csv", row, 1))
	assert.Equal(t, Pos{"a.csv", 3, 5}, OfCell(in, "a.csv", row, 2), "the cell before began on another line")
	assert.Equal(t, Pos{"a.csv", 2, 0}, OfCell(in, "a.csv", row, 3), "there is no such cell")
	assert.Equal(t, Pos{"a.csv", 2, 0}, OfCell(in, "a.csv", row, -1))
}
