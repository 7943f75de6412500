package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/urfave/cli/v2"

	"kg/internal/advise"
	"kg/internal/job"
	"kg/internal/library/disk"
	"kg/internal/note"
	"kg/internal/present"
)

func (p *program) jobCommand() *cli.Command {
	return command(&cli.Command{
		Name:  "job",
		Usage: "a call-out that lasts: tell, test, mend, step by step",
		Description: `Keeps what was said, tested and done at a call-out, and works out the next
step from all of it. A job is a text file; where none is named the newest one
is meant, which "last" stands for too.

   kg job start "no hot water but heating is fine" --appliance skerry-c24
   kg job result 2
   kg job did clean-flow-sensor no
   kg job tell "pressure is falling as well"
   kg job next`,
		Subcommands: []*cli.Command{
			command(&cli.Command{
				Name: "start", Usage: "begin a job with what is wrong", ArgsUsage: "WORDS", BashComplete: p.completeAppliance,
				Description: `   kg job start "no hot water but heating is fine" --appliance skerry-c24`,
				Flags: append(slices.Concat(nextFlags(), givenFlags()), vanFlag(), jsonFlag(),
					&cli.StringFlag{Name: "appliance", Aliases: []string{"a"}, Usage: "the `ID` of the appliance; its codes first"}),
				Action: p.startJob,
			}),
			p.jobStep("tell", "[JOB] WORDS|NUMBER|no", "add what was seen, heard or found since", `Also the answer to a question that the job asks: its number, or "no". What is
said of a test counts as its result.

   kg job tell "the pump hums"`, 1, p.tellJob),
			p.jobStep("result", "[JOB] [TEST] RESULT", "add what a test found", `The result is named as the test has it, by a part of that, or by its number.
Without a test it is of the one that the job offers next.

   kg job result 3
   kg job result last test-diverter-pipe-heat "stays cool"`, 1, resultFound),
			p.jobStep("read", "[JOB] TEST VALUE ...", "add a figure that a meter showed in a test", `The figure is judged by the model that the test names, with what else is
known as KEY=VALUE (see "kg reading list"). Several of one test are of one
part.

   kg job read test-sensor-resistance 10.4k at=24C`, 2, func(_ context.Context, lib *disk.Library, _ job.Job, args []string) (job.Entry, error) {
				e := job.Entry{Kind: job.Read, Of: note.ID(args[0]), Result: strings.Join(args[1:], " ")}
				_, err := advise.Judge(lib.Library, advise.Read{Test: e.Of, Figures: e.Result})
				return e, err
			}),
			p.jobStep("did", "[JOB] [REMEDY] yes|no", "add a remedy, and whether it helped", `Without a remedy it is the one that the job offers next.

   kg job did clean-flow-sensor yes`, 1, remedyDone),
			p.jobStep("safe", "[JOB] WORDS", "note that what stopped the work was made safe", `By whom, and how it was proved. What was said before stops the work no more.

   kg job safe "network's engineer made it safe, tightness proved"`, 1, func(_ context.Context, _ *disk.Library, _ job.Job, args []string) (job.Entry, error) {
				words := strings.Join(args, " ")
				if strings.TrimSpace(words) == "" {
					return job.Entry{}, errors.New("say by whom it was made safe, and how that was proved")
				}
				return job.Entry{Kind: job.Safe, Words: words}, nil
			}),
			p.jobStep("undo", "[JOB]", "take back the last entry that counts", `Nothing is deleted: the job says that it was undone.

   kg job undo`, 0, func(context.Context, *disk.Library, job.Job, []string) (job.Entry, error) {
				return job.Entry{Kind: job.Undone}, nil
			}),
			p.jobStep("next", "[JOB]", "the causes now, and the next step", `   kg job next --who gas-licensed`, 0, nil),
			command(&cli.Command{
				Name: "show", Usage: "print what a job holds", ArgsUsage: "[JOB]", Description: "   kg job show",
				Flags: []cli.Flag{jsonFlag()}, Action: p.showJob,
			}),
			command(&cli.Command{
				Name: "list", Usage: "name all jobs", Description: "   kg job list",
				Flags: []cli.Flag{jsonFlag()}, Action: p.listJobs,
			}),
		},
		Action: func(c *cli.Context) error {
			if c.Args().Present() {
				return wrongUsef("there is no command `job %s`: use start, tell, result, read, did, safe, next, undo, show or list", c.Args().First())
			}
			return wrongUsef("say what to do with a job: `kg job start \"what is wrong\"` begins one")
		},
	})
}

