package lists

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"kg/internal/parts"
	"kg/internal/place"
)

func imported(t require.TestingT, into, text string) Imported {
	file := filepath.Join(into, "..", "list.csv")
	require.NoError(t, os.WriteFile(file, []byte(text), 0o644))
	out, err := Import(context.Background(), Importing{File: file, Into: into})
	require.NoError(t, err)
	return out
}

// Whatever lists are taken in, in whatever order: the same list again changes
// nothing, and of each number the row of the latest date is there.
func TestImportingIsIdempotentAndTheLatestDateCounts(t *testing.T) {
	t.Parallel()
	base := t.TempDir()
	n := 0
	rapid.Check(t, func(t *rapid.T) {
		n++
		into := filepath.Join(base, fmt.Sprint(n), "catalogue")
		require.NoError(t, os.MkdirAll(filepath.Dir(into), 0o755))
		latest := map[int]int{}
		for range rapid.IntRange(1, 4).Draw(t, "lists") {
			month := rapid.IntRange(1, 9).Draw(t, "month")
			text := "number,maker,type,name,date\n"
			for k := range 5 {
				if rapid.Bool().Draw(t, "listed") {
					text += fmt.Sprintf("A-%d,Ferrow,pump,of month %d,2026-0%d-01\n", k, month, month)
					latest[k] = max(latest[k], month)
				}
			}
			imported(t, into, text)
			before, _ := os.ReadFile(filepath.Join(into, "list.csv"))
			again := imported(t, into, text)
			require.True(t, again.Unchanged)
			require.Zero(t, again.LeftOut)
			after, _ := os.ReadFile(filepath.Join(into, "list.csv"))
			require.Equal(t, string(before), string(after))
		}
		if len(latest) == 0 {
			return
		}
		in, err := os.Open(filepath.Join(into, "list.csv"))
		require.NoError(t, err)
		defer in.Close()
		rows, err := parts.NewRows(in, parts.Reading{File: "list.csv"})
		require.NoError(t, err)
		found := map[string]string{}
		require.NoError(t, each(context.Background(), rows, func(p *parts.Part) error {
			found[p.Number] = p.Name
			return nil
		}, func(p *place.Problem) error { return p }))
		require.Len(t, found, len(latest))
		for k, month := range latest {
			require.Equal(t, fmt.Sprintf("of month %d", month), found[fmt.Sprintf("A-%d", k)])
		}
	})
}

func TestAnImportThatIsStoppedLeavesTheCatalogue(t *testing.T) {
	t.Parallel()
	into := filepath.Join(t.TempDir(), "catalogue")
	imported(t, into, "number,maker,type\nA-1,Ferrow,pump\n")
	before, err := os.ReadFile(filepath.Join(into, "list.csv"))
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err = Import(ctx, Importing{File: filepath.Join(into, "..", "list.csv"), Into: into})
	require.ErrorIs(t, err, context.Canceled)
	after, err := os.ReadFile(filepath.Join(into, "list.csv"))
	require.NoError(t, err)
	assert.Equal(t, before, after)
	files, err := os.ReadDir(into)
	require.NoError(t, err)
	assert.Len(t, files, 2, "the list and the lock: nothing half written lies about")
}

// Lists taken in at the same time are all there afterwards.
func TestManyImportsAtOnce(t *testing.T) {
	t.Parallel()
	root := t.TempDir()
	const many = 8
	var all sync.WaitGroup
	errs := make([]error, many)
	for i := range many {
		file := filepath.Join(root, fmt.Sprintf("%d.csv", i))
		require.NoError(t, os.WriteFile(file, fmt.Appendf(nil, "number,maker,type\nA-%d,Ferrow,pump\n", i), 0o644))
		all.Go(func() {
			_, errs[i] = Import(t.Context(), Importing{File: file, Into: filepath.Join(root, "catalogue"), Name: "list"})
		})
	}
	all.Wait()
	require.NoError(t, errors.Join(errs...))
	text, err := os.ReadFile(filepath.Join(root, "catalogue", "list.csv"))
	require.NoError(t, err)
	assert.Equal(t, 1+many, strings.Count(string(text), "\n"))
}

func TestTextInUTF16SaysSoItself(t *testing.T) {
	t.Parallel()
	into := filepath.Join(t.TempDir(), "catalogue")
	text := "\xff\xfe"
	for _, r := range "number,maker,type\nA-1,Mähr,pump\n" {
		text += string([]byte{byte(r), byte(r >> 8)})
	}
	out := imported(t, into, text)
	assert.Equal(t, 1, out.New)
	got, err := os.ReadFile(filepath.Join(into, "list.csv"))
	require.NoError(t, err)
	assert.True(t, strings.Contains(string(got), "Mähr"))
}

func TestACatalogueOfADamagedRowIsNotWrittenOver(t *testing.T) {
	t.Parallel()
	into := filepath.Join(t.TempDir(), "catalogue")
	require.NoError(t, os.MkdirAll(into, 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(into, "list.csv"), []byte("number,maker,type\nA-1,Ferrow\n"), 0o644))
	file := filepath.Join(into, "..", "list.csv")
	require.NoError(t, os.WriteFile(file, []byte("number,maker,type\nA-2,Ferrow,pump\n"), 0o644))
	_, err := Import(t.Context(), Importing{File: file, Into: into})
	assert.ErrorContains(t, err, "mend it first")
}
