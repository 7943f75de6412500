// Command answers prints the answers of a library in a bundle to the questions in a
// file, one a line, as JSON: what a test compares between processors and the
// browser. It builds for js/wasm.
package main

import (
	"context"
	"fmt"
	"os"

	"kg/bench/answering"
	"kg/internal/library/bundle"
)

func main() {
	if len(os.Args) != 3 {
		fmt.Fprintln(os.Stderr, "usage: answers BUNDLE QUESTIONS")
		os.Exit(2)
	}
	if err := run(os.Args[1], os.Args[2]); err != nil {
		fmt.Fprintln(os.Stderr, "answers:", err)
		os.Exit(3)
	}
}

func run(file, questions string) error {
	encoded, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	b, err := bundle.Unpack(encoded)
	if err != nil {
		return fmt.Errorf("reading %s: %w", file, err)
	}
	lib, err := b.Open()
	if err != nil {
		return err
	}
	return answering.Print(context.Background(), lib, questions, os.Stdout)
}
