package main

import (
	"errors"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"kg/internal/advise"
	"kg/internal/note"
	"kg/internal/present"
)

func (p *program) askCommand() *cli.Command {
	return command(&cli.Command{
		Name:         "ask",
		Usage:        "say what you see; get causes, tests, parts and the next step",
		ArgsUsage:    "WORDS|CODE",
		BashComplete: p.completeAppliance,
		Description: `Say what you see, hear or read, in your own words; say what still works as
well. Or give the code on the display, with the appliance that shows it.

   kg ask "pressure not rising on pump start"
   kg ask "no hot water but heating is fine"
   kg ask B14 --appliance skerry-c24

WHO is householder, apprentice, "heating engineer", electrician, gas-licensed
or refrigerant-licensed. "kg list appliances" names the appliances. Causes
are printed in short, the next step whole; --full prints all, and
"kg show ID" any entry.`,
		Flags: append(slices.Concat(nextFlags(), givenFlags()),
			&cli.StringFlag{Name: "appliance", Aliases: []string{"a"}, Usage: "only what this `ID` has; its codes first"},
			&cli.IntFlag{Name: "most", Usage: "print at most `N` causes", Value: present.MostShown},
			vanFlag(),
			onOff("full", "print every cause in full"),
			onOff("why", "print which words matched and what weighed how much"),
			jsonFlag(),
		),
		Action: func(c *cli.Context) (err error) {
			words := strings.Join(c.Args().Slice(), " ")
			if strings.TrimSpace(words) == "" {
				return wrongUsef("say what you see: kg ask \"pressure not rising on pump start\"")
			}
			if c.Int("most") < 1 {
				return wrongUsef("--most takes a number from 1")
			}
			lib, err := p.open(c.Context)
			if err != nil {
				return err
			}
			defer closing(lib.Close, &err)
			q := advise.Question{Text: words, Appliance: note.ID(c.String("appliance"))}
			if err := errors.Join(nextOf(c, &q), givenOf(c, &q)); err != nil {
				return err
			}
			if c.IsSet("most") || !c.Bool("json") {
				q.Most = c.Int("most")
			}
			a, err := advise.Ask(c.Context, lib.Library, q)
			if err != nil {
				return wrongApplianceIsUse(err, q.Appliance)
			}
			if err := p.partsOnVans(c, a.Causes); err != nil {
				return err
			}
			if c.Bool("json") {
				err = p.printJSON(a)
			} else {
				p.page().Answer(a, c.Bool("full"), c.Bool("why"))
			}
			if err == nil && len(a.Causes) == 0 && a.Stop == nil && a.Proof == nil {
				return errNothing
			}
			return err
		},
	})
}
