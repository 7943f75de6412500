package main

import (
	"fmt"

	"github.com/urfave/cli/v2"

	"kg/internal/note"
	"kg/internal/present"
)

func (p *program) showCommand() *cli.Command {
	return command(&cli.Command{
		Name:         "show",
		Usage:        "print one entry whole, with what is linked to it",
		ArgsUsage:    "ID",
		BashComplete: p.complete(note.Kinds()...),
		Description: `Prints an entry of any kind, the entries that it names and those that name
it.

   kg show pressure-sensor-stuck
   kg show skerry-c24`,
		Flags: []cli.Flag{
			onOff("raw", "print the note as it is written"),
			jsonFlag(),
		},
		Action: func(c *cli.Context) (err error) {
			if c.NArg() != 1 {
				return wrongUsef("show takes one id: kg show pressure-sensor-stuck")
			}
			lib, err := p.open(c.Context)
			if err != nil {
				return err
			}
			defer closing(lib.Close, &err)
			id := note.ID(c.Args().First())
			rec, err := lib.Entry(id)
			if err != nil {
				return err
			}
			if c.Bool("raw") {
				text, err := lib.Text(id)
				fmt.Fprint(p.out, text)
				return err
			}
			e := present.Entry{Entry: rec.Entry, Note: rec.Path, Source: rec.Source, Replaces: rec.Replaces}
			if e.Out, err = lib.Out(c.Context, id); err != nil {
				return err
			}
			if e.In, err = lib.In(c.Context, id); err != nil {
				return err
			}
			if c.Bool("json") {
				return p.printJSON(e.JSON())
			}
			p.page().Entry(&e, func(id note.ID) string {
				if rec, err := lib.Entry(id); err == nil {
					return rec.Entry.Head().Name
				}
				return ""
			})
			return nil
		},
	})
}
