package main

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"kg/internal/graph"
	"kg/internal/library"
	"kg/internal/note"
)

// deepest is the indentation beyond which the links of a chain are numbered and
// not moved to the right any more, so that an id still fits on a line.
const deepest = 14

func (p *program) chainCommand() *cli.Command {
	return command(&cli.Command{
		Name:         "chain",
		Usage:        "the tree of causes behind an entry, or of what it leads to",
		ArgsUsage:    "ID",
		BashComplete: p.complete(note.KindSymptom, note.KindMode),
		Description: `Starts at a symptom or a failure mode and walks back along the causes, or
ahead to what it shows and leads to if it is left. A chain that comes back to
an entry above it is cut there and marked.

   kg chain pressure-climbs-hot
   kg chain expansion-vessel-lost-charge --ahead --depth 2`,
		Flags: []cli.Flag{
			onOff("back", "walk back to the causes, as without --ahead"),
			onOff("ahead", "walk ahead to the consequences"),
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
			id := note.ID(c.Args().First())
			if rec, err := lib.Entry(id); err == nil {
				if k := rec.Entry.Head().Kind; k != note.KindSymptom && k != note.KindMode {
					return wrongUsef("%q is a %s: name a symptom or a mode; `kg show %s` names those linked to it", id, k, id)
				}
			}
			tree, err := lib.Tree(c.Context, id, direction, c.Int("depth"))
			if err != nil {
				return err
			}
			if c.Bool("json") {
				err = p.printJSON(tree)
			} else {
				p.page().chain(tree, direction)
			}
			if err == nil && len(tree.Branches) == 0 {
				return errNothing
			}
			return err
		},
	})
}

func (g *page) chain(b *library.Branch, d graph.Direction) {
	g.tree(b, d, 0)
	if len(b.Branches) > 0 {
		return
	}
	if d == graph.Ahead {
		g.line("The notes name nothing that it shows or leads to: try --back.")
	} else {
		g.line("The notes name nothing behind it: try --ahead.")
	}
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
		indent := 2 * (depth - 1)
		if indent > deepest {
			indent, arrow = deepest, fmt.Sprintf("%d %s", depth, arrow)
		}
		text = fmt.Sprintf("%s %s %s: %s", arrow, strings.ReplaceAll(b.Link, "-", " "), library.InWords(b.Figure), text)
		g.hanging(indent, text)
	}
	for _, below := range b.Branches {
		g.tree(below, d, depth+1)
	}
}