func (p *program) jobs() job.Folder { return job.Folder{Path: filepath.Join(p.home, "jobs")} }

// job reads a job. What cannot be read of it is said, and the rest is used.
func (p *program) job(id job.ID) (job.Job, error) {
	j, problems, err := p.jobs().Read(id)
	for _, problem := range problems {
		fmt.Fprintln(p.err, problem)
	}
	return j, err
}

func (p *program) startJob(c *cli.Context) (err error) {
	words := strings.Join(c.Args().Slice(), " ")
	if strings.TrimSpace(words) == "" {
		return wrongUsef("say what is wrong: kg job start \"no hot water but heating is fine\"")
	}
	q := advise.Question{Text: words, Appliance: note.ID(c.String("appliance"))}
	if err := errors.Join(p.nextOf(c, &q), givenOf(c, &q)); err != nil {
		return err
	}
	lib, err := p.open(c.Context)
	if err != nil {
		return err
	}
	defer closing(lib.Close, &err)
	a, err := advise.Ask(c.Context, lib.Library, q)
	if err != nil {
		return wrongApplianceIsUse(err, q.Appliance)
	}
	id, err := p.jobs().Start(time.Now(), q)
	if err != nil {
		return p.homeUnusable(err)
	}
	j, err := p.job(id)
	if err != nil {
		return err
	}
	return p.printJob(c, j, a)
}

// newEntry makes an entry of the words of a command, for a job as it stands.
type newEntry func(context.Context, *disk.Library, job.Job, []string) (job.Entry, error)

// tellJob makes an entry of what is told: the answer to what the job asks, the result
// of a test, or what was seen or heard.
func (p *program) tellJob(ctx context.Context, lib *disk.Library, j job.Job, args []string) (job.Entry, error) {
	words := strings.TrimSpace(strings.Join(args, " "))
	if words == "" {
		return job.Entry{}, errors.New("say what was seen or heard")
	}
	state, err := advise.Ask(ctx, lib.Library, j.Question())
	if err != nil {
		return job.Entry{}, err
	}
	asked := state.Asked()
	if number, answers := answerTo(words, len(asked)); answers {
		switch {
		case len(asked) == 0:
			return job.Entry{}, fmt.Errorf("job %s asks nothing now: say what was seen or heard in words", j.ID)
		case number > len(asked)+1:
			return job.Entry{}, fmt.Errorf("there is no answer %d: say a number from 1 to %d", number, len(asked)+1)
		case number == len(asked)+1:
			return job.Entry{Kind: job.Not, These: asked}, nil
		}
		return job.Entry{Kind: job.Means, These: asked[number-1 : number]}, nil
	}
	var waited []note.ID
	if n := state.Next; n != nil && n.Kind == advise.StepTest {
		waited = append(waited, n.ID)
	}
	told, clear, err := advise.Told(ctx, lib.Library, words, waited)
	if err != nil {
		return job.Entry{}, err
	}
	if clear {
		return job.Entry{Kind: job.Tested, Of: told.Test, Result: told.Result}, nil
	}
	return job.Entry{Kind: job.Said, Words: words}, nil
}

// answerTo is the number of an answer to a question of so many things, the last being
// none of them.
func answerTo(words string, things int) (int, bool) {
	plain := strings.Join(strings.FieldsFunc(strings.ToLower(words), func(r rune) bool { return strings.ContainsRune(" .,!;", r) }), " ")
	switch strings.TrimPrefix(plain, "no ") {
	case "no", "nope", "none", "neither", "none of these", "none of them", "none of that", "none of those":
		return things + 1, true
	case "yes":
		return 1, true
	}
	n, err := strconv.Atoi(words)
	return n, err == nil && n > 0
}

