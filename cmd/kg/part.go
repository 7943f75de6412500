package main

import (
	"strings"

	"github.com/urfave/cli/v2"

	"kg/internal/catalogue"
	"kg/internal/note"
	"kg/internal/parts"
)

func (p *program) partCommand() *cli.Command {
	return command(&cli.Command{
		Name:         "part",
		Usage:        "today's number of a part, from words or any old number",
		ArgsUsage:    "WORDS|NUMBER",
		BashComplete: p.completeAppliance,
		Description: `Give a number, as it stands on the part or in an old list: spaces, dashes,
dots, case and leading zeros do not matter. Or say what it is, and on which
appliance.

   kg part SF-4155-00
   kg part pressure sensor --appliance skerry-c24
   kg part control board --appliance skerry-c24 --serial 415000

Parts that keep people safe (gas, relief, temperature limit, combustion,
pressure sensing) are exchanged for what their maker says, and for nothing
else.`,
		Flags: append(partFlags(), vanFlag(), jsonFlag()),
		Subcommands: []*cli.Command{command(&cli.Command{
			Name: "match", Usage: "parts that are like one, by what they are", ArgsUsage: "NUMBER",
			Description: `Compares thread, voltage, range, size and what else the lists state, with
units and tolerances, and says which of them differs. It is a help in
looking, not a statement that a part will do.

   kg part match SF-4155-03 --most 3`,
			Flags: []cli.Flag{
				&cli.IntFlag{Name: "most", Usage: "print at most `N` parts", Value: 5},
				jsonFlag(),
			},
			Action: p.matchPart,
		})},
		Action: func(c *cli.Context) (err error) {
			words := strings.Join(c.Args().Slice(), " ")
			if strings.TrimSpace(words) == "" {
				return wrongUsef("give a number, or say what it is: kg part pressure sensor --appliance skerry-c24")
			}
			lib, err := p.open(c.Context)
			if err != nil {
				return err
			}
			defer closing(lib.Close, &err)
			q := catalogue.PartQuestion{Text: words, Appliance: note.ID(c.String("appliance")), Serial: parts.Serial(c.String("serial"))}
			a, err := catalogue.LookUp(c.Context, lib.Library, q)
			if err != nil {
				return wrongApplianceIsUse(err, q.Appliance)
			}
			shelf, err := p.shelf(c)
			if err != nil {
				return err
			}
			shelf.Answer(&a)
			if c.Bool("json") {
				err = p.printJSON(a)
			} else {
				p.page().Part(a)
			}
			if err == nil && len(a.Found) == 0 && len(a.Today) == 0 {
				return errNothing
			}
			return err
		},
	})
}

func partFlags() []cli.Flag {
	return []cli.Flag{
		&cli.StringFlag{Name: "appliance", Aliases: []string{"a"}, Usage: "what fits this `ID`"},
		&cli.StringFlag{Name: "serial", Usage: "serial number of the appliance, `S`, as on its plate"},
	}
}

func (p *program) matchPart(c *cli.Context) (err error) {
	number := strings.Join(c.Args().Slice(), " ")
	if strings.TrimSpace(number) == "" {
		return wrongUsef("match takes one number: kg part match SF-4155-03")
	}
	if c.Int("most") < 1 {
		return wrongUsef("--most takes a number from 1")
	}
	lib, err := p.open(c.Context)
	if err != nil {
		return err
	}
	defer closing(lib.Close, &err)
	a, err := catalogue.MatchPart(c.Context, lib.Library, number, c.Int("most"))
	if err != nil {
		return err
	}
	if c.Bool("json") {
		err = p.printJSON(a)
	} else {
		p.page().Match(a)
	}
	if err == nil && len(a.Matches) == 0 {
		return errNothing
	}
	return err
}
