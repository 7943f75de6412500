package main

import (
	"errors"
	"fmt"
	"os"

	"github.com/urfave/cli/v2"

	"kg/internal/advise"
	"kg/internal/diagnose"
	"kg/internal/note"
	"kg/internal/present"
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
			if d := c.Int("depth"); d < 1 || d > advise.MaxChartDepth {
				return wrongUsef("--depth takes a number from 1 to %d", advise.MaxChartDepth)
			}
			q := advise.Question{Appliance: note.ID(c.String("appliance"))}
			if err := errors.Join(p.nextOf(c, &q), givenOf(c, &q)); err != nil {
				return err
			}
			lib, err := p.open(c.Context)
			if err != nil {
				return err
			}
			defer closing(lib.Close, &err)
			chart, err := advise.Draw(c.Context, lib.Library, note.ID(c.Args().First()), q, c.Int("depth"))
			if err != nil {
				return wrongApplianceIsUse(err, q.Appliance)
			}
			if file := c.String("svg"); file != "" {
				if err := os.WriteFile(file, present.ChartSheet(chart), 0o644); err != nil {
					return fmt.Errorf("writing the chart: %w: name a file that can be written", err)
				}
			}
			if c.Bool("json") {
				return p.printJSON(chart)
			}
			p.page().Chart(chart)
			return nil
		},
	})
}
