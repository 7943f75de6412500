package main

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"github.com/urfave/cli/v2"

	"kg/internal/job"
	"kg/internal/library"
	"kg/internal/note"
)

func (p *program) whyCommand() *cli.Command {
	return command(&cli.Command{
		Name:         "why",
		Usage:        "explain how likely a cause is: what speaks for it, what against",
		ArgsUsage:    "MODE WORDS",
		BashComplete: p.complete(note.KindMode),
		Description: `Weighs what you see, or what a job has found so far: what each finding does
to one cause, which finding decides what comes first, and which figures of
which notes it all rests on.

   kg why pump-seized "no heat, pump hums but does not turn"
   kg why diverter-valve-stuck-heating --job last`,
		Flags: append(givenFlags(),
			&cli.StringFlag{Name: "appliance", Aliases: []string{"a"}, Usage: "only what this `ID` has"},
			&cli.StringFlag{Name: "job", Usage: "weigh what this `JOB` has found"},
			jsonFlag(),
		),
		Action: func(c *cli.Context) (err error) {
			if c.NArg() == 0 || c.NArg() == 1 && c.String("job") == "" {
				return wrongUsef("say which cause, and what you see: kg why pump-seized \"no heat, pump hums\"")
			}
			q := library.Question{Text: strings.Join(c.Args().Tail(), " "), Appliance: note.ID(c.String("appliance"))}
			if id := job.ID(c.String("job")); id != "" {
				j, err := p.job(id)
				if err != nil {
					return err
				}
				more := q.Text
				if q = j.Question(); more != "" {
					q.More = append(q.More, more)
				}
			}
			if err := givenOf(c, &q); err != nil {
				return err
			}
			lib, err := p.open(c.Context)
			if err != nil {
				return err
			}
			defer closing(lib.Close, &err)
			r, err := lib.Why(c.Context, q, note.ID(c.Args().First()))
			var unrelated *library.Unrelated
			switch {
			case errors.As(err, &unrelated):
				p.page().labelled(0, "", 0, sentence(unrelated.Error()))
				return errNothing
			case err != nil:
				return wrongApplianceIsUse(err, q.Appliance)
			case c.Bool("json"):
				return p.printJSON(r)
			}
			p.page().reasons(r)
			return nil
		},
	})
}

// sentence makes a message a sentence.
func sentence(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:] + "."
}

func (g *page) reasons(r library.Reasons) {
	c := r.Cause
	g.heading(fmt.Sprintf("%s: %s", c.ComponentName, c.Name))
	g.labelled(1, "now", 8, fmt.Sprintf("%s, place %d among the causes", library.InWords(c.Probability), r.Rank))
	g.labelled(1, "before", 8, fmt.Sprintf("%.3g in 1000 call-outs, when nothing is known", 1000*c.Prior))
	g.labelled(1, "chain", 8, chain(c))
	g.gap()
	g.heading("What each finding does to it, as if it were the last one to be heard")
	names := findingNames(r.Findings)
	for _, w := range c.Weights {
		g.labelled(1, fmt.Sprintf("%+.1f", w.Decibans), 8, fmt.Sprintf("%s: %s", nameOr(names, w.Finding), oddsTimes(w.Decibans)))
	}
	g.labelled(1, "", 8, "The figures are decibans: ten of them make the odds ten times as high.")
	g.gap()
	g.heading("What would change the first place")
	for _, t := range r.Turns {
		how := "the other way"
		if t.Otherwise != "" {
			how = fmt.Sprintf("%q instead", t.Otherwise)
		}
		g.labelled(1, "", 0, fmt.Sprintf("%s, %s: %s would come first, at %s.", nameOr(names, t.Finding), how, t.FirstName, library.InWords(t.Probability)))
	}
	if len(r.Turns) == 0 {
		g.labelled(1, "", 0, "No single finding, if it were the other way.")
	}
	g.conflicts(r.Conflicts, names)
	g.gap()
	g.heading("What it rests on")
	for _, f := range r.Figures {
		says := fmt.Sprintf("%s: %s", f.Says, figureText(f.Stated))
		if math.Abs(f.Used-f.Stated) > 0.01*f.Stated {
			says += fmt.Sprintf(", used as %s to fit the usual causes that symptoms state", figureText(f.Used))
		}
		g.labelled(1, "", 0, fmt.Sprintf("%s (%s)", says, f.Note))
		if f.Source != "" {
			g.labelled(3, "", 0, "source: "+f.Source)
		}
	}
}

// oddsTimes says in words what a weight of evidence does.
func oddsTimes(decibans float64) string {
	switch times := math.Pow(10, math.Abs(decibans)/10); {
	case times < 1.1:
		return "says next to nothing about it"
	case decibans > 0:
		return fmt.Sprintf("makes the odds %.3g times as high", times)
	default:
		return fmt.Sprintf("makes the odds %.3g times lower", times)
	}
}

func figureText(p float64) string {
	if p < 0.05 {
		return fmt.Sprintf("%.3g in 1000", 1000*p)
	}
	return fmt.Sprintf("%.3g", p)
}
