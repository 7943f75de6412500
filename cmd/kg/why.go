package main

import (
	"errors"
	"strings"

	"github.com/urfave/cli/v2"

	"kg/internal/advise"
	"kg/internal/job"
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
			q := advise.Question{Text: strings.Join(c.Args().Tail(), " "), Appliance: note.ID(c.String("appliance"))}
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
			r, err := advise.Why(c.Context, lib.Library, q, note.ID(c.Args().First()))
			var unrelated *advise.Unrelated
			switch {
			case errors.As(err, &unrelated):
				p.page().Sentence(unrelated.Error())
				return errNothing
			case err != nil:
				return wrongApplianceIsUse(err, q.Appliance)
			case c.Bool("json"):
				return p.printJSON(r)
			}
			p.page().Why(r)
			return nil
		},
	})
}
