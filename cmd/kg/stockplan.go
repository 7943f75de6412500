package main

import (
	"context"
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"kg/internal/library"
	"kg/internal/note"
	"kg/internal/parts"
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

// stockPlan is the JSON form of a plan.
type stockPlan struct {
	Budget    int                   `json:"budget"`
	Slots     int                   `json:"slots"`
	Jobs      int                   `json:"jobs"`
	LookAfter []library.LookedAfter `json:"look_after"`
	Carry     []carried             `json:"carry"`
	Cost      float64               `json:"cost"`
	Space     float64               `json:"space"`
	// FirstVisit is how many of the call-outs are expected to be closed at the first
	// visit, Share the same as a share of all; Bound what no load can reach.
	FirstVisit float64 `json:"first_visit"`
	Share      float64 `json:"share"`
	Bound      float64 `json:"bound_share"`
	Gap        float64 `json:"gap"`
	Exact      bool    `json:"exact"`
	// NoPart need no part, Unknown one that no list has.
	NoPart     float64            `json:"no_part_share"`
	Unknown    float64            `json:"unknown_share"`
	Missing    []library.PartType `json:"missing_types"`
	Candidates int                `json:"candidates"`
	Curve      []curvePoint       `json:"curve"`
}

type carried struct {
	library.Carry
	Count int `json:"count"`
}

// curvePoint is the share of first visits that a budget reaches.
type curvePoint struct {
	Budget float64 `json:"budget"`
	Share  float64 `json:"share"`
}

func (p *program) planStock(c *cli.Context) (err error) {
	if err := noWords(c); err != nil {
		return err
	}
	plan := stockPlan{Budget: c.Int("budget"), Slots: c.Int("slots"), Jobs: c.Int("jobs")}
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
		ids, err := lib.Appliances()
		if err != nil {
			return err
		}
		for _, id := range ids {
			plan.LookAfter = append(plan.LookAfter, library.LookedAfter{Appliance: id, Count: 1})
		}
	}
	if len(plan.LookAfter) == 0 {
		return wrongUsef("no appliance of a maker is in the notes: name some with --on ID=N")
	}
	calls, err := lib.CallsOn(c.Context, plan.LookAfter, plan.Jobs)
	if err != nil {
		for _, a := range plan.LookAfter {
			if err := wrongApplianceIsUse(err, a.Appliance); exitStatus(err) == exitWrongUse {
				return err
			}
		}
		return err
	}
	plan.fill(c.Context, calls)
	if file := c.String("svg"); file != "" {
		if err := os.WriteFile(file, curveSVG(plan), 0o644); err != nil {
			return fmt.Errorf("writing the curve: %w: name a file that can be written", err)
		}
	}
	if c.Bool("json") {
		err = p.printJSON(plan)
	} else {
		p.page().plan(plan)
	}
	return nothingIf(err, len(plan.Carry) == 0)
}

func lookedAfter(list []string) ([]library.LookedAfter, error) {
	var out []library.LookedAfter
	for _, s := range list {
		id, count, given := strings.Cut(s, "=")
		n := 1
		if given {
			var err error
			if n, err = strconv.Atoi(strings.TrimSpace(count)); err != nil || n < 1 || n > largestFleet {
				return nil, wrongUsef("--on %s: how many there are is a whole number from 1 to %d", s, largestFleet)
			}
		}
		out = append(out, library.LookedAfter{Appliance: note.ID(strings.TrimSpace(id)), Count: n})
	}
	return out, nil
}

