package main

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"kg/internal/measure"
	"kg/internal/present"
)

func (p *program) readingCommand() *cli.Command {
	return command(&cli.Command{
		Name:      "reading",
		Usage:     "say what a meter should show, and what it means if it does not",
		ArgsUsage: "MODEL KEY=VALUE ...",
		Description: `Says what a healthy part should read, the band that a good part and a good
meter leave, and, with reads=VALUE, the verdict and how likely it is that the
part conforms. Leave the temperature out to be told which one a resistance
means. Values have units as people write them, and an uncertainty after ±.

   kg reading list
   kg reading list vessel-hot-pressure
   kg reading ntc-curve curve=10k-2 at=24C reads=10.4k
   kg reading platinum r0=1000 reads=1194
   kg reading gas-rate volume=2 m3 in 600 s

meter=0.5% is the accuracy of the instrument. kg card prints a table.
It opens no library.`,
		Flags: []cli.Flag{jsonFlag()},
		BashComplete: func(c *cli.Context) {
			if c.NArg() == 0 {
				for _, m := range measure.Models() {
					fmt.Fprintln(p.out, m.Name)
				}
			}
		},
		Action: func(c *cli.Context) error {
			words := c.Args().Slice()
			if len(words) == 0 {
				return wrongUsef("name a model: `kg reading list` has them all, `kg reading ntc-curve curve=10k-2 at=24C` uses one")
			}
			if words[0] == "list" {
				return p.listModels(words[1:], c.Bool("json"))
			}
			given, err := givenBy(words)
			if err != nil {
				return err
			}
			j, err := given.Judge()
			if err != nil {
				return wrongUsef("%w; `kg reading list %s` explains its keys", err, words[0])
			}
			if c.Bool("json") {
				return p.printJSON(present.NewReadingJSON(&j))
			}
			p.page().Reading(&j)
			return nil
		},
	})
}

// givenBy reads a model and its keys.
func givenBy(words []string) (*measure.Given, error) {
	given, err := measure.New(words[0])
	if err != nil {
		return nil, wrongUsef("%w; `kg reading list` explains them", err)
	}
	m := given.Model()
	if len(words) > 1 && !strings.Contains(words[1], "=") {
		return nil, wrongUsef("%q is not KEY=VALUE: `kg reading list %s` has the keys of %s", words[1], m.Name, m.Name)
	}
	pairs, err := measure.Pairs(words[1:])
	if err != nil {
		return nil, wrongUsef("%w: `kg reading list %s` has the keys of %s", err, m.Name, m.Name)
	}
	for _, pair := range pairs {
		if err := given.Set(pair.Key, pair.Value); err != nil {
			return nil, wrongUse(err)
		}
	}
	return given, nil
}

// listModels explains all models, or one.
func (p *program) listModels(words []string, asJSON bool) error {
	models := measure.Models()
	if len(words) > 1 {
		return wrongUsef("list takes one model at a time, or none for all")
	}
	if len(words) == 1 {
		m, err := measure.Find(words[0])
		if err != nil {
			return wrongUse(err)
		}
		models = []*measure.Model{m}
	}
	if asJSON {
		return p.printJSON(present.NewModelsJSON(models))
	}
	if len(words) == 1 {
		p.page().Model(models[0])
	} else {
		p.page().Models(models)
	}
	return nil
}
