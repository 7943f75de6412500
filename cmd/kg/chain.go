package main

import (
	"github.com/urfave/cli/v2"

	"kg/internal/advise"
	"kg/internal/link"
	"kg/internal/note"
)

func (p *program) chainCommand() *cli.Command {
	return command(&cli.Command{
		Name:         "chain",
		Usage:        "the tree of causes behind an entry, or of what it leads to",
		ArgsUsage:    "ID",
		BashComplete: p.complete(note.KindSymptom, note.KindMode),
		Description: `Starts at a symptom or a failure mode and walks back along the causes, or
ahead to what it shows and leads to if it is left. A chain that comes back to
an entry above it is cut there and marked.

   kg chain pressure-climbs-hot
   kg chain expansion-vessel-lost-charge --ahead --depth 2`,
		Flags: []cli.Flag{
			onOff("back", "walk back to the causes, as without --ahead"),
			onOff("ahead", "walk ahead to the consequences"),
			&cli.IntFlag{Name: "depth", Usage: "walk at most `N` links", Value: 3},
			jsonFlag(),
		},
		Action: func(c *cli.Context) (err error) {
			if c.NArg() != 1 {
				return wrongUsef("chain takes one id: kg chain pressure-climbs-hot")
			}
			if c.Bool("back") && c.Bool("ahead") {
				return wrongUsef("choose one of --back and --ahead")
			}
			if d := c.Int("depth"); d < 1 || d > link.MaxDepth {
				return wrongUsef("--depth takes a number from 1 to %d", link.MaxDepth)
			}
			direction := link.Back
			if c.Bool("ahead") {
				direction = link.Ahead
			}
			lib, err := p.open(c.Context)
			if err != nil {
				return err
			}
			defer closing(lib.Close, &err)
			id := note.ID(c.Args().First())
			if rec, err := lib.Entry(id); err == nil {
				if k := rec.Entry.Head().Kind; k != note.KindSymptom && k != note.KindMode {
					return wrongUsef("%q is a %s: name a symptom or a mode; `kg show %s` names those linked to it", id, k, id)
				}
			}
			tree, err := advise.Chain(c.Context, lib.Library, id, direction, c.Int("depth"))
			if err != nil {
				return err
			}
			if c.Bool("json") {
				err = p.printJSON(tree)
			} else {
				p.page().Chain(tree, direction)
			}
			if err == nil && len(tree.Branches) == 0 {
				return errNothing
			}
			return err
		},
	})
}
