package main

import (
	"fmt"

	"github.com/urfave/cli/v2"

	"kg/internal/note"
)

func (p *program) listCommand() *cli.Command {
	return command(&cli.Command{
		Name:         "list",
		Usage:        "list the entries of a kind",
		ArgsUsage:    "[KIND]",
		BashComplete: p.completeKinds,
		Description: `Prints id and name of every entry of a kind, or the kinds with their numbers.

   kg list
   kg list appliances`,
		Flags: []cli.Flag{jsonFlag()},
		Action: func(c *cli.Context) (err error) {
			if c.NArg() > 1 {
				return wrongUsef("list takes one kind at a time")
			}
			kind, ok := note.ParseKind(c.Args().First())
			if c.NArg() == 1 && !ok {
				return wrongUse(unknownKind(c.Args().First()))
			}
			lib, err := p.open(c.Context)
			if err != nil {
				return err
			}
			defer closing(lib.Close, &err)
			if c.NArg() == 0 {
				return p.listKinds(lib.Manifest().Counts.ByKind, c.Bool("json"))
			}
			titles, err := lib.List(kind)
			if err != nil {
				return err
			}
			if c.Bool("json") {
				err = p.printJSON(orEmpty(titles))
			} else {
				g := p.page()
				for _, t := range titles {
					g.labelled(0, string(t.ID), 40, t.Full)
				}
			}
			if err == nil && len(titles) == 0 {
				fmt.Fprintf(p.err, "there are no %s in the library: `kg note new %s` begins one\n", kind.Plural(), kind)
				return errNothing
			}
			return err
		},
	})
}

func (p *program) listKinds(counts map[note.Kind]int, asJSON bool) error {
	if asJSON {
		return p.printJSON(counts)
	}
	for _, k := range note.Kinds() {
		fmt.Fprintf(p.out, "%5d %s\n", counts[k], plural(counts[k], string(k), k.Plural()))
	}
	return nil
}
