package main

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/ingest"
	"kg/internal/present/presenttest"
)

var update = flag.Bool("update", false, "write the golden files anew")

// smallHome is a home with a library of the notes in testdata/notes, which are
// shown as notes/KIND/ID.md wherever this folder is.
func smallHome(t *testing.T) string {
	t.Helper()
	p := program{home: t.TempDir()}
	_, err := ingest.Build(t.Context(), p.store(), ingest.Options{
		Sources: []ingest.Source{{Name: "fixed", Root: "notes", FS: os.DirFS(filepath.Join("testdata", "notes"))}},
		Program: identity(),
	})
	require.NoError(t, err)
	return p.home
}

// TestAnswersReadAsTheGoldenFilesSay compares whole answers. After a change that
// is meant: go test ./cmd/kg -run Golden -update, then read the difference.
func TestAnswersReadAsTheGoldenFilesSay(t *testing.T) {
	home := smallHome(t)
	cases := map[string][]string{
		"ask-sensor":       {"ask", "pressure not rising on pump start"},
		"ask-several":      {"ask", "overflow outside is dripping, needle goes into the red when it warms up", "--full", "--why"},
		"ask-absent":       {"ask", "no hot water but heating is fine"},
		"ask-code":         {"ask", "Q07", "--appliance", "quillcote-combi-20"},
		"ask-stop":         {"ask", "I can smell gas by the boiler"},
		"ask-unknown-code": {"ask", "Q09", "--appliance", "quillcote-heat-12"},
		"ask-nothing":      {"ask", "the cat sleeps on it"},
		"show-appliance":   {"show", "quillcote-combi-20"},
		"show-component":   {"show", "pressure-sensor"},
		"show-mode":        {"show", "expansion-vessel-flat"},
		"show-symptom":     {"show", "no-pressure-rise-on-pump-start"},
		"show-test":        {"show", "read-the-drained-sensor"},
		"show-remedy":      {"show", "replace-pressure-sensor"},
		"show-stop-gap":    {"show", "raise-the-cold-pressure"},
		"show-part":        {"show", "quillcote-sensor-1188"},
		"show-caveat":      {"show", "depressurise-first"},
		"show-job":         {"show", "job-2026-01-12-a"},
		"show-remark":      {"show", "quillcote-07-is-the-sensor"},
		"show-synonym":     {"show", "words-pump"},
		"chain-back":       {"chain", "pressure-falls-over-days", "--depth", "4"},
		"chain-ahead":      {"chain", "expansion-vessel-flat", "--ahead", "--depth", "2"},
		"find":             {"find", "pressure", "sens"},
		"list-kinds":       {"list"},
		"list-modes":       {"list", "modes"},
		"help-ask":         {"ask", "--help"},
	}
	for name, args := range cases {
		t.Run(name, func(t *testing.T) {
			a := kg(append([]string{"--home", home}, args...)...)
			got := "$ kg " + quotedLine(args) + "\n" + a.out + a.err
			file := filepath.Join("testdata", "golden", name+".txt")
			if *update {
				require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
			}
			want, err := os.ReadFile(file)
			require.NoError(t, err, "go test ./cmd/kg -run Golden -update writes it")
			assert.Equal(t, string(want), got)
			assert.Empty(t, presenttest.LayoutFaults(a.out))
		})
	}
	t.Run("no golden file is left over", func(t *testing.T) {
		files, err := filepath.Glob(filepath.Join("testdata", "golden", "*.txt"))
		require.NoError(t, err)
		for _, f := range files {
			assert.Contains(t, cases, strings.TrimSuffix(filepath.Base(f), ".txt"))
		}
	})
}

func quotedLine(args []string) string {
	out := make([]string, len(args))
	for i, a := range args {
		out[i] = a
		if strings.Contains(a, " ") {
			out[i] = `"` + a + `"`
		}
	}
	return strings.Join(out, " ")
}
