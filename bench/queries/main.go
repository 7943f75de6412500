// Command queries counts how many of a list of queries find what they should.
//
//	go run ./bench/queries [-v] FILE
//
// A line of FILE is QUERY, K and PATTERN, parted by tabs. It holds when PATTERN
// (RE2, any case) matches "component name: cause name" of one of the first K
// causes. The library is built from the shipped notes in a temporary folder. The
// status is 1 if a line cannot be read; how many hold is for a person to judge.
package main

import (
	"bufio"
	"context"
	"flag"
	"fmt"
	"os"
	"regexp"
	"strconv"
	"strings"

	"kg/data"
	"kg/internal/generation"
	"kg/internal/ingest"
	"kg/internal/library"
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

type line struct {
	query   string
	k       int
	pattern *regexp.Regexp
}

func run(ctx context.Context, file string, verbose bool) error {
	lines, err := read(file)
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
	for _, l := range lines {
		a, err := lib.Ask(ctx, library.Question{Text: l.query})
		if err != nil {
			return err
		}
		rank := l.rank(a)
		if rank > 0 {
			reciprocal += 1 / float64(rank)
		}
		if rank > 0 && rank <= l.k {
			held++
			continue
		}
		fmt.Printf("no  %s (wanted %s in %d, rank %d)\n", l.query, l.pattern, l.k, rank)
		if verbose {
			print(a)
		}
	}
	fmt.Printf("%d of %d hold; mean reciprocal rank %.3f\n", held, len(lines), reciprocal/float64(len(lines)))
	return nil
}

func print(a library.Answer) {
	for _, f := range a.Findings {
		fmt.Printf("      %v %s %.2f (like %q)\n", f.Present, f.Symptom, f.Score, f.Saying)
		for _, r := range f.Others {
			fmt.Printf("          %.2f %s\n", r.Weight, r.ID)
		}
	}
	for i, c := range a.Causes[:min(6, len(a.Causes))] {
		fmt.Printf("      %d %.3f %s: %s\n", i+1, c.Probability, c.ComponentName, c.Name)
	}
}

// rank is the place of the first cause that matches, 0 if none does.
func (l line) rank(a library.Answer) int {
	for i, c := range a.Causes {
		if l.pattern.MatchString(c.ComponentName + ": " + c.Name) {
			return i + 1
		}
	}
	return 0
}

func read(file string) ([]line, error) {
	f, err := os.Open(file)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	var out []line
	s := bufio.NewScanner(f)
	for n := 1; s.Scan(); n++ {
		if text := s.Text(); text == "" || strings.HasPrefix(text, "#") {
			continue
		}
		parts := strings.Split(s.Text(), "\t")
		if len(parts) != 3 {
			return nil, fmt.Errorf("%s:%d: want QUERY, K and PATTERN parted by tabs", file, n)
		}
		k, err := strconv.Atoi(parts[1])
		if err != nil {
			return nil, fmt.Errorf("%s:%d: %w", file, n, err)
		}
		p, err := regexp.Compile("(?i)" + parts[2])
		if err != nil {
			return nil, fmt.Errorf("%s:%d: %w", file, n, err)
		}
		out = append(out, line{parts[0], k, p})
	}
	return out, s.Err()
}

// open builds a library of the shipped notes in a folder of its own.
func open(ctx context.Context) (*library.Library, func(), error) {
	folder, err := os.MkdirTemp("", "kg-queries-")
	if err != nil {
		return nil, nil, err
	}
	store := generation.Store{Root: folder}
	source := ingest.Source{Name: "shipped", Root: "shipped", FS: data.Notes}
	if _, err := ingest.Build(ctx, store, ingest.Options{Sources: []ingest.Source{source}}); err != nil {
		return nil, nil, err
	}
	lib, err := library.Open(store)
	if err != nil {
		return nil, nil, err
	}
	return lib, func() { lib.Close(); os.RemoveAll(folder) }, nil
}
