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
			lib, err := library.OpenVerified(p.store())
			if err != nil {
				return p.homeUnusable(err)
			}
			defer closing(lib.Close, &err)
			m := lib.Manifest()
			if c.Bool("json") {
				return p.printJSON(m)
			}
			g := p.page()
			g.labelled(0, "", 0, fmt.Sprintf("the library is as it was built on %s: %d %s, %d files",
				m.Built.Local().Format("2 January 2006 at 15:04"), m.Counts.Entries, plural(m.Counts.Entries, "entry", "entries"), len(m.Files)))
			for _, s := range m.Sources {
				folder := s.Folder
				if folder == "" {
					folder = "in the program"
				}
				if s.Name == folder {
					g.labelled(2, "", 0, fmt.Sprintf("%s: %d %s", folder, s.Files, plural(s.Files, "note", "notes")))
				} else {
					g.labelled(2, "", 0, fmt.Sprintf("%s: %d %s, %s", s.Name, s.Files, plural(s.Files, "note", "notes"), folder))
				}
			}
			return nil
		},
	})
}
