// Command pack packs the shipped notes into a bundle. Given questions in a file, it
// builds the same into a library on disk too, and prints what that answers, as command
// answers does for the bundle.
package main

import (
	"context"
	"errors"
	"fmt"
	"os"

	"kg/bench/answering"
	"kg/data"
	"kg/internal/generation"
	"kg/internal/ingest"
	"kg/internal/ingest/pack"
	"kg/internal/library/disk"
)

func main() {
	if len(os.Args) != 2 && len(os.Args) != 3 {
		fmt.Fprintln(os.Stderr, "usage: pack BUNDLE [QUESTIONS]")
		os.Exit(2)
	}
	if err := run(context.Background(), os.Args[1], os.Args[2:]); err != nil {
		fmt.Fprintln(os.Stderr, "pack:", err)
		os.Exit(3)
	}
}

func run(ctx context.Context, file string, questions []string) (err error) {
	sources := []ingest.Source{{Name: "shipped", Root: "shipped", FS: data.Notes}}
	b, _, err := pack.Notes(ctx, sources)
	if err != nil {
		return err
	}
	if err := os.WriteFile(file, b.Encode(), 0o644); err != nil {
		return err
	}
	if len(questions) == 0 {
		return nil
	}
	store := generation.Store{Root: file + ".library"}
	if _, err := ingest.Build(ctx, store, ingest.Options{Sources: sources}); err != nil {
		return err
	}
	lib, err := disk.Open(store)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, lib.Close()) }()
	return answering.Print(ctx, lib.Library, questions[0], os.Stdout)
}
