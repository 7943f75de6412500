package table

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/cost"
)

func inFolder(t *testing.T) File {
	t.Helper()
	return File{filepath.Join(t.TempDir(), "home", "costs.csv")}
}

func TestACostIsKeptUntilItIsTakenAway(t *testing.T) {
	t.Parallel()
	f := inFolder(t)
	none, err := f.Read()
	require.NoError(t, err)
	assert.Empty(t, none.Own(), "there is no file yet")
	_, err = f.Set(t.Context(), "Call", "240,5", "  the next   van is near, \"always\" ")
	require.NoError(t, err)
	_, err = f.Set(t.Context(), "visit", "0", "nobody is paid for it")
	require.NoError(t, err)
	c, err := f.Read()
	require.NoError(t, err)
	assert.InDelta(t, 240.5, c.Of(cost.Call), 1e-12)
	assert.Zero(t, c.Of(cost.Visit))
	assert.Equal(t, "the next van is near, \"always\"", c.Own()[0].Reason)
	c, err = f.Usual(t.Context(), "call")
	require.NoError(t, err)
	assert.InDelta(t, 360, c.Of(cost.Call), 1e-12)
	c, err = f.Read()
	require.NoError(t, err)
	assert.Len(t, c.Own(), 1)
}

func TestWhatMakesNoSenseIsNamedByItsPlace(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{
		"cost,minutes\n":                                       ":1: the row has 2 cells, it should have cost, minutes, reason",
		"what,minutes,reason\n":                                ":1: the first row has to be cost,minutes,reason",
		"cost,minutes,reason\nvisti,3,x\n":                     ":2:1: \"visti\" is not a cost: did you mean visit?",
		"cost,minutes,reason\ncall,3,x\n\ncold,-1,x\n":         ":4:6: \"-1\" is not a number of minutes of paid work from 0 to 10000",
		"cost,minutes,reason\ncall,NaN,x\n":                    ":2:6: \"NaN\" is not a number",
		"cost,minutes,reason\ncall,3, \n":                      ":2:8: say why",
		"cost,minutes,reason\ncall,3,x\nCALL,4,y\n":            ":3:1: call stands there twice",
		"cost,minutes,reason\ncall,3\n":                        ":2: the row has 2 cells",
		"cost,minutes,reason\ncall,3,\"open\n":                 "costs.csv: ",
		"\ufeffcost,minutes,reason\ncall,3,x\ncold,\u00e4,x\n": ":3:6: ",
	} {
		f := inFolder(t)
		require.NoError(t, os.MkdirAll(filepath.Dir(f.Path), 0o755))
		require.NoError(t, os.WriteFile(f.Path, []byte(text), 0o644))
		_, err := f.Read()
		assert.ErrorContains(t, err, want, text)
		_, err = f.Set(t.Context(), "call", "3", "x")
		assert.Error(t, err, text)
		now, err := os.ReadFile(f.Path)
		require.NoError(t, err)
		assert.Equal(t, text, string(now), "what is spoilt is left as it is")
	}
}

// Of commands that change costs at once none is lost.
func TestNoChangeIsLost(t *testing.T) {
	t.Parallel()
	f := inFolder(t)
	var all sync.WaitGroup
	for i, name := range cost.Names() {
		all.Go(func() {
			_, err := f.Set(t.Context(), string(name), fmt.Sprint(7000+i), "at once")
			assert.NoError(t, err)
		})
	}
	all.Wait()
	c, err := f.Read()
	require.NoError(t, err)
	assert.Len(t, c.Own(), len(cost.Names()))
}

// FuzzRead: whatever the file holds, it is read or refused with a place in it.
func FuzzRead(f *testing.F) {
	f.Add("cost,minutes,reason\ncall,240,near\n")
	f.Add("cost,minutes,reason\ncall,\"2\n40\",near\n")
	f.Add("\ufeff")
	f.Fuzz(func(t *testing.T, text string) {
		c, err := parse(strings.NewReader(text), "costs.csv")
		if err != nil {
			if !strings.Contains(err.Error(), "costs.csv") {
				t.Fatalf("no file in %q", err)
			}
			return
		}
		for _, i := range c.Own() {
			if !(i.Minutes >= 0 && i.Minutes <= most) || i.Reason == "" {
				t.Fatalf("%+v was taken", i)
			}
		}
	})
}