// jobStep is a command that adds an entry to a job, if any, and says where the
// job stands then.
func (p *program) jobStep(name, args, usage, description string, least int, entry newEntry) *cli.Command {
	return command(&cli.Command{
		Name: name, Usage: usage, ArgsUsage: args, Description: description,
		Flags: append(nextFlags(), vanFlag(), jsonFlag()),
		Action: func(c *cli.Context) (err error) {
			id, words := p.jobNamed(c.Args().Slice(), least)
			if len(words) < least || least == 0 && len(words) > 0 {
				return wrongUsef("`kg job %s` takes %s", name, args)
			}
			j, err := p.job(id)
			if err != nil {
				return err
			}
			lib, err := p.open(c.Context)
			if err != nil {
				return err
			}
			defer closing(lib.Close, &err)
			if entry != nil {
				e, err := entry(c.Context, lib, j, words)
				if err != nil {
					return wrongUse(err)
				}
				if err := p.warn(c.Context, lib, j, e); err != nil {
					return err
				}
				last, _ := j.Last()
				if err := p.addEntry(&j, e); err != nil {
					return err
				}
				switch {
				case e.Kind == job.Undone:
					p.aside(c).TakenBack(last)
				case name == "tell" && e.Kind == job.Tested:
					p.aside(c).HeardAsResult(j.ID, e.Of, e.Result)
				}
			}
			if j.Solved() && !c.Bool("json") {
				return p.solved(c.Context, lib, j)
			}
			q := j.Question()
			if err := p.nextOf(c, &q); err != nil {
				return err
			}
			if q.Text == "" && len(q.Results)+len(q.Readings) == 0 {
				p.page().JobEmpty(j.ID)
				return errNothing
			}
			a, err := advise.Ask(c.Context, lib.Library, q)
			if err != nil {
				return err
			}
			return p.printJob(c, j, a)
		},
	})
}

// warn says for which dangers an entry of a job should not have been done.
func (p *program) warn(ctx context.Context, lib *disk.Library, j job.Job, e job.Entry) error {
	switch e.Kind {
	case job.Tested, job.Read, job.Did:
	default:
		return nil
	}
	bars, err := advise.Bars(ctx, lib.Library, j.Question(), e.Of)
	if err == nil {
		present.NewPage(p.err, present.Columns, false).Barred(e, bars)
	}
	return err
}

// aside begins a page for what is said beside the answer: on standard error where
// another program reads the answer.
func (p *program) aside(c *cli.Context) *present.Page {
	if c.Bool("json") {
		return present.NewPage(p.err, present.Columns, false)
	}
	return p.page()
}

// addEntry adds an entry to a job, as of now.
func (p *program) addEntry(j *job.Job, e job.Entry) error {
	e.At = time.Now()
	if e.Kind == job.Undone {
		if _, any := j.Last(); !any {
			return wrongUsef("job %s has nothing left to take back", j.ID)
		}
	}
	if err := p.jobs().Add(j.ID, e); err != nil {
		return err
	}
	j.Entries = append(j.Entries, e)
	return nil
}

// jobNamed takes the job off the words of a command, of which so many say something else;
// where they begin with none it is the last one.
func (p *program) jobNamed(words []string, least int) (job.ID, []string) {
	if len(words) > 0 && (least == 0 || p.jobs().Names(job.ID(words[0]))) {
		return job.ID(words[0]), words[1:]
	}
	return job.Last, words
}

// offered is the next step of a job, where it is of a kind.
func offered(ctx context.Context, lib *disk.Library, j job.Job, kind advise.StepKind) (note.ID, error) {
	a, err := advise.Ask(ctx, lib.Library, j.Question())
	if err != nil {
		return "", err
	}
	if a.Next == nil || a.Next.Kind != kind {
		return "", fmt.Errorf("job %s offers no %s now: name the one that you mean", j.ID, kind)
	}
	return a.Next.ID, nil
}

