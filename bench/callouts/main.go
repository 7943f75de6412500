// Command callouts lets simulated engineers work on simulated call-outs to the
// appliances of the shipped notes: the next step that kg advises, beside the most
// likely part first and the fixed order of the notes. It prints what that costs,
// how well the probabilities are calibrated, and how much worse all of it gets
// when every figure in the notes is off.
//
//	go run ./bench/callouts
package main

import (
	"context"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"text/tabwriter"

	"kg/data"
	"kg/internal/advise"
	"kg/internal/diagnose"
	"kg/internal/diagnose/plan"
	"kg/internal/generation"
	"kg/internal/ingest"
	"kg/internal/library/disk"
	"kg/internal/link"
	"kg/internal/note"
)

func main() {
	jobs := flag.Int("jobs", 2000, "how many call-outs for each appliance")
	work := flag.Int("work", plan.DefaultWork, "budget of planning a step")
	sigma := flag.Float64("sigma", 0.5, "how far figures are off, as the standard deviation of their logarithm")
	only := flag.String("appliance", "", "only this appliance")
	flag.Parse()
	if err := run(context.Background(), *jobs, *work, *sigma, note.ID(*only)); err != nil {
		fmt.Fprintln(os.Stderr, "callouts:", err)
		os.Exit(1)
	}
}

func id(m note.ID) diagnose.ID { return diagnose.ID(m) }

func run(ctx context.Context, jobs, work int, sigma float64, only note.ID) error {
	folder, err := os.MkdirTemp("", "callouts")
	if err != nil {
		return err
	}
	defer os.RemoveAll(folder)
	sources := []ingest.Source{{Name: "shipped", Root: "shipped", FS: data.Notes}}
	store := generation.Store{Root: folder}
	if _, err := ingest.Build(ctx, store, ingest.Options{Sources: sources}); err != nil {
		return err
	}
	lib, err := disk.Open(store)
	if err != nil {
		return err
	}
	defer lib.Close()
	verdict, _, err := ingest.Review(ctx, sources)
	if err != nil {
		return err
	}
	edges, rates, _ := ingest.Figures(verdict.Kept)
	for _, off := range []float64{0, sigma} {
		if off > 0 {
			fmt.Printf("\nEvery figure off by a factor, log-normal with sigma %.2g\n", off)
		} else {
			fmt.Println("Figures as the notes have them")
		}
		if err := compare(ctx, lib, edges, rates, jobs, work, off, only); err != nil {
			return err
		}
	}
	return nil
}

// compare prints a row for each appliance and engineer, and the calibration over
// all of them.
func compare(ctx context.Context, lib *disk.Library, edges []link.Edge, rates []link.Rate, jobs, work int, sigma float64, only note.ID) error {
	table := tabwriter.NewWriter(os.Stdout, 0, 4, 2, ' ', 0)
	fmt.Fprintln(table, "appliance\tway of working\tminutes\ttests\tright at first repair\tsolved\t")
	appliances, err := lib.List(note.KindAppliance)
	if err != nil {
		return err
	}
	var all calibration
	sums := make([]tally, len(engineers))
	for _, title := range appliances {
		rec, err := lib.Entry(title.ID)
		if err != nil {
			return err
		}
		if a := rec.Entry.(*note.Appliance); a.Maker == "" || only != "" && only != a.ID {
			continue // a family
		}
		w, err := newWorld(ctx, lib, title.ID, edges, rates)
		if err != nil {
			return err
		}
		r := rand.New(rand.NewPCG(17, uint64(len(title.ID))))
		if sigma > 0 {
			w = w.off(r, sigma)
		}
		var drawn []callout
		for range jobs {
			drawn = append(drawn, w.draw(r))
		}
		s := &site{lib: lib, budget: work, answers: map[string]advise.Answer{}}
		s.q.Appliance = title.ID
		for _, c := range drawn {
			s.q.Symptoms, s.q.Results, s.q.Mended = c.told, nil, nil
			a, err := s.ask(ctx)
			if err != nil {
				return err
			}
			all.add(a, c.modes)
		}
		for n, e := range engineers {
			var t tally
			for i, c := range drawn {
				o, err := e.work(ctx, s, w, c, rand.New(rand.NewPCG(uint64(i), 29)))
				if err != nil {
					return err
				}
				t.add(o)
			}
			sums[n].join(t)
			fmt.Fprintf(table, "%s\t%s\t%s\t\n", applianceName(title.ID), e.name, t)
		}
	}
	for n, e := range engineers {
		fmt.Fprintf(table, "all\t%s\t%s\t\n", e.name, sums[n])
	}
	if err := table.Flush(); err != nil {
		return err
	}
	all.print(os.Stdout)
	return nil
}
