package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"github.com/urfave/cli/v2"

	"kg/internal/advise"
	"kg/internal/cost"
	"kg/internal/cost/table"
)

func (p *program) costCommand() *cli.Command {
	return command(&cli.Command{
		Name:  "cost",
		Usage: "what the next step assumes about work and being wrong",
		Description: `Lists the costs that the next step is planned with, in minutes of paid work.
A team that knows better sets its own, with the reason; they are kept in
costs.csv in the home of kg, with the columns cost, minutes and reason.

   kg cost
   kg cost set call 240 "the next van is an hour away at most"
   kg cost usual call`,
		Flags: []cli.Flag{jsonFlag()},
		Subcommands: []*cli.Command{
			command(&cli.Command{
				Name: "set", Usage: "set a cost", ArgsUsage: "COST MINUTES REASON",
				Description: `The reason is kept beside the figure.

   kg cost set wrong-part 90 "parts come by post"`,
				Flags: []cli.Flag{jsonFlag()},
				Action: func(c *cli.Context) error {
					words := c.Args().Slice()
					if len(words) < 3 {
						return wrongUsef("`kg cost set` takes a cost, minutes and the reason: kg cost set call 240 \"the next van is near\"")
					}
					costs, err := p.costFile().Set(c.Context, words[0], words[1], strings.Join(words[2:], " "))
					return p.printCosts(c, costs, wrongCost(err))
				},
			}),
			command(&cli.Command{
				Name: "usual", Usage: "take your own figure of a cost away", ArgsUsage: "COST",
				Description: `The cost is then the usual one again.

   kg cost usual wrong-part`,
				Flags: []cli.Flag{jsonFlag()},
				Action: func(c *cli.Context) error {
					if c.NArg() != 1 {
						return wrongUsef("`kg cost usual` takes one cost: kg cost usual call")
					}
					costs, err := p.costFile().Usual(c.Context, c.Args().First())
					return p.printCosts(c, costs, wrongCost(err))
				},
			}),
		},
		Action: func(c *cli.Context) error {
			if c.Args().Present() {
				return wrongUsef("there is no command `cost %s`: use set or usual", c.Args().First())
			}
			costs, err := p.costFile().Read()
			return p.printCosts(c, costs, err)
		},
	})
}

func (p *program) costFile() table.File { return table.File{Path: filepath.Join(p.home, "costs.csv")} }

// costsOf puts the team's costs into a question. Where they cannot be read it says so,
// and plans with the usual ones.
func (p *program) costsOf(q *advise.Question) {
	costs, err := p.costFile().Read()
	if err != nil {
		fmt.Fprintf(p.err, "%v; until then the next step is planned with the usual costs\n", err)
	}
	q.Costs = costs
}

// wrongCost makes an error of the command line of a cost that makes no sense.
func wrongCost(err error) error {
	var refused *table.Refused
	if errors.As(err, &refused) {
		return wrongUse(err)
	}
	return err
}

func (p *program) printCosts(c *cli.Context, costs cost.Costs, err error) error {
	if err != nil {
		return err
	}
	if c.Bool("json") {
		return p.printJSON(costs.All())
	}
	p.page().Costs(costs.All())
	return nil
}
