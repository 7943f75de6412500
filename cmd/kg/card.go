package main

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"github.com/urfave/cli/v2"

	"kg/internal/measure"
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
			if paper != "A4" && paper != "A5" {
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
				return p.printJSON(cardJSON(&card))
			case c.Bool("svg"):
				_, err := p.out.Write([]byte(cardSVG(&card, title, paper)))
				if err != nil {
					return fmt.Errorf("printing the card: %w", err)
				}
			default:
				p.printCard(&card, title)
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

type (
	jsonCard struct {
		Model   string        `json:"model"`
		Key     string        `json:"key"`
		KeyUnit string        `json:"key_unit"`
		Unit    string        `json:"unit"`
		Rows    []jsonRow     `json:"rows"`
		Assumed []string      `json:"assumed"`
		Source  string        `json:"source"`
		Edition string        `json:"edition,omitempty"`
		Caveats []jsonCaution `json:"caveats"`
	}
	jsonRow struct {
		At       *float64 `json:"at"`
		Expected *float64 `json:"expected"`
		Low      *float64 `json:"low"`
		High     *float64 `json:"high"`
	}
)

func cardJSON(c *measure.Card) jsonCard {
	out := jsonCard{Model: c.Model.Name, Key: c.Key, KeyUnit: c.KeyUnit, Unit: c.Unit, Rows: []jsonRow{}, Assumed: orEmpty(c.Assumed),
		Source: c.Source, Edition: c.Edition, Caveats: []jsonCaution{}}
	for _, r := range c.Rows {
		out.Rows = append(out.Rows, jsonRow{known(r.At), known(r.Expected), known(r.Low), known(r.High)})
	}
	for _, caution := range c.Cautions {
		out.Caveats = append(out.Caveats, jsonCaution(caution))
	}
	return out
}

// cells are the columns of a row.
func cells(r measure.Row) [4]string {
	width := math.Abs(r.High-r.Low) / 2
	if known(width) == nil || width == 0 {
		width = math.Abs(r.Expected)
	}
	width = min(width, math.Abs(r.Expected)) / 2 // one digit more than it tells
	text := func(x float64) string {
		if known(x) == nil {
			return "-"
		}
		return digits(x, width)
	}
	return [4]string{digits(math.Round(r.At*1e9)/1e9, 0), text(r.Expected), text(r.Low), text(r.High)}
}

func heads(c *measure.Card) [4]string {
	what := "healthy"
	if c.Model.Derived() {
		what = "about"
	}
	return [4]string{c.Key + spaced(c.KeyUnit), what + spaced(c.Unit), "from", "to"}
}

// cardExplains says what the columns are.
func cardExplains(c *measure.Card) string {
	if c.Model.Derived() {
		return "from and to are its expanded uncertainty (k = 2)"
	}
	return "from and to are what a good part and a good meter leave when " + c.Key + " is exactly that"
}

func (p *program) printCard(c *measure.Card, title string) {
	g := p.page()
	g.cautions(c.Cautions, "danger")
	g.heading(title)
	g.labelled(0, "", 0, c.Model.About)
	g.labelled(0, "", 0, cardExplains(c))
	g.gap()
	const column = 16
	row := func(cells [4]string) string {
		var b strings.Builder
		for _, cell := range cells {
			fmt.Fprintf(&b, "%*s", column, cell)
		}
		return b.String()
	}
	g.line(g.bold(row(heads(c))))
	for _, r := range c.Rows {
		g.line(row(cells(r)))
	}
	g.gap()
	if len(c.Assumed) > 0 {
		g.labelled(0, "assumed", readingLabel, strings.Join(c.Assumed, ", "))
	}
	g.labelled(0, "source", readingLabel, c.Source)
	if c.Edition != "" {
		g.labelled(0, "edition", readingLabel, c.Edition+": check the edition in force; local rules decide")
	}
	g.gap()
	g.cautions(c.Cautions, "warning", "caution", "notice")
}
