// Command queries counts how many of a list of queries find what they should.
//
//	go run ./bench/queries [-v] FILE
//
// The format of FILE is that of bench/queryset. The library is built from the
// shipped notes in a temporary folder. The status is 1 if a line cannot be read;
// how many hold is for a person to judge.
package main

import (
	"context"
	"flag"
	"fmt"
	"os"

	"kg/bench/queryset"
	"kg/data"
	"kg/internal/advise"
	"kg/internal/generation"
	"kg/internal/ingest"
	"kg/internal/library/disk"
)

func main() {
	verbose := flag.Bool("v", false, "print the causes of queries that do not hold")
	flag.Parse()
	if flag.NArg() != 1 {
		fmt.Fprintln(os.Stderr, "usage: go run ./bench/queries [-v] FILE")
		os.Exit(2)
	}
	if err := run(context.Background(), flag.Arg(0), *verbose); err != nil {
		fmt.Fprintln(os.Stderr, "queries:", err)
		os.Exit(1)
	}
}

func run(ctx context.Context, file string, verbose bool) error {
	queries, err := queryset.Read(file)
	if err != nil {
		return err
	}
	lib, done, err := open(ctx)
	if err != nil {
		return err
	}
	defer done()
	held := 0
	reciprocal := 0.0
	for _, q := range queries {
		a, err := advise.Ask(ctx, lib.Library, advise.Question{Text: q.Text})
		if err != nil {
			return err
		}
		rank := q.Rank(queryset.Labels(a))
		if rank > 0 {
			reciprocal += 1 / float64(rank)
		}
		if rank > 0 && rank <= q.K {
			held++
			continue
		}
		fmt.Printf("no  %s (wanted %s in %d, rank %d)\n", q.Text, q.Pattern, q.K, rank)
		if verbose {
			print(a)
		}
	}
	fmt.Printf("%d of %d hold; mean reciprocal rank %.3f\n", held, len(queries), reciprocal/float64(len(queries)))
	return nil
}

func print(a advise.Answer) {
	for _, f := range a.Findings {
		fmt.Printf("      %v %s %.2f\n", f.Present, f.Symptom, f.Score)
		for _, r := range f.Others {
			fmt.Printf("          %.2f %s\n", r.Weight, r.ID)
		}
	}
	for i, c := range a.Causes[:min(6, len(a.Causes))] {
		fmt.Printf("      %d %.3f %s: %s\n", i+1, c.Probability, c.ComponentName, c.Name)
	}
}

// open builds a library of the shipped notes in a folder of its own.
func open(ctx context.Context) (*disk.Library, func(), error) {
	folder, err := os.MkdirTemp("", "kg-queries-")
	if err != nil {
		return nil, nil, err
	}
	store := generation.Store{Root: folder}
	source := ingest.Source{Name: "shipped", Root: "shipped", FS: data.Notes}
	if _, err := ingest.Build(ctx, store, ingest.Options{Sources: []ingest.Source{source}}); err != nil {
		return nil, nil, err
	}
	lib, err := disk.Open(store)
	if err != nil {
		return nil, nil, err
	}
	return lib, func() { lib.Close(); os.RemoveAll(folder) }, nil
}
