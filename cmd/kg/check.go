package main

import (
	"fmt"

	"github.com/urfave/cli/v2"

	"kg/internal/library"
)

func (p *program) checkCommand() *cli.Command {
	return command(&cli.Command{
		Name:  "check",
		Usage: "compare every byte of the library with what was built",
		Description: `Every command looks at the sizes of the library's files; this one reads them
whole. It says what the library was made of and when.

   kg check`,
		Flags: []cli.Flag{jsonFlag()},
		Action: func(c *cli.Context) (err error) {
			if err := noWords(c); err != nil {
				return err
			}
			lib, err := library.Open(p.store())
			if err != nil {
				return p.homeUnusable(err)
			}
			defer closing(lib.Close, &err)
			if err := lib.Verify(); err != nil {
				return err
			}
			m := lib.Manifest()
			if c.Bool("json") {
				return p.printJSON(m)
			}
			fmt.Fprintf(p.out, "the library is as it was built on %s: %d entries, %d files\n",
				m.Built.Local().Format("2 January 2006 at 15:04"), m.Counts.Entries, len(m.Files))
			for _, s := range m.Sources {
				folder := s.Folder
				if folder == "" {
					folder = "in the program"
				}
				fmt.Fprintf(p.out, "  %s: %d notes, %s\n", s.Name, s.Files, folder)
			}
			return nil
		},
	})
}
