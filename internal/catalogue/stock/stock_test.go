package stock

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"kg/internal/parts"
)

func line(van, number string, n int) Line {
	return Line{Van: van, Maker: "Ferrow", Number: number, Count: n, ID: parts.IDOf("Ferrow", number)}
}

func TestRowsThatCannotBeUsedAreNamed(t *testing.T) {
	t.Parallel()
	lines, problems, err := parse(strings.NewReader("\ufeffvan,maker,number,count\n"+
		"north,Ferrow,A-1,2\nnorth,Ferrow,a1,3\nnorth,Ferrow,A-2,-1\nnorth,Ferrow,A-2,many\n,Ferrow,A-2,1\nnorth,,A-2,1\nnorth,Ferrow,A-2\n=1,Ferrow,A-2,1\nsouth,Ferrow,A-2,0\n"), "stock.csv")
	require.NoError(t, err)
	assert.Equal(t, []Line{line("north", "A-1", 2), line("south", "A-2", 0)}, lines)
	var rules []string
	for _, p := range problems {
		rules = append(rules, p.Pos.String()+" "+p.Rule)
	}
	assert.Equal(t, []string{"stock.csv:3:14 twice", "stock.csv:4:18 bad-count", "stock.csv:5:18 bad-count", "stock.csv:6:1 no-van",
		"stock.csv:7:8 no-part", "stock.csv:8 row-length", "stock.csv:9:1 formula"}, rules)
	for text, says := range map[string]string{"van,maker,number\n": "has no column count", "van,maker,number,count\n\"a,b,c,1\n": "a quote is not closed"} {
		_, _, err := parse(strings.NewReader(text), "stock.csv")
		assert.ErrorContains(t, err, says)
	}
}

func TestAChangeThatFailsChangesNothing(t *testing.T) {
	t.Parallel()
	f := File{Path: filepath.Join(t.TempDir(), "home", "stock.csv")}
	lines, err := f.Read()
	require.NoError(t, err)
	assert.Empty(t, lines, "there is none yet")
	put := func(l Line, n int) error {
		_, err := f.Put(t.Context(), l, n)
		return err
	}
	require.NoError(t, put(line("north", "A-1", 0), 3))
	before, err := os.ReadFile(f.Path)
	require.NoError(t, err)
	var short *Short
	require.ErrorAs(t, put(line("NORTH", "a 1", 0), -4), &short, "the van and the number in any spelling")
	assert.Equal(t, 3, short.Count)
	after, err := os.ReadFile(f.Path)
	require.NoError(t, err)
	assert.Equal(t, before, after)
	require.NoError(t, put(line("north", "A-1", 0), -3))
	lines, err = f.Read()
	require.NoError(t, err)
	assert.Empty(t, lines, "what is used up goes")
}

// Many commands at once lose nothing.
func TestManyChangesAtOnce(t *testing.T) {
	t.Parallel()
	f := File{Path: filepath.Join(t.TempDir(), "stock.csv")}
	const many = 20
	var all sync.WaitGroup
	errs := make([]error, many)
	for i := range many {
		all.Go(func() {
			_, errs[i] = f.Put(t.Context(), line("north", "A-1", 0), 1)
		})
	}
	all.Wait()
	require.NoError(t, errors.Join(errs...))
	lines, err := f.Read()
	require.NoError(t, err)
	assert.Equal(t, []Line{line("north", "A-1", many)}, lines)
}

func TestAStockThatCannotBeReadIsNotWrittenOver(t *testing.T) {
	t.Parallel()
	f := File{Path: filepath.Join(t.TempDir(), "stock.csv")}
	const text = "van,maker,number,count\nnorth,Ferrow,A-1,lots\n"
	require.NoError(t, os.WriteFile(f.Path, []byte(text), 0o644))
	_, err := f.Put(t.Context(), line("north", "A-2", 0), 1)
	require.ErrorContains(t, err, "mend the line")
	after, err := os.ReadFile(f.Path)
	require.NoError(t, err)
	assert.Equal(t, text, string(after))
}

// What was written reads back equal, or is not written: the file then stays as it was.
func TestWhatIsWrittenReadsBack(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	n := 0
	rapid.Check(t, func(t *rapid.T) {
		n++
		f := File{Path: filepath.Join(dir, strconv.Itoa(n)+".csv")}
		want, err := f.Put(context.Background(), line("north", "A-1", 1), 1)
		require.NoError(t, err)
		l := Line{Van: rapid.String().Draw(t, "van"), Maker: rapid.StringMatching(`[A-Za-z=@+ -]{1,8}`).Draw(t, "maker"), Number: "B-2"}
		l.ID = parts.IDOf(l.Maker, l.Number)
		now, err := f.Put(context.Background(), l, rapid.IntRange(1, 5).Draw(t, "count"))
		got, readErr := f.Read()
		require.NoError(t, readErr)
		if err != nil {
			assert.Equal(t, []Line{want}, got)
			return
		}
		assert.Contains(t, got, now)
	})
}