// fill works a plan out of what the call-outs ask for.
func (s *stockPlan) fill(ctx context.Context, calls library.Calls) {
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
	s.Missing = orEmpty(calls.Missing)
	s.Carry = []carried{}
	for i, n := range load.Counts {
		if n > 0 {
			s.Carry = append(s.Carry, carried{calls.Carry[i], n})
		}
	}
	slices.SortStableFunc(s.Carry, func(a, b carried) int {
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
		s.Curve = append(s.Curve, curvePoint{budget, reached})
	}
}

func (g *page) plan(s stockPlan) {
	g.heading(fmt.Sprintf("What to carry for %d call-outs", s.Jobs))
	var after []string
	for _, a := range s.LookAfter {
		after = append(after, fmt.Sprintf("%d %s", a.Count, a.Appliance))
	}
	g.labelled(0, "", 0, "on "+strings.Join(after, ", "))
	g.gap()
	for _, c := range s.Carry {
		var items []string
		for _, t := range c.Items {
			items = append(items, fmt.Sprintf("%s %s, %s", t.Maker, t.Number, strings.ToLower(t.Name)))
		}
		g.labelled(0, fmt.Sprintf("%3d", c.Count), 5, fmt.Sprintf("%s (asked for %.1f times)", strings.Join(items, " with "), c.Closes))
	}
	if len(s.Carry) == 0 {
		g.labelled(0, "", 0, "Nothing: no part in the lists fits into that.")
	}
	g.gap()
	g.labelled(0, "takes", 12, fmt.Sprintf("%.0f of %d minutes of paid work, %.0f of %d slots", s.Cost, s.Budget, s.Space, s.Slots))
	g.labelled(0, "closes", 12, fmt.Sprintf("%.1f of %d call-outs at the first visit: %s", s.FirstVisit, s.Jobs, percent(s.Share)))
	g.labelled(0, "", 12, fmt.Sprintf("%s need no part; %s need one that no list has%s", percent(s.NoPart), percent(s.Unknown), missingTypes(s.Missing)))
	if s.Exact {
		g.labelled(0, "best there is", 12, "yes: every other load was ruled out")
	} else {
		g.labelled(0, "at most", 12, fmt.Sprintf("%s for any load of this size: what the parts add is within %.2g %% of the best there is. (Taking the best again and again is sure of %.0f %% where slots alone bind.)",
			percent(s.Bound), max(0.01, 100*s.Gap), 100*parts.GreedyShare))
	}
	g.gap()
	g.heading("First visits by budget, minutes of paid work")
	for _, point := range s.Curve {
		g.line(fmt.Sprintf("%9.0f  %7s %s", point.Budget, percent(point.Share), g.wideBar(point.Share)))
	}
	g.gap()
	g.labelled(0, "", 0, "Rates are those of the notes. Calls are taken to come by chance, each with one cause that is known when the part is chosen.")
}

func percent(share float64) string { return fmt.Sprintf("%.1f %%", 100*share) }

// wideBar draws a share as up to 50 marks.
func (g *page) wideBar(share float64) string {
	const cells = 50
	mark := "="
	if g.colour {
		mark = "▬"
	}
	return strings.Repeat(mark, int(share*cells+0.5))
}

func missingTypes(list []library.PartType) string {
	const some = 5
	if len(list) == 0 {
		return ""
	}
	var names []string
	for _, t := range list[:min(some, len(list))] {
		names = append(names, string(t.Component))
	}
	more := ""
	if len(list) > some {
		more = fmt.Sprintf(" and %d more", len(list)-some)
	}
	return " (" + strings.Join(names, ", ") + more + ")"
}

// curveSVG draws the share of first visits against the budget.
func curveSVG(s stockPlan) []byte {
	d := &drawing{}
	d.open()
	d.text(margin, margin+5, 5, true, fmt.Sprintf("First visits: %d call-outs, %d slots", s.Jobs, s.Slots))
	d.text(margin, margin+10, 2.8, false, fmt.Sprintf("At a budget of %d minutes of paid work %s are closed at the first visit, at most %s could be.", s.Budget, percent(s.Share), percent(s.Bound)))
	const left, bottom, top = margin + 16, sheetHeight - margin - 14, margin + 20
	const right = sheetWidth - margin - 4
	last := s.Curve[len(s.Curve)-1].Budget
	x := func(budget float64) float64 { return left + (right-left)*budget/last }
	y := func(share float64) float64 { return bottom - (bottom-top)*share }
	for i := range 11 {
		share := float64(i) / 10
		d.rule(left, y(share), right, y(share), 0.1)
		d.text(margin, y(share)+1, 3, false, fmt.Sprintf("%.0f %%", 100*share))
	}
	path := ""
	for i, point := range s.Curve {
		path += fmt.Sprintf("%s%.2f %.2f", map[bool]string{true: "M", false: "L"}[i == 0], x(point.Budget), y(point.Share))
		d.text(x(point.Budget)-3, bottom+5, 3, false, fmt.Sprintf("%.0f", point.Budget))
	}
	fmt.Fprintf(d, `<path d="%s" fill="none" stroke="black" stroke-width="0.6"/>`+"\n", path)
	d.rule(x(float64(s.Budget)), top, x(float64(s.Budget)), bottom, 0.25)
	d.rule(left, y(s.Bound), right, y(s.Bound), 0.25)
	d.text(right-60, y(s.Bound)-1, 3, false, "bound at this budget")
	d.text(left, bottom+11, 3, false, "budget, minutes of paid work")
	return d.close()
}

// rule draws a straight line.
func (d *drawing) rule(x1, y1, x2, y2, width float64) {
	fmt.Fprintf(d, `<path d="M%.2f %.2fL%.2f %.2f" stroke="black" stroke-width="%.2f"/>`+"\n", x1, y1, x2, y2, width)
}
