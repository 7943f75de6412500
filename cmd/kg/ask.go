package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"kg/internal/advise"
	"kg/internal/library/disk"
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

WHO is householder, apprentice, "heating engineer", electrician,
gas-licensed, oil-qualified, unvented-qualified or refrigerant-licensed, or
several like gas,oil. "kg list appliances" names the appliances. Causes are
printed in short, the next step whole; --full prints all, and "kg show ID"
any entry.`,
		Flags: append(slices.Concat(nextFlags(), givenFlags()),
			&cli.StringFlag{Name: "appliance", Aliases: []string{"a"}, Usage: "only what this `ID` has; its codes first"},
			&cli.IntFlag{Name: "most", Usage: "print at most `N` causes", Value: present.MostShown},
			vanFlag(),
			onOff("full", "print every cause in full"),
			onOff("why", "print which words matched and what weighed how much"),
			&cli.StringSliceFlag{Name: "is", Usage: "what the words mean, by its `ID`"},
			&cli.StringSliceFlag{Name: "not", Usage: "what they do not mean, by its `ID`"},
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
			q := advise.Question{
				Text: words, Appliance: note.ID(c.String("appliance")), Explain: c.Bool("why"),
				Symptoms: ids(c.StringSlice("is")), Not: ids(c.StringSlice("not")),
			}
			if err := errors.Join(p.nextOf(c, &q), givenOf(c, &q)); err != nil {
				return err
			}
			for _, id := range slices.Concat(q.Symptoms, q.Not) {
				if _, err := lib.OfKind(id, "symptom or mode", note.KindSymptom, note.KindMode); err != nil {
					return wrongUse(err)
				}
			}
			if c.IsSet("most") || !c.Bool("json") {
				q.Most = c.Int("most")
			}
			for {
				a, err := p.answer(c, lib, q)
				if err != nil || !p.asksBack(c, a) {
					return err
				}
				number, answered := answerFrom(os.Stdin, p.out, len(a.Asked()))
				if !answered {
					return nil
				}
				q = q.Answered(a, number)
			}
		},
	})
}

// answer works out and prints the answer to a question.
func (p *program) answer(c *cli.Context, lib *disk.Library, q advise.Question) (advise.Answer, error) {
	a, err := advise.Ask(c.Context, lib.Library, q)
	if err != nil {
		return a, wrongApplianceIsUse(err, q.Appliance)
	}
	p.partsOnVans(c, a.Causes)
	if !c.Bool("json") {
		p.page().Answer(a, c.Bool("full"), c.Bool("why"))
	} else if err := p.printJSON(a); err != nil {
		return a, err
	}
	if len(a.Causes) == 0 && a.Stop == nil && a.Proof == nil && !p.asksBack(c, a) {
		return a, errNothing
	}
	return a, nil
}

// asksBack reports whether an answer is a question to somebody who sits at a terminal.
func (p *program) asksBack(c *cli.Context, a advise.Answer) bool {
	return len(a.Asked()) > 0 && !c.Bool("json") && terminal(p.out) && terminal(os.Stdin)
}

// answerFrom reads the number of an answer to a question of so many things, the last
// being none of them. It is false where there is none.
func answerFrom(in io.Reader, out io.Writer, things int) (int, bool) {
	lines := bufio.NewScanner(in)
	for {
		fmt.Fprintf(out, "\nWhich, 1 to %d? (Enter to leave it) ", things+1)
		if !lines.Scan() {
			return 0, false
		}
		words := strings.TrimSpace(lines.Text())
		if words == "" {
			return 0, false
		}
		if n, ok := answerTo(words, things); ok && n <= things+1 {
			return n, true
		}
	}
}

func ids(names []string) []note.ID {
	var out []note.ID
	for _, n := range names {
		out = append(out, note.ID(n))
	}
	return out
}
