// Command hearing says how well people are understood: on the sentences in
// testdata/hearing, which were written without sight of the notes and of the code
// and are never trained on or tuned to. Shares come with their 95 per cent intervals
// (Wilson 1927).
package main

import (
	"context"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"kg/data"
	"kg/internal/advise"
	"kg/internal/hear"
	"kg/internal/ingest"
	"kg/internal/library"
	"kg/internal/note"
)

func main() {
	folder := flag.String("sentences", filepath.Join("testdata", "hearing"), "read the sentences in `DIR`")
	flag.Parse()
	if err := run(context.Background(), *folder); err != nil {
		fmt.Fprintln(os.Stderr, "hearing:", err)
		os.Exit(1)
	}
}

// tally counts what came out as it should.
type tally struct{ hits, of int }

func (t *tally) add(hit bool) {
	t.of++
	if hit {
		t.hits++
	}
}

// String is the share with its interval.
func (t tally) String() string {
	const z = 1.959964 // of the standard normal distribution at 97.5 per cent
	if t.of == 0 {
		return "none"
	}
	n, p := float64(t.of), float64(t.hits)/float64(t.of)
	middle := (p + z*z/(2*n)) / (1 + z*z/n)
	half := z / (1 + z*z/n) * math.Sqrt(p*(1-p)/n+z*z/(4*n*n))
	return fmt.Sprintf("%.3f (%.3f to %.3f), %d of %d", p, middle-half, middle+half, t.hits, t.of)
}

func run(ctx context.Context, folder string) error {
	bundle, _, err := ingest.Pack(ctx, []ingest.Source{{Name: "shipped", Root: "shipped", FS: data.Notes}})
	if err != nil {
		return err
	}
	lib, err := bundle.Open()
	if err != nil {
		return err
	}
	l := listener{ctx, lib}
	for _, part := range []func(string) error{l.symptoms, l.dangers, l.harmless, l.none} {
		if err := part(folder); err != nil {
			return err
		}
	}
	return nil
}

// listener judges what is heard by one library.
type listener struct {
	ctx context.Context
	lib *library.Library
}

func (l listener) hear(words string) (hear.Heard, error) {
	return hear.Listen(l.ctx, l.lib, hear.Words{Text: words}, nil)
}

func (l listener) symptoms(folder string) error {
	rows, err := read(filepath.Join(folder, "symptoms.tsv"), 2)
	if err != nil {
		return err
	}
	var first, third tally
	for _, row := range rows {
		h, err := l.hear(row[1])
		if err != nil {
			return err
		}
		var ids []note.ID
		for _, f := range h.Findings {
			for _, s := range f.Senses {
				if f.Present && s.Kind == note.KindSymptom {
					ids = append(ids, s.ID)
				}
			}
		}
		at := slices.Index(ids, note.ID(row[0]))
		first.add(at == 0)
		third.add(at >= 0 && at < 3)
	}
	fmt.Println("symptoms at 1:                  ", first)
	fmt.Println("symptoms at 3:                  ", third)
	return nil
}

func (l listener) dangers(folder string) error {
	rows, err := read(filepath.Join(folder, "dangers.tsv"), 2)
	if err != nil {
		return err
	}
	var known, heard, sure tally
	for _, row := range rows {
		h, err := l.hear(row[1])
		if err != nil {
			return err
		}
		_, err = l.lib.Get(note.ID(row[0]))
		known.add(err == nil)
		heard.add(h.Danger != nil)
		sure.add(h.Danger != nil && h.Danger.Sure)
	}
	fmt.Println("dangers that a note knows:      ", known)
	fmt.Println("dangers that stop or warn:      ", heard)
	fmt.Println("dangers that stop for sure:     ", sure)
	return nil
}

func (l listener) harmless(folder string) error {
	rows, err := read(filepath.Join(folder, "harmless.tsv"), 2)
	if err != nil {
		return err
	}
	var warned, stopped tally
	for _, row := range rows {
		h, err := l.hear(row[1])
		if err != nil {
			return err
		}
		warned.add(h.Danger != nil && !h.Danger.Sure)
		stopped.add(h.Danger != nil && h.Danger.Sure)
	}
	fmt.Println("harmless that stop for sure:    ", stopped)
	fmt.Println("harmless that warn:             ", warned)
	return nil
}

func (l listener) none(folder string) error {
	rows, err := read(filepath.Join(folder, "none.tsv"), 1)
	if err != nil {
		return err
	}
	var caused tally
	for _, row := range rows {
		a, err := advise.Ask(l.ctx, l.lib, advise.Question{Text: row[0], Work: 1})
		if err != nil {
			return err
		}
		caused.add(len(a.Causes) > 0)
	}
	fmt.Println("none of these that get causes:  ", caused)
	return nil
}

// read returns the rows of a file, which have so many columns parted by tabs.
func read(file string, columns int) ([][]string, error) {
	text, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	var out [][]string
	for i, line := range strings.Split(strings.TrimSpace(string(text)), "\n") {
		row := strings.Split(line, "\t")
		if len(row) != columns {
			return nil, fmt.Errorf("%s:%d: there are %d columns, there should be %d", file, i+1, len(row), columns)
		}
		out = append(out, row)
	}
	return out, nil
}
