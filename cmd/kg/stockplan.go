package main

import (
	"context"
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"kg/internal/catalogue"
	"kg/internal/note"
	"kg/internal/parts"
	"kg/internal/present"
)

// How far the search for the best load goes: so many loads are looked at, which
// takes about a second.
const searchedLoads = 100_000

// Bounds of what a plan is asked for.
const (
	largestBudget = 1_000_000
	largestSlots  = 10_000
	largestJobs   = 100_000
	largestFleet  = 100_000
)

func (p *program) planCommand() *cli.Command {
	return command(&cli.Command{
		Name:  "plan",
		Usage: "what to carry to close most call-outs at the first visit",
		Description: `Works out from the rates of the causes, on the appliances that you look
after, which parts would close the most of a number of call-outs before the
van is filled up again. --budget is in minutes of paid work, as prices in the
lists are, so that it holds in any money.

   kg stock plan --budget 1500 --slots 40 --jobs 60
   kg stock plan --budget 900 --slots 20 --jobs 30 --on skerry-c24=12

Without --on each maker's appliance of the notes counts once. How far
the plan may be from the best there is, is said with it.`,
		Flags: []cli.Flag{
			&cli.IntFlag{Name: "budget", Usage: "parts worth `N` minutes of paid work"},
			&cli.IntFlag{Name: "slots", Usage: "`N` slots on the van"},
			&cli.IntFlag{Name: "jobs", Usage: "the stock is to last for `N` call-outs"},
			&cli.StringSliceFlag{Name: "on", Usage: "an appliance and how many, `ID=N`"},
			&cli.StringFlag{Name: "svg", Usage: "write the curve to `FILE`, drawn on one A4 page"},
			jsonFlag(),
		},
		Action: p.planStock,
	})
}

func (p *program) planStock(c *cli.Context) (err error) {
	if err := noWords(c); err != nil {
		return err
	}
	plan := present.StockPlan{Budget: c.Int("budget"), Slots: c.Int("slots"), Jobs: c.Int("jobs")}
	for _, f := range []struct {
		name  string
		value int
		most  int
	}{{"budget", plan.Budget, largestBudget}, {"slots", plan.Slots, largestSlots}, {"jobs", plan.Jobs, largestJobs}} {
		if f.value < 1 || f.value > f.most {
			return wrongUsef("--%s takes a whole number from 1 to %d: kg stock plan --budget 1500 --slots 40 --jobs 60", f.name, f.most)
		}
	}
	if plan.LookAfter, err = lookedAfter(c.StringSlice("on")); err != nil {
		return err
	}
	lib, err := p.open(c.Context)
	if err != nil {
		return err
	}
	defer closing(lib.Close, &err)
	if len(plan.LookAfter) == 0 {
		ids, err := catalogue.Appliances(lib.Library)
		if err != nil {
			return err
		}
		for _, id := range ids {
			plan.LookAfter = append(plan.LookAfter, catalogue.LookedAfter{Appliance: id, Count: 1})
		}
	}
	if len(plan.LookAfter) == 0 {
		return wrongUsef("no appliance of a maker is in the notes: name some with --on ID=N")
	}
	calls, err := catalogue.CallsOn(c.Context, lib.Library, plan.LookAfter, plan.Jobs)
	if err != nil {
		for _, a := range plan.LookAfter {
			if err := wrongApplianceIsUse(err, a.Appliance); exitStatus(err) == exitWrongUse {
				return err
			}
		}
		return err
	}
	fill(c.Context, &plan, calls)
	if file := c.String("svg"); file != "" {
		if err := os.WriteFile(file, present.CurveSheet(plan), 0o644); err != nil {
			return fmt.Errorf("writing the curve: %w: name a file that can be written", err)
		}
	}
	if c.Bool("json") {
		err = p.printJSON(plan)
	} else {
		p.page().Plan(plan)
	}
	return nothingIf(err, len(plan.Carry) == 0)
}

func lookedAfter(list []string) ([]catalogue.LookedAfter, error) {
	var out []catalogue.LookedAfter
	for _, s := range list {
		id, count, given := strings.Cut(s, "=")
		n := 1
		if given {
			var err error
			if n, err = strconv.Atoi(strings.TrimSpace(count)); err != nil || n < 1 || n > largestFleet {
				return nil, wrongUsef("--on %s: how many there are is a whole number from 1 to %d", s, largestFleet)
			}
		}
		out = append(out, catalogue.LookedAfter{Appliance: note.ID(strings.TrimSpace(id)), Count: n})
	}
	return out, nil
}

// fill works a plan out of what the call-outs ask for.
func fill(ctx context.Context, s *present.StockPlan, calls catalogue.Calls) {
	choices := make([]parts.Choice, len(calls.Carry))
	for i, c := range calls.Carry {
		choices[i] = parts.Choice{Cost: float64(c.Cost), Space: float64(c.Space), Most: s.Jobs}
	}
	worth := parts.NewVisitWorth(len(choices), calls.Demands)
	fresh := func() parts.Worth { return worth.Fresh() }
	room := parts.Room{Budget: float64(s.Budget), Slots: float64(s.Slots)}
	load := parts.Best(ctx, choices, room, fresh, searchedLoads)
	share := func(worth float64) float64 { return (calls.NoPart + worth) / calls.Jobs }
	s.Cost, s.Space, s.Candidates = load.Cost, load.Space, len(choices)
	s.FirstVisit, s.Share = calls.NoPart+load.Worth, share(load.Worth)
	s.Bound, s.Gap, s.Exact = share(min(load.Bound, worth.Total())), load.Gap(), load.Exact
	s.NoPart, s.Unknown = calls.NoPart/calls.Jobs, calls.Unknown/calls.Jobs
	s.Missing = present.OrEmpty(calls.Missing)
	s.Carry = []present.Carried{}
	for i, n := range load.Counts {
		if n > 0 {
			s.Carry = append(s.Carry, present.Carried{Carry: calls.Carry[i], Count: n})
		}
	}
	slices.SortStableFunc(s.Carry, func(a, b present.Carried) int {
		return strings.Compare(string(a.Items[0].Type)+a.Items[0].Maker, string(b.Items[0].Type)+b.Items[0].Maker)
	})
	const points = 10
	for i := range points + 1 {
		budget := 2 * float64(s.Budget) * float64(i) / points
		l := parts.Filled(choices, parts.Room{Budget: budget, Slots: room.Slots}, fresh)
		reached := share(l.Worth)
		if budget >= load.Cost { // what fits a smaller budget fits this one too
			reached = max(reached, share(load.Worth))
		}
		if i > 0 {
			reached = max(reached, s.Curve[i-1].Share)
		}
		s.Curve = append(s.Curve, present.CurvePoint{Budget: budget, Share: reached})
	}
}
