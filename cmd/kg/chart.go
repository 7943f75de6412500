package main

import (
	"errors"
	"fmt"
	"os"
	"strings"

	"github.com/urfave/cli/v2"

	"kg/internal/diagnose"
	"kg/internal/library"
	"kg/internal/note"
)

func (p *program) chartCommand() *cli.Command {
	return command(&cli.Command{
		Name:         "chart",
		Usage:        "a fault-finding chart of a symptom, worked out from the notes",
		ArgsUsage:    "SYMPTOM",
		BashComplete: p.complete(note.KindSymptom),
		Description: `The best step first, what each outcome of it leads to, and where it ends; one
page for the van with --svg. Branches that hardly ever come are left out.

   kg chart no-hot-water-heating-works --appliance combination-boiler
   kg chart kettling --depth 4 --svg kettling.svg`,
		Flags: append(givenFlags(),
			&cli.StringFlag{Name: "appliance", Aliases: []string{"a"}, Usage: "only what this `ID` has"},
			&cli.StringFlag{Name: "who", Usage: "only what `WHO` may do, or several with commas"},
			&cli.Float64Flag{Name: "confidence", Usage: "no part before its cause is at `P`", Value: diagnose.Confidence},
			&cli.IntFlag{Name: "depth", Usage: "at most `N` steps, one after the other", Value: 6},
			&cli.StringFlag{Name: "svg", Usage: "write it to `FILE` too, drawn on one A4 page"},
			jsonFlag(),
		),
		Action: func(c *cli.Context) (err error) {
			if c.NArg() != 1 {
				return wrongUsef("chart takes one symptom: kg chart kettling; `kg find WORDS --kind symptom` looks for it")
			}
			if d := c.Int("depth"); d < 1 || d > library.MaxChartDepth {
				return wrongUsef("--depth takes a number from 1 to %d", library.MaxChartDepth)
			}
			q := library.Question{Appliance: note.ID(c.String("appliance"))}
			if err := errors.Join(nextOf(c, &q), givenOf(c, &q)); err != nil {
				return err
			}
			lib, err := p.open(c.Context)
			if err != nil {
				return err
			}
			defer closing(lib.Close, &err)
			chart, err := lib.Chart(c.Context, note.ID(c.Args().First()), q, c.Int("depth"))
			if err != nil {
				return wrongApplianceIsUse(err, q.Appliance)
			}
			if file := c.String("svg"); file != "" {
				if err := os.WriteFile(file, chartSVG(chart), 0o644); err != nil {
					return fmt.Errorf("writing the chart: %w: name a file that can be written", err)
				}
			}
			if c.Bool("json") {
				return p.printJSON(chart)
			}
			p.page().chart(chart)
			return nil
		},
	})
}

// chart prints a chart as numbered steps: each outcome says where to go on.
func (g *page) chart(c library.Chart) {
	title := c.Name
	if c.Of != "" {
		title += ", " + c.Of
	}
	for _, a := range gravest(c.Caveats) {
		g.alert(0, a.Level, a.Text)
	}
	g.gap()
	g.heading(title)
	if len(c.StopWork) > 0 {
		g.labelled(1, "", 0, "This stops the work. There is nothing to find out before:")
		for i, s := range c.StopWork {
			g.labelled(1, fmt.Sprintf("%d", i+1), 3, s)
		}
		return
	}
	steps := numbered(c.Start)
	for i, s := range steps {
		g.gap()
		g.labelled(0, fmt.Sprintf("%2d", i+1), 4, boxText(s))
		for _, b := range s.Branches {
			g.labelled(4, "", 0, fmt.Sprintf("%s (%s): %s", b.Result, library.InWords(b.Likely), ending(b.Step, steps)))
		}
	}
	g.gap()
	if c.LeftOut > 0 {
		g.labelled(0, "", 0, fmt.Sprintf("Left out, as they hardly ever come: outcomes of %s together.", library.InWords(c.LeftOut)))
	}
	g.labelled(0, "", 0, "Steps in full: `kg show ID`.")
	g.closing()
}

// numbered are the steps that go on, in the order in which they are printed.
func numbered(start *library.ChartStep) []*library.ChartStep {
	var out []*library.ChartStep
	level := []*library.ChartStep{start}
	for len(level) > 0 {
		var next []*library.ChartStep
		for _, s := range level {
			if (s.ID == "" || s.Kind == "call") && s != start {
				continue
			}
			out = append(out, s)
			for _, b := range s.Branches {
				next = append(next, b.Step)
			}
		}
		level = next
	}
	return out
}

func boxText(s *library.ChartStep) string {
	return step(s.Name, s.Minutes, s.Who, s.ID)
}

// ending says where an outcome leads.
func ending(s *library.ChartStep, steps []*library.ChartStep) string {
	suspect := ""
	if s.CauseName != "" {
		suspect = fmt.Sprintf("%s, %s", s.CauseName, library.InWords(s.Probability))
	}
	for i, known := range steps {
		if known == s {
			return strings.TrimSpace(fmt.Sprintf("go to %d. %s", i+1, suspect))
		}
	}
	switch {
	case s.Kind == "call" && s.ID != "":
		return boxText(s) + ". " + suspect
	case s.Kind == "call":
		return strings.TrimSpace("call for help. " + suspect)
	}
	return suspect
}
