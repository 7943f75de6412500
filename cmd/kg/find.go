package main

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"kg/internal/library"
	"kg/internal/note"
)

func (p *program) findCommand() *cli.Command {
	return command(&cli.Command{
		Name:      "find",
		Usage:     "find entries of any kind by words",
		ArgsUsage: "WORDS",
		Description: `Looks for words in names and text of all notes and shows where they stand.
The last word may be the beginning of one.

   kg find expansion vessel charge
   kg find "purge" --kind remedy`,
		Flags: []cli.Flag{
			&cli.StringSliceFlag{Name: "kind", Usage: "only this `KIND`; may be repeated"},
			&cli.IntFlag{Name: "most", Usage: "print at most `N` entries", Value: 10},
			jsonFlag(),
		},
		Action: func(c *cli.Context) (err error) {
			words := strings.Join(c.Args().Slice(), " ")
			if strings.TrimSpace(words) == "" {
				return wrongUsef("say what to look for: kg find expansion vessel")
			}
			var kinds []note.Kind
			for _, s := range c.StringSlice("kind") {
				k, ok := note.ParseKind(s)
				if !ok {
					return wrongUse(unknownKind(s))
				}
				kinds = append(kinds, k)
			}
			if c.Int("most") < 1 {
				return wrongUsef("--most takes a number from 1")
			}
			lib, err := p.open(c.Context)
			if err != nil {
				return err
			}
			defer closing(lib.Close, &err)
			found, err := lib.Find(c.Context, words, kinds, c.Int("most"))
			if err != nil {
				return err
			}
			if c.Bool("json") {
				err = p.printJSON(found)
			} else {
				p.printHits(words, found)
			}
			if err == nil && len(found.Hits) == 0 {
				return errNothing
			}
			return err
		},
	})
}

func (p *program) printHits(words string, found library.Finding) {
	g := p.page()
	if len(found.Hits) == 0 {
		g.labelled(0, "", 0, fmt.Sprintf("nothing in the notes has the words %q: try fewer, or others", clean(words)))
		return
	}
	for _, h := range found.Hits {
		g.labelled(0, string(h.Kind), 10, fmt.Sprintf("%s [%s]", h.Name, h.ID))
		if h.Line != "" {
			g.styled(10, "", 0, g.marked(h))
		}
	}
	var counts []string
	for _, k := range note.Kinds() {
		if n := found.Kinds[k]; n > 0 {
			counts = append(counts, fmt.Sprintf("%d %s", n, plural(n, string(k), k.Plural())))
		}
	}
	g.gap()
	g.labelled(0, "", 0, "in all "+strings.Join(counts, ", ")+" (--kind narrows, --most shows more)")
}

// marked returns the telling line of a hit, cut to what stands around the words
// found, with these marked.
func (g *page) marked(h library.Hit) string {
	open, close := "«", "»"
	if g.colour {
		open, close = "\x1b[1m", reset
	}
	const around = 60
	var b strings.Builder
	at := 0
	for i, s := range h.Spans {
		before := h.Line[at:s.Start]
		if r := []rune(before); i == 0 && len(r) > around {
			before = "... " + string(r[len(r)-around:])
		}
		b.WriteString(clean(before) + open + clean(h.Line[s.Start:s.End]) + close)
		at = s.End
	}
	if r := []rune(h.Line[at:]); len(r) > around {
		b.WriteString(clean(string(r[:around])) + " ...")
	} else {
		b.WriteString(clean(h.Line[at:]))
	}
	return b.String()
}

func unknownKind(s string) error {
	var valid []string
	for _, k := range note.Kinds() {
		valid = append(valid, string(k))
	}
	if near, ok := note.Nearest(s, valid); ok {
		return fmt.Errorf("there is no kind %q: did you mean %q?", s, near)
	}
	return fmt.Errorf("there is no kind %q: the kinds are %s", s, strings.Join(valid, ", "))
}