// resultFound is the result of a test that is named, or of the one that a job offers.
func resultFound(ctx context.Context, lib *disk.Library, j job.Job, args []string) (job.Entry, error) {
	test, said := note.ID(args[0]), args[1:]
	if len(args) == 1 {
		var err error
		if test, err = offered(ctx, lib, j, advise.StepTest); err != nil {
			return job.Entry{}, err
		}
		said = args
	}
	result, err := advise.ResultOf(lib.Library, test, strings.Join(said, " "))
	return job.Entry{Kind: job.Tested, Of: test, Result: result}, err
}

// remedyDone is a remedy that is named, or that a job offers, and whether it helped.
func remedyDone(ctx context.Context, lib *disk.Library, j job.Job, args []string) (job.Entry, error) {
	if len(args) == 1 {
		remedy, err := offered(ctx, lib, j, advise.StepRepair)
		if err != nil {
			return job.Entry{}, err
		}
		args = append([]string{string(remedy)}, args...)
	}
	e := job.Entry{Kind: job.Did, Of: note.ID(args[0])}
	rec, err := lib.Entry(e.Of)
	if err != nil {
		return e, err
	}
	if k := rec.Entry.Head().Kind; k != note.KindRemedy {
		return e, fmt.Errorf("%q is a %s: name the repair or stop-gap that was done", e.Of, k)
	}
	switch strings.ToLower(strings.Join(args[1:], " ")) {
	case "yes", "y", "helped":
		e.Helped = true
	case "no", "n", "did not help":
	default:
		return e, fmt.Errorf("say whether it helped: yes or no")
	}
	return e, nil
}

// printJob prints where a job stands: in short, with the next step in full.
func (p *program) printJob(c *cli.Context, j job.Job, a advise.Answer) error {
	p.partsOnVans(c, a.Causes)
	if c.Bool("json") {
		return p.printJSON(present.JobAnswerJSON{Job: j.ID, Answer: a})
	}
	p.page().JobState(j, a)
	if len(a.Causes) == 0 && a.Stop == nil && a.Proof == nil {
		return errNothing
	}
	return nil
}

// solved prints what is left to do once a remedy has helped.
func (p *program) solved(ctx context.Context, lib *disk.Library, j job.Job) error {
	last, _ := j.Last()
	rec, err := lib.Entry(last.Of)
	if err != nil {
		return err
	}
	r, ok := rec.Entry.(*note.Remedy)
	if !ok {
		return fmt.Errorf("%q is not a remedy any more: `kg job show %s` prints what the job holds", last.Of, j.ID)
	}
	behind, err := advise.Behind(ctx, lib.Library, last.Of)
	if err != nil {
		return err
	}
	p.page().Solved(j, r, behind)
	return nil
}

func (p *program) showJob(c *cli.Context) error {
	id, words := p.jobNamed(c.Args().Slice(), 0)
	if len(words) > 0 {
		return wrongUsef("show takes one job: kg job show last")
	}
	j, problems, err := p.jobs().Read(id)
	if err != nil {
		return err
	}
	if c.Bool("json") {
		err = p.printJSON(present.NewJobJSON(j, p.jobs().File(j.ID), problems))
	} else {
		for _, problem := range problems {
			fmt.Fprintln(p.err, problem)
		}
		p.page().Job(j, p.jobs().File(j.ID))
	}
	if err == nil && len(problems) > 0 {
		return fmt.Errorf("%d %s of job %s cannot be read: mend the file, or go on without", len(problems), present.Plural(len(problems), "line", "lines"), j.ID)
	}
	return err
}

func (p *program) listJobs(c *cli.Context) error {
	if err := noWords(c); err != nil {
		return err
	}
	ids, err := p.jobs().List()
	if err != nil {
		return err
	}
	if c.Bool("json") {
		return p.printJSON(present.OrEmpty(ids))
	}
	for _, id := range ids {
		j, err := p.job(id)
		if err != nil {
			return err
		}
		p.page().JobTitle(j)
	}
	if len(ids) == 0 {
		p.page().NoJobs()
		return errNothing
	}
	return nil
}
