package main

import (
	"slices"
	"strings"
	"time"

	"github.com/urfave/cli/v2"

	"kg/internal/advise"
	"kg/internal/diagnose"
	"kg/internal/note"
)

// nextFlags are the flags that bear on the next step.
func nextFlags() []cli.Flag {
	return []cli.Flag{
		&cli.StringFlag{Name: "who", Usage: "next only what `WHO` may do, or several with commas"},
		&cli.Float64Flag{Name: "confidence", Usage: "no part before its cause is at `P`", Value: diagnose.Confidence},
		&cli.DurationFlag{Name: "think", Usage: "look ahead for `TIME`, like 2s", DefaultText: "some 5 ms"},
	}
}

// givenFlags are the flags that say what is known beforehand.
func givenFlags() []cli.Flag {
	return []cli.Flag{
		&cli.StringFlag{Name: "given", Usage: "what is known: `FACTS` like frost,old"},
		&cli.StringFlag{Name: "worked-on", Usage: "someone lately worked on this component `ID`"},
	}
}

// givenOf reads the flags of givenFlags into a question.
func givenOf(c *cli.Context, q *advise.Question) error {
	for _, word := range strings.FieldsFunc(c.String("given"), separator) {
		given := note.Context(word)
		if !slices.Contains(note.Contexts(), given) || given == note.WorkedOn {
			return wrongUsef("--given %q is not known: one of frost, summer, first-cold-days, new, old, or several with commas", word)
		}
		q.Given = append(q.Given, given)
	}
	for _, id := range strings.FieldsFunc(c.String("worked-on"), separator) {
		q.WorkedOn = append(q.WorkedOn, note.ID(id))
	}
	return nil
}

// separator reports what stands between the words of a list.
func separator(r rune) bool { return r == ',' || r == ' ' }

// longestThink bounds how long one question may hold the machine.
const longestThink = time.Minute

// nextOf reads the flags of nextFlags into a question, and what the team's work costs.
func (p *program) nextOf(c *cli.Context, q *advise.Question) error {
	for _, word := range strings.Split(c.String("who"), ",") {
		if word = strings.Join(strings.Fields(word), " "); word == "" {
			continue
		}
		who, ok := note.CompetenceOf(word)
		if !ok {
			return wrongUsef("--who %q is not a competence: one of %s, or several with commas", word, note.Choices(note.Competences()))
		}
		q.Who = append(q.Who, who)
	}
	if q.Confidence = c.Float64("confidence"); !(q.Confidence > 0 && q.Confidence < 1) {
		return wrongUsef("--confidence takes a probability between 0 and 1, like 0.9")
	}
	if q.Think = c.Duration("think"); q.Think < 0 || q.Think > longestThink {
		return wrongUsef("--think takes a time from 0 to %s, like 2s", longestThink)
	}
	p.costsOf(q)
	return nil
}
