package main

import (
	"github.com/urfave/cli/v2"

	"kg/internal/library/disk"
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
			lib, err := disk.OpenVerified(p.store())
			if err != nil {
				return p.homeUnusable(err)
			}
			defer closing(lib.Close, &err)
			m := lib.Manifest()
			if c.Bool("json") {
				return p.printJSON(m)
			}
			g := p.page()
			g.AsBuilt(m.Built, m.Counts.Entries, len(m.Files))
			for _, s := range m.Sources {
				g.Source(s.Name, s.Folder, s.Files)
			}
			return nil
		},
	})
}
