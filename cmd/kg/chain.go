package main

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"kg/internal/graph"
	"kg/internal/library"
	"kg/internal/note"
)

func (p *program) chainCommand() *cli.Command {
	return command(&cli.Command{
		Name:      "chain",
		Usage:     "the tree of causes behind an entry, or of what it leads to",
		ArgsUsage: "ID",
		Description: `Starts at a symptom or a failure mode and walks back along the causes, or ahead
to what it shows and leads to if it is left. A chain that comes back to an entry
above it is cut there and marked.

   kg chain pressure-climbs-hot
   kg chain expansion-vessel-lost-charge --ahead --depth 2`,
		Flags: []cli.Flag{
			&cli.BoolFlag{Name: "back", Usage: "walk back to the causes (this is what happens unless --ahead is given)"},
			&cli.BoolFlag{Name: "ahead", Usage: "walk ahead to the consequences"},
			&cli.IntFlag{Name: "depth", Usage: "walk at most `N` links", Value: 3},
			jsonFlag(),
		},
		Action: func(c *cli.Context) (err error) {
			if c.NArg() != 1 {
				return wrongUsef("chain takes one id: kg chain pressure-climbs-hot")
			}
			if c.Bool("back") && c.Bool("ahead") {
				return wrongUsef("choose one of --back and --ahead")
			}
			if d := c.Int("depth"); d < 1 || d > graph.MaxDepth {
				return wrongUsef("--depth takes a number from 1 to %d", graph.MaxDepth)
			}
			direction := graph.Back
			if c.Bool("ahead") {
				direction = graph.Ahead
			}
			lib, err := p.open(c.Context)
			if err != nil {
				return err
			}
			defer closing(lib.Close, &err)
			tree, err := lib.Tree(c.Context, note.ID(c.Args().First()), direction, c.Int("depth"))
			if err != nil {
				return err
			}
			if c.Bool("json") {
				return p.printJSON(tree)
			}
			p.page().tree(tree, direction, 0)
			return nil
		},
	})
}

func (g *page) tree(b *library.Branch, d graph.Direction, depth int) {
	text := fmt.Sprintf("%s [%s]", b.Name, b.ID)
	switch b.Cut {
	case "cycle":
		text += " -- comes round again, see above"
	case "depth":
		text += " -- goes on, see --depth"
	case "size":
		text += " -- more than can be shown"
	}
	if depth == 0 {
		g.heading(text)
	} else {
		arrow := "<-"
		if d == graph.Ahead {
			arrow = "->"
		}
		label := fmt.Sprintf("%s %s %s", arrow, strings.ReplaceAll(b.Link, "-", " "), library.InWords(b.Figure))
		g.labelled(min(3*(depth-1), 40), label, len(label)+2, text)
	}
	for _, below := range b.Branches {
		g.tree(below, d, depth+1)
	}
}
