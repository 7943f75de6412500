package main

import (
	"fmt"

	"github.com/urfave/cli/v2"

	"kg/internal/note"
	"kg/internal/present"
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
				counts := lib.Manifest().Counts.ByKind
				if c.Bool("json") {
					return p.printJSON(counts)
				}
				p.page().Kinds(counts)
				return nil
			}
			titles, err := lib.List(kind)
			if err != nil {
				return err
			}
			if c.Bool("json") {
				err = p.printJSON(present.OrEmpty(titles))
			} else {
				g := p.page()
				for _, t := range titles {
					g.Title(t.ID, t.Full)
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
