package main

import (
	"errors"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"kg/internal/library"
	"kg/internal/note"
)

// mostShown is how many causes are printed unless more are asked for.
const mostShown = 4

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
			&cli.IntFlag{Name: "most", Usage: "print at most `N` causes", Value: mostShown},
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
			q := library.Question{Text: words, Appliance: note.ID(c.String("appliance"))}
			if err := errors.Join(nextOf(c, &q), givenOf(c, &q)); err != nil {
				return err
			}
			if c.IsSet("most") || !c.Bool("json") {
				q.Most = c.Int("most")
			}
			a, err := lib.Ask(c.Context, q)
			if err != nil {
				return wrongApplianceIsUse(err, q.Appliance)
			}
			shelf, err := p.shelf(c)
			if err != nil {
				return err
			}
			shelf.inCauses(&a)
			if c.Bool("json") {
				err = p.printJSON(a)
			} else {
				p.printAnswer(a, c.Bool("full"), c.Bool("why"))
			}
			if err == nil && len(a.Causes) == 0 && a.Stop == nil {
				return errNothing
			}
			return err
		},
	})
}

// wrongApplianceIsUse makes an unknown appliance an error of the command line.
func wrongApplianceIsUse(err error, appliance note.ID) error {
	var missing *library.NotFound
	switch {
	case !errors.As(err, &missing) || missing.ID != appliance:
		return err
	case missing.Nearest == "":
		return wrongUsef("there is no appliance %q: `kg list appliances` names them", appliance)
	}
	return wrongUse(missing)
}

// closing closes something at the end of a command and keeps the first error.
func closing(close func() error, err *error) {
	if cerr := close(); *err == nil {
		*err = cerr
	}
}
