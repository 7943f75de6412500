package main

import (
	"github.com/urfave/cli/v2"

	"kg/internal/ingest"
	"kg/internal/place"
	"kg/internal/present"
)

func (p *program) lintCommand() *cli.Command {
	return command(&cli.Command{
		Name:      "lint",
		Usage:     "check the notes; say file, line and column of what is wrong",
		ArgsUsage: "[DIR]",
		Description: `Checks the notes in DIR, or all notes that a build would read. Notes in DIR
may refer to the shipped ones and to the team's. Nothing is changed.

   kg lint
   kg lint ./site-notes

A broken note is left out of the library, an incomplete one is used as far as
it goes. The status is 1 if anything was found.`,
		Flags: []cli.Flag{
			onOff("no-shipped", "leave the shipped notes out"),
			jsonFlag(),
		},
		Action: func(c *cli.Context) error {
			if c.NArg() > 1 {
				return wrongUsef("lint takes one folder at a time")
			}
			sources, err := p.sources(!c.Bool("no-shipped"), c.Args().Slice())
			if err != nil {
				return err
			}
			verdict, reading, err := ingest.Review(c.Context, sources)
			if err != nil {
				return err
			}
			problems := append(verdict.Problems, ingest.Contradictions(verdict.Kept)...)
			files, rows := reading.Files, len(reading.Rows)
			if c.NArg() == 1 {
				own := sources[len(sources)-1].Root
				problems, files, rows = within(own, problems), reading.FilesOf[own], reading.RowsOf[own]
			}
			if c.Bool("json") {
				err = p.printJSON(present.OrEmpty(problems))
			} else {
				p.page().Linted(problems, files, rows)
			}
			if err == nil && len(problems) > 0 {
				return errNothing
			}
			return err
		},
	})
}

// within keeps the problems of the notes under a folder.
func within(folder string, problems []place.Problem) []place.Problem {
	out := []place.Problem{}
	for _, p := range problems {
		if ingest.Under(folder, p.File) {
			out = append(out, p)
		}
	}
	return out
}
