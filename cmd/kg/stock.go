package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"kg/internal/advise"
	"kg/internal/catalogue"
	"kg/internal/catalogue/stock"
	"kg/internal/library/disk"
	"kg/internal/parts"
	"kg/internal/present"
)

func (p *program) stockCommand() *cli.Command {
	return command(&cli.Command{
		Name:  "stock",
		Usage: "what is on which van, and what is worth carrying",
		Description: `Without more, says what is on the vans. The stock is a table, stock.csv in
the home of kg, with the columns van, maker, number and count.

   kg stock put SF-4155-03 2 --van north
   kg stock --van north
   kg stock take SF-4155-03 --van north
   kg stock plan --budget 1500 --slots 40 --jobs 60

--van, or KG_VAN in the environment, names your van.`,
		Flags: []cli.Flag{vanFlag(), jsonFlag()},
		Subcommands: []*cli.Command{
			p.stockStep("put", "put parts on a van", "NUMBER [N]", "   kg stock put SF-4155-03 2 --van north", stock.File.Put),
			p.stockStep("take", "take parts from a van", "NUMBER [N]", `No more can be taken than are there.

   kg stock take SF-4155-03 --van north`, func(f stock.File, ctx context.Context, l stock.Line, n int) (stock.Line, error) {
				return f.Put(ctx, l, -n)
			}),
			p.stockStep("count", "say how many are on a van, as counted", "NUMBER N", "   kg stock count SF-4155-03 3 --van north", stock.File.Count),
			command(&cli.Command{
				Name: "import", Usage: "take a table of stock in", ArgsUsage: "FILE.csv",
				Description: `Sets the counts that the table has; what it does not name stays. If a row
cannot be used nothing is changed.

   kg stock import stock-count.csv`,
				Flags:  []cli.Flag{onOff("dry-run", "read and report, write nothing"), jsonFlag()},
				Action: p.importStock,
			}),
			p.planCommand(),
		},
		Action: p.listStock,
	})
}

func vanFlag() cli.Flag {
	return &cli.StringFlag{Name: "van", EnvVars: []string{"KG_VAN"}, Usage: "your van is `NAME`"}
}

func (p *program) stockFile() stock.File { return stock.File{Path: filepath.Join(p.home, "stock.csv")} }

func (p *program) listStock(c *cli.Context) error {
	if c.Args().Present() {
		return wrongUsef("there is no command `stock %s`: use put, take, count, import or plan", c.Args().First())
	}
	lines, err := p.stockFile().Read()
	if err != nil {
		return err
	}
	shown := stock.On(lines, c.String("van"))
	if c.Bool("json") {
		return nothingIf(p.printJSON(present.OrEmpty(shown)), len(shown) == 0)
	}
	p.page().Stock(shown, len(lines) > 0, c.String("van"))
	return nothingIf(nil, len(shown) == 0)
}

// stockStep is a command that changes how many of a part are on a van.
func (p *program) stockStep(name, usage, args, description string, change func(stock.File, context.Context, stock.Line, int) (stock.Line, error)) *cli.Command {
	return command(&cli.Command{
		Name: name, Usage: usage, ArgsUsage: args, Description: description,
		Flags: []cli.Flag{vanFlag(), jsonFlag()},
		Action: func(c *cli.Context) (err error) {
			words := c.Args().Slice()
			if len(words) == 0 || name == "count" && len(words) < 2 {
				return wrongUsef("`kg stock %s` takes %s", name, args)
			}
			van := strings.TrimSpace(c.String("van"))
			if van == "" {
				return wrongUsef("say which van: kg stock %s %s --van north, or set KG_VAN", name, strings.Join(words, " "))
			}
			lib, err := p.open(c.Context)
			if err != nil {
				return err
			}
			defer closing(lib.Close, &err)
			part, n, err := partAndCount(lib, words, name == "count")
			if err != nil {
				return err
			}
			now, err := change(p.stockFile(), c.Context, stock.Of(part, van), n)
			var short *stock.Short
			var unreadable *stock.Unreadable
			if errors.As(err, &short) || errors.As(err, &unreadable) {
				return wrongUse(err)
			}
			if err != nil {
				return p.homeUnusable(err)
			}
			if c.Bool("json") {
				return p.printJSON(now)
			}
			p.page().StockLine(now)
			return nil
		},
	})
}

// partAndCount reads NUMBER [N]: the last word is a count where the words before it
// are a number, or where one is needed.
func partAndCount(lib *disk.Library, words []string, needed bool) (*parts.Part, int, error) {
	if !needed {
		part, err := catalogue.OnePart(lib.Library, strings.Join(words, " "))
		if err == nil || len(words) == 1 || !wrongNumber(err) {
			return part, 1, err
		}
	}
	last := len(words) - 1
	n, err := strconv.Atoi(words[last])
	if err != nil || n < 0 || n == 0 && !needed {
		if !needed {
			_, err := catalogue.OnePart(lib.Library, strings.Join(words, " "))
			return nil, 0, err
		}
		return nil, 0, wrongUsef("%q is not a count: a whole number from 0", words[last])
	}
	part, err := catalogue.OnePart(lib.Library, strings.Join(words[:last], " "))
	return part, n, err
}

func (p *program) importStock(c *cli.Context) error {
	if c.NArg() != 1 {
		return wrongUsef("import takes one file: kg stock import stock-count.csv")
	}
	table, err := stock.ReadTable(c.Args().First())
	if err != nil {
		return err
	}
	taken, err := p.stockFile().Take(c.Context, table, c.Bool("dry-run"))
	if err != nil {
		return p.homeUnusable(err)
	}
	if c.Bool("json") {
		return nothingIf(p.printJSON(taken), len(taken.Problems) > 0)
	}
	for _, problem := range taken.Problems {
		fmt.Fprintln(p.err, problem.Error())
	}
	p.page().StockImport(taken)
	return nothingIf(nil, len(taken.Problems) > 0)
}

// shelf reads the stock; there is none to be seen where none is kept.
func (p *program) shelf(c *cli.Context) (stock.Shelf, error) {
	lines, err := p.stockFile().Read()
	return stock.Shelf{Lines: lines, Van: strings.TrimSpace(c.String("van"))}, err
}

// partsOnVans says of the parts of causes where they are. A stock that cannot be read is
// named, and keeps nobody from an answer.
func (p *program) partsOnVans(c *cli.Context, causes []advise.Cause) {
	shelf, err := p.shelf(c)
	if err != nil {
		fmt.Fprintf(p.err, "%v; the answer goes without it\n", err)
	}
	for _, cause := range causes {
		shelf.Today(cause.Parts)
	}
}
