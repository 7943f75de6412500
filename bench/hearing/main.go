// Command hearing says how well people are understood: on the sentences in
// testdata/hearing, which were written without sight of the notes and of the code
// and are never trained on or tuned to, and on the notes' own sayings of dangers, said
// in other ways. It prints one table of shares, with their 95 per cent intervals and
// with what they should reach. It needs sqlite3 (Debian: sqlite3).
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"runtime"

	"kg/data"
	"kg/internal/hear"
	"kg/internal/ingest"
	"kg/internal/ingest/pack"
	"kg/internal/library/bundle"
)

func main() {
	folder := flag.String("sentences", filepath.Join("testdata", "hearing"), "read the sentences in `DIR`")
	learned := flag.String("learned", "", "listen with what was learned in `DIR`, instead of what comes with the program")
	flag.Parse()
	if err := run(context.Background(), *folder, *learned); err != nil {
		fmt.Fprintln(os.Stderr, "hearing:", err)
		os.Exit(1)
	}
}

func run(ctx context.Context, folder, learned string) error {
	hearing, err := taught(learned)
	if err != nil {
		return err
	}
	packed, err := shipped(ctx)
	if err != nil {
		return err
	}
	c, err := newCrew(ctx, packed, hearing, runtime.GOMAXPROCS(0))
	if err != nil {
		return err
	}
	t, err := c.measure(folder)
	if err != nil {
		return err
	}
	return t.print(os.Stdout)
}

// taught listens with what was learned into a folder, or with what comes with the
// program.
func taught(folder string) (hear.Hearing, error) {
	if folder == "" {
		return hear.Hearing{}, nil
	}
	meanings, err := os.ReadFile(filepath.Join(folder, "meanings.bin"))
	tones, err2 := os.ReadFile(filepath.Join(folder, "tones.bin"))
	if err := errors.Join(err, err2); err != nil {
		return hear.Hearing{}, err
	}
	learned, err := hear.Decode(meanings, tones)
	if err != nil {
		return hear.Hearing{}, fmt.Errorf("reading what was learned in %s: %w", folder, err)
	}
	return hear.Hearing{Learned: learned}, nil
}

// shipped is the library of the notes that come with the program.
func shipped(ctx context.Context) (bundle.Bundle, error) {
	packed, _, err := pack.Notes(ctx, []ingest.Source{{Name: "shipped", Root: "shipped", FS: data.Notes}})
	return packed, err
}

// measure works out the whole table, in the order in which the goals were set.
func (c crew) measure(folder string) (table, error) {
	heard := map[string][]said{}
	for file, columns := range map[string]int{"symptoms": 2, "dangers": 2, "harmless": 2, "results": 3, "stories": 2} {
		var err error
		if heard[file], err = c.read(filepath.Join(folder, file+".tsv"), columns); err != nil {
			return nil, err
		}
	}
	t := symptomRows(heard["symptoms"])
	for _, part := range []func() (table, error){
		func() (table, error) { return c.rivalRows(heard["symptoms"]) },
		func() (table, error) { return dangerRows(heard["dangers"]), nil },
		func() (table, error) { return harmlessRows(heard["harmless"]), nil },
		func() (table, error) { return c.changedRows(heard["dangers"]) },
		func() (table, error) { return c.resultRows(heard["results"]) },
		func() (table, error) { return c.noneRows(filepath.Join(folder, "none.tsv")) },
		func() (table, error) {
			return calibrationRows(heard["symptoms"], heard["dangers"], heard["results"]), nil
		},
		func() (table, error) { return storyRows(heard["stories"]), nil },
	} {
		rows, err := part()
		if err != nil {
			return nil, err
		}
		t = append(t, rows...)
	}
	return t, nil
}
