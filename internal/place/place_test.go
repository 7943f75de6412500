package place

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestAProblemPrintsItsPlaceAndWhatIsWrong(t *testing.T) {
	t.Parallel()
	p := Problemf(Pos{File: "mode/a.md", Line: 3, Column: 5}, "twice", "keep %s", "one")
	assert.EqualError(t, p, "mode/a.md:3:5: keep one")
	p.Grade = "incomplete"
	assert.EqualError(t, p, "mode/a.md:3:5: keep one (twice, incomplete)")
	assert.Equal(t, "mode/a.md:3", Pos{File: "mode/a.md", Line: 3}.String())
	assert.Equal(t, "mode/a.md", Pos{File: "mode/a.md"}.String())
}

// A grade stands in the JSON form of problems that have one, between rule and
// message.
func TestAProblemInJSON(t *testing.T) {
	t.Parallel()
	p := Problemf(Pos{File: "list.csv", Line: 3}, "bad-price", "mend it")
	text, err := json.Marshal(p)
	require.NoError(t, err)
	assert.Equal(t, `{"file":"list.csv","line":3,"rule":"bad-price","message":"mend it"}`, string(text))
	p.Grade = "broken"
	text, err = json.Marshal(p)
	require.NoError(t, err)
	assert.Equal(t, `{"file":"list.csv","line":3,"rule":"bad-price","grade":"broken","message":"mend it"}`, string(text))
}
