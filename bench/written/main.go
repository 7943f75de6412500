// Command written asks about call-outs that were written down by somebody who had not seen
// the notes (testdata/callouts): by what the customer said alone, and with the results of
// the tests that were done. It prints where the cause stands then, and how far the
// probabilities can be trusted. They are for measuring, never for tuning to.
//
//	go run ./bench/written
//	go run ./bench/written -each      a line for each call-out as well
package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"os"
	"slices"
	"text/tabwriter"

	"kg/data"
	"kg/internal/advise"
	"kg/internal/ingest"
	"kg/internal/ingest/pack"
	"kg/internal/library"
)

func main() {
	file := flag.String("callouts", "testdata/callouts/callouts.tsv", "the call-outs")
	each := flag.Bool("each", false, "print a line for each call-out as well")
	flag.Parse()
	if err := run(context.Background(), os.Stdout, *file, *each); err != nil {
		fmt.Fprintln(os.Stderr, "written:", err)
		os.Exit(1)
	}
}

func run(ctx context.Context, w io.Writer, file string, each bool) error {
	f, err := os.Open(file)
	if err != nil {
		return err
	}
	defer f.Close()
	all, err := read(f)
	if err != nil {
		return fmt.Errorf("reading %s: %w", file, err)
	}
	b, _, err := pack.Notes(ctx, []ingest.Source{{Name: "shipped", Root: "shipped", FS: data.Notes}})
	if err != nil {
		return err
	}
	lib, err := b.Open()
	if err != nil {
		return err
	}
	var said, tested tally
	for _, c := range all {
		by, err := judge(ctx, lib, c, nil)
		if err != nil {
			return err
		}
		after, err := judge(ctx, lib, c, c.found)
		if err != nil {
			return err
		}
		said.add(by)
		tested.add(after)
		if each {
			fmt.Fprintf(w, "%s\t%s\twords: %v\ttests: %v\n", c.number, c.family, by, after)
		}
	}
	return table(w, said, tested)
}

// judged is how an answer stands to what it was.
type judged struct {
	stopped bool    // a danger came first
	known   bool    // the notes have the cause
	first   bool    // the cause stands on top
	right   float64 // its probability
	top     float64 // that of the first cause
	brier   float64 // of all causes together
}

func (j judged) String() string {
	return fmt.Sprintf("first=%t right=%.2f top=%.2f stopped=%t", j.first, j.right, j.top, j.stopped)
}

// judge asks about a call-out with some results.
func judge(ctx context.Context, lib *library.Library, c callout, found []advise.Tested) (judged, error) {
	a, err := advise.Ask(ctx, lib, advise.Question{Text: c.said, Appliance: c.appliance, Results: found, Work: 1, Most: 1000})
	if err != nil {
		return judged{}, fmt.Errorf("call-out %s: %w", c.number, err)
	}
	if len(a.Causes) == 0 && a.Stop != nil && len(found) > 0 { // the danger was dealt with, and work went on
		a, err = advise.Ask(ctx, lib, advise.Question{Text: c.said, Appliance: c.appliance, Results: found, Work: 1, Most: 1000, Safe: 1})
		if err != nil {
			return judged{}, fmt.Errorf("call-out %s, made safe: %w", c.number, err)
		}
	}
	out := judged{stopped: a.Stop != nil, known: len(c.modes) > 0}
	for i, x := range a.Causes {
		is := 0.0
		if slices.Contains(c.modes, x.Mode) {
			is = 1
			out.right = max(out.right, x.Probability)
			out.first = out.first || i == 0
		}
		if i == 0 {
			out.top = x.Probability
		}
		out.brier += (x.Probability - is) * (x.Probability - is)
	}
	if out.right == 0 {
		out.brier++ // what it was is not among the causes
	}
	return out, nil
}

// certain is from which probability on somebody would go by the first cause.
const certain = 0.8

// tally is what many answers came to.
type tally struct {
	all, stopped, known, first, right, wrong int
	brier                                    float64
}

func (t *tally) add(j judged) {
	t.all++
	if j.stopped {
		t.stopped++
	}
	if j.known {
		t.known++
	}
	if j.first {
		t.first++
	}
	if j.top >= certain {
		if j.first {
			t.right++
		} else {
			t.wrong++
		}
	}
	t.brier += j.brier
}

func table(w io.Writer, said, tested tally) error {
	out := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintf(out, "%d call-outs, of which the notes have the cause of %d\tby the words\twith the tests\tgoal\n", said.all, said.known)
	row := func(what, goal string, f func(tally) int) {
		fmt.Fprintf(out, "%s\t%.3f\t%.3f\t%s\n", what, share(f(said), said.all), share(f(tested), tested.all), goal)
	}
	row("the cause on top", "0.95", func(t tally) int { return t.first })
	row("above 0.8 and right", "0.75", func(t tally) int { return t.right })
	row("above 0.8 and wrong", "at most 0.02", func(t tally) int { return t.wrong })
	row("a danger comes first", "", func(t tally) int { return t.stopped })
	fmt.Fprintf(out, "Brier score\t%.3f\t%.3f\t0.06\n", said.brier/float64(said.all), tested.brier/float64(tested.all))
	return out.Flush()
}

func share(n, of int) float64 { return float64(n) / float64(max(of, 1)) }
