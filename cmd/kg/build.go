package main

import (
	"fmt"

	"github.com/urfave/cli/v2"

	"kg/internal/generation"
	"kg/internal/ingest"
	"kg/internal/note"
	"kg/internal/place"
	"kg/internal/present"
)

func (p *program) buildCommand() *cli.Command {
	return command(&cli.Command{
		Name:  "build",
		Usage: "make the library anew from the notes",
		Description: `Reads the shipped notes, then the team's own, then those of each --notes
folder. A note prevails over one of the same kind and id that was read before
it; the build names each such pair. Broken notes are left out and named, the
rest is used. The library in use changes only when the new one is complete.

   kg build
   kg build --notes ./site-notes`,
		Flags: []cli.Flag{
			&cli.StringSliceFlag{Name: "notes", Usage: "read the notes in `DIR` too; may be repeated"},
			onOff("no-shipped", "leave the shipped notes out"),
			onOff("again", "build even if nothing has changed"),
			jsonFlag(),
		},
		Action: func(c *cli.Context) error {
			if c.Args().Present() {
				return wrongUsef("build takes no words: give a folder of notes with --notes %s", c.Args().First())
			}
			sources, err := p.sources(!c.Bool("no-shipped"), c.StringSlice("notes"))
			if err != nil {
				return err
			}
			if len(sources) == 0 {
				return wrongUsef("there are no notes to build from: leave --no-shipped out, or give a folder with --notes")
			}
			o, err := p.build(c.Context, ingest.Options{Sources: sources, Program: identity(), Again: c.Bool("again")})
			if err != nil {
				return err
			}
			if c.Bool("json") {
				return p.printJSON(newBuildReport(o))
			}
			p.printBuild(o)
			return nil
		},
	})
}

// buildReport is the JSON form of what a build did.
type buildReport struct {
	Unchanged bool                `json:"unchanged"`
	Notes     string              `json:"notes"`
	Sources   []generation.Source `json:"sources"`
	Counts    generation.Counts   `json:"counts"`
	Overrides []override          `json:"overrides"`
	Problems  []place.Problem     `json:"problems"`
	Unfitted  []ingest.Miss       `json:"unfitted"`
	Swept     int                 `json:"swept"`
}

type override struct {
	ID note.ID `json:"id"`
	By string  `json:"by"`
	Of string  `json:"of"`
}

func newBuildReport(o ingest.Outcome) buildReport {
	r := buildReport{
		Unchanged: o.Unchanged, Notes: o.Manifest.Notes, Sources: o.Manifest.Sources, Counts: o.Manifest.Counts,
		Overrides: []override{}, Problems: present.OrEmpty(o.Verdict.Problems), Unfitted: present.OrEmpty(o.Fit.Missed), Swept: o.Swept,
	}
	for _, v := range o.Verdict.Replaced {
		r.Overrides = append(r.Overrides, override{v.By.ID(), v.By.Path, v.Of.Path})
	}
	return r
}

func (p *program) printBuild(o ingest.Outcome) {
	p.printBroken(o.Verdict.Problems)
	if n := o.Manifest.Counts.LeftOut; n > 0 {
		fmt.Fprintf(p.err, "%d broken %s left out: mend %s and build again\n", n, present.Plural(n, "note was", "notes were"), present.Plural(n, "it", "them"))
	}
	g := p.page()
	for _, v := range o.Verdict.Replaced {
		g.StandsIn(v.By.Path, v.Of.Path)
	}
	c := o.Manifest.Counts
	if o.Unchanged {
		g.Unchanged(c.Entries)
	} else {
		g.Holds(c.Entries, c.ByKind, c.Parts)
	}
}

// printBroken names what keeps notes out of the library, as far as it fits on a
// screen.
func (p *program) printBroken(problems []place.Problem) {
	const most = 20
	n := 0
	for _, problem := range problems {
		if problem.Grade != note.Broken {
			continue
		}
		if n++; n <= most {
			fmt.Fprintln(p.err, problem.Error())
		}
	}
	if n > most {
		fmt.Fprintf(p.err, "and %d more\n", n-most)
	}
}
