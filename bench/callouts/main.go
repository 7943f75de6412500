// Command callouts lets simulated engineers work on simulated call-outs to the
// appliances of the shipped notes: the next step that kg advises, beside simple ways of
// working on the same probabilities, each with the threshold that suits it best, and a
// fixed order. All of them meet the same call-outs: in the world that the notes
// describe, in worlds where every figure is off, and where one result of a test in ten
// is wrong. It prints what that costs and how well the probabilities are calibrated.
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

// condition is what call-outs are drawn from.
type condition struct {
	name   string
	sigma  float64 // how far figures are off, as the standard deviation of their logarithm
	worlds int     // of each appliance
	slips  float64 // how often a test says something else than it should
}

func main() {
	jobs := flag.Int("jobs", 300, "how many call-outs for each appliance")
	work := flag.Int("work", plan.DefaultWork, "budget of planning a step")
	only := flag.String("appliance", "", "only this appliance")
	number := flag.Int("condition", 0, "only in this one of the three conditions")
	each := flag.Bool("each", false, "print a row for each appliance as well")
	flag.Parse()
	if err := run(context.Background(), *jobs, *work, note.ID(*only), *number, *each); err != nil {
		fmt.Fprintln(os.Stderr, "callouts:", err)
		os.Exit(1)
	}
}

func id(m note.ID) diagnose.ID { return diagnose.ID(m) }

func run(ctx context.Context, jobs, work int, only note.ID, number int, each bool) error {
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
	b := bench{lib: lib, edges: edges, rates: rates, jobs: jobs, work: work, each: each}
	titles, err := lib.List(note.KindAppliance)
	if err != nil {
		return err
	}
	for _, t := range titles {
		rec, err := lib.Entry(t.ID)
		if err != nil {
			return err
		}
		if a := rec.Entry.(*note.Appliance); a.Maker != "" && (only == "" || only == a.ID) { // others are families
			b.appliances = append(b.appliances, t.ID)
		}
	}
	for i, c := range []condition{
		{"Figures as the notes have them", 0, 1, 0},
		{"Every figure off by a factor, log-normal with sigma 0.7, in 50 worlds of each appliance", 0.7, 50, 0},
		{"One result of a test in ten is wrong", 0, 1, 0.1},
	} {
		if number != 0 && number != i+1 {
			continue
		}
		fmt.Println(c.name)
		if err := b.compare(ctx, c); err != nil {
			return err
		}
		fmt.Println()
	}
	return nil
}

// bench is what call-outs are drawn from.
type bench struct {
	lib        *disk.Library
	edges      []link.Edge
	rates      []link.Rate
	appliances []note.ID
	jobs, work int
	each       bool
}

// drawn is a call-out with the world that it is drawn from.
type drawn struct {
	in  world
	job callout
}

// compare prints a row for each way of working, and the calibration over all
// appliances.
func (b bench) compare(ctx context.Context, c condition) error {
	table := tabwriter.NewWriter(os.Stdout, 0, 4, 2, ' ', 0)
	fmt.Fprintln(table, "way of working\tcost\tminutes\tparts\trisk\ttests\tright at first repair\tsolved\t")
	ways := engineers()
	sums := make([]tally, len(ways))
	var all calibration
	for n, appliance := range b.appliances {
		jobs, err := b.draw(ctx, c, appliance, rand.New(rand.NewPCG(17, uint64(n))))
		if err != nil {
			return err
		}
		s := &site{lib: b.lib, budget: b.work, answers: map[string]advise.Answer{}}
		s.q.Appliance = appliance
		for _, j := range jobs {
			s.q.Symptoms, s.q.Results, s.q.Mended = j.job.told, nil, nil
			a, err := s.ask(ctx, b.work)
			if err != nil {
				return err
			}
			all.add(a, j.job.modes)
			if a.Next != nil {
				all.foretold += a.Next.ExpectedMinutes
				all.jobs++
			}
		}
		for k, e := range ways {
			var t tally
			for i, j := range jobs {
				o, err := e.work(ctx, s, j.in, j.job, rand.New(rand.NewPCG(uint64(i), 29)))
				if err != nil {
					return err
				}
				t.add(o)
			}
			sums[k].join(t)
			if b.each {
				fmt.Fprintf(table, "%s: %s\t%s\t\n", applianceName(appliance), e.name, t)
			}
		}
	}
	for k, e := range ways {
		fmt.Fprintf(table, "%s\t%s\t\n", e.name, sums[k])
	}
	if err := table.Flush(); err != nil {
		return err
	}
	best := 1
	for k := range ways[1:] {
		if ways[1+k].name != allKnowing && sums[1+k].cost() < sums[best].cost() {
			best = 1 + k
		}
	}
	fmt.Printf("what is advised costs %.1f in 100 less than the best of the others, %s\n", 100*(1-sums[0].cost()/sums[best].cost()), ways[best].name)
	sums[0].alarms(os.Stdout)
	fmt.Printf("what it would cost was foretold as %.0f when the call was taken\n", all.foretold/float64(max(1, all.jobs)))
	all.print(os.Stdout)
	return nil
}

// draw draws the call-outs to an appliance, the same number from each world.
func (b bench) draw(ctx context.Context, c condition, appliance note.ID, r *rand.Rand) ([]drawn, error) {
	notes, err := newWorld(ctx, b.lib, appliance, b.edges, b.rates)
	if err != nil {
		return nil, err
	}
	notes.slips = c.slips
	var out []drawn
	for i := range c.worlds {
		w := notes
		if c.sigma > 0 {
			w = notes.off(r, c.sigma)
		}
		for range (i+1)*b.jobs/c.worlds - i*b.jobs/c.worlds {
			out = append(out, drawn{w, w.draw(r)})
		}
	}
	return out, nil
}
