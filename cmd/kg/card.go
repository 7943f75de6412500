package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"kg/internal/measure"
	"kg/internal/present"
)

func (p *program) cardCommand() *cli.Command {
	return command(&cli.Command{
		Name:      "card",
		Usage:     "print a table of readings for the van",
		ArgsUsage: "MODEL KEY=VALUE ...",
		Description: `Prints what a healthy part reads over a range: resistance against
temperature, pressure against height, kilowatts against seconds. The models
and their keys are those of kg reading.

   kg card ntc-curve curve=10k-2
   kg card platinum r0=1000 --from 0 --to 90 --step 10
   kg card gas-rate volume=0.1m3 --svg

--svg prints a page to be printed on A5 (or --paper A4) instead. It opens no
library.`,
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "from", Usage: "begin at `VALUE`"},
			&cli.StringFlag{Name: "to", Usage: "end at `VALUE`"},
			&cli.StringFlag{Name: "step", Usage: "go in steps of `VALUE`"},
			onOff("svg", "print SVG instead of text"),
			&cli.StringFlag{Name: "paper", Usage: "`SIZE` of the page, A4 or A5", Value: "A5"},
			jsonFlag(),
		},
		BashComplete: func(c *cli.Context) {
			for _, m := range measure.Models() {
				if c.NArg() == 0 && m.HasCard() {
					fmt.Fprintln(p.out, m.Name)
				}
			}
		},
		Action: func(c *cli.Context) error {
			words := c.Args().Slice()
			if len(words) == 0 {
				return wrongUsef("name a model: kg card ntc-curve curve=10k-2")
			}
			if c.Bool("svg") && c.Bool("json") {
				return wrongUsef("choose one of --svg and --json")
			}
			paper := strings.ToUpper(c.String("paper"))
			if !present.IsPaper(paper) {
				return wrongUsef("--paper takes A4 or A5")
			}
			given, err := givenBy(words)
			if err != nil {
				return err
			}
			card, err := given.Card(c.String("from"), c.String("to"), c.String("step"))
			if errors.Is(err, measure.ErrNoCard) {
				return wrongUsef("%w; cards there are of %s", err, strings.Join(withCards(), ", "))
			}
			if err != nil {
				return wrongUse(err)
			}
			title := strings.Join(words, " ")
			switch {
			case c.Bool("json"):
				return p.printJSON(present.NewCardJSON(&card))
			case c.Bool("svg"):
				_, err := p.out.Write(present.CardSheet(&card, title, paper))
				if err != nil {
					return fmt.Errorf("printing the card: %w", err)
				}
			default:
				p.page().Card(&card, title)
			}
			return nil
		},
	})
}

func withCards() []string {
	var out []string
	for _, m := range measure.Models() {
		if m.HasCard() {
			out = append(out, m.Name)
		}
	}
	return out
}
