package main

import (
	"strings"

	"github.com/urfave/cli/v2"

	"kg/internal/note"
)

func (p *program) findCommand() *cli.Command {
	return command(&cli.Command{
		Name:      "find",
		Usage:     "find entries of any kind by words",
		ArgsUsage: "WORDS",
		Description: `Looks for words in names and text of all notes and shows where they stand.
The last word may be the beginning of one.

   kg find expansion vessel charge
   kg find "purge" --kind remedy`,
		Flags: []cli.Flag{
			&cli.StringSliceFlag{Name: "kind", Usage: "only this `KIND`; may be repeated"},
			&cli.IntFlag{Name: "most", Usage: "print at most `N` entries", Value: 10},
			jsonFlag(),
		},
		Action: func(c *cli.Context) (err error) {
			words := strings.Join(c.Args().Slice(), " ")
			if strings.TrimSpace(words) == "" {
				return wrongUsef("say what to look for: kg find expansion vessel")
			}
			var kinds []note.Kind
			for _, s := range c.StringSlice("kind") {
				k, ok := note.ParseKind(s)
				if !ok {
					return wrongUse(unknownKind(s))
				}
				kinds = append(kinds, k)
			}
			if c.Int("most") < 1 {
				return wrongUsef("--most takes a number from 1")
			}
			lib, err := p.open(c.Context)
			if err != nil {
				return err
			}
			defer closing(lib.Close, &err)
			found, err := lib.Find(c.Context, words, kinds, c.Int("most"))
			if err != nil {
				return err
			}
			if c.Bool("json") {
				err = p.printJSON(found)
			} else {
				p.page().Found(words, found)
			}
			if err == nil && len(found.Hits) == 0 {
				return errNothing
			}
			return err
		},
	})
}
