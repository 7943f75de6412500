package main

import (
	"errors"
	"fmt"
	"os"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"kg/internal/catalogue"
	"kg/internal/note"
	"kg/internal/present"
)

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
	q := catalogue.PlanQuestion{Budget: c.Int("budget"), Slots: c.Int("slots"), Jobs: c.Int("jobs")}
	for _, f := range []struct {
		name  string
		value int
		most  int
	}{{"budget", q.Budget, largestBudget}, {"slots", q.Slots, largestSlots}, {"jobs", q.Jobs, largestJobs}} {
		if f.value < 1 || f.value > f.most {
			return wrongUsef("--%s takes a whole number from 1 to %d: kg stock plan --budget 1500 --slots 40 --jobs 60", f.name, f.most)
		}
	}
	if q.LookAfter, err = lookedAfter(c.StringSlice("on")); err != nil {
		return err
	}
	lib, err := p.open(c.Context)
	if err != nil {
		return err
	}
	defer closing(lib.Close, &err)
	plan, err := catalogue.PlanStock(c.Context, lib.Library, q)
	if errors.Is(err, catalogue.ErrNothingLookedAfter) {
		return wrongUse(err)
	}
	if err != nil {
		for _, a := range q.LookAfter {
			if err := wrongApplianceIsUse(err, a.Appliance); exitStatus(err) == exitWrongUse {
				return err
			}
		}
		return err
	}
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
