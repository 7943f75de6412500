package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"log"
	"os"

	"github.com/urfave/cli/v2"
	"golang.org/x/term"

	"kg/internal/generation"
	"kg/internal/present"
)

// program is what all commands share: where to print, and where things are.
type program struct {
	out, err io.Writer
	home     string
	noHelp   error // help was asked for on what is not a command
}

// run executes one command line and returns the exit status. What libraries log
// goes to a buffer that is shown only when the command fails.
func run(ctx context.Context, args []string, out, errOut io.Writer) int {
	var logged bytes.Buffer
	log.SetOutput(&logged)
	kept := &faithful{w: out}
	p := &program{out: kept, err: errOut}
	app := p.app()
	err := app.RunContext(ctx, flagsFirst(app, args))
	if err == nil {
		err = p.noHelp
	}
	if kept.err != nil && (err == nil || errors.Is(err, errNothing)) {
		err = fmt.Errorf("printing the answer: %w", kept.err)
	}
	code := exitStatus(err)
	if errors.Is(err, context.Canceled) {
		err = errors.New("stopped; the library in use is unchanged")
	}
	if err != nil && err.Error() != "" {
		fmt.Fprintln(errOut, "kg:", err)
		if code == exitUnusable && logged.Len() > 0 {
			io.Copy(errOut, &logged)
		}
	}
	return code
}

// faithful remembers that something could not be written, so that an answer that
// was lost is not taken for one that was given.
type faithful struct {
	w   io.Writer
	err error
}

func (f *faithful) Write(b []byte) (int, error) {
	n, err := f.w.Write(b)
	if err != nil && f.err == nil {
		f.err = err
	}
	return n, err
}

func (p *program) app() *cli.App {
	return &cli.App{
		Name:  "kg",
		Usage: "from what is seen to the cause, the test, the part and the repair",
		Description: `Say what you see, in your own words, or type the code on the display. kg
answers from notes that engineers wrote: the likely causes, the tests that
settle them, the part types, the repair and the stop-gap, and what happens if
it is left. It needs no network.

   kg ask "pressure not rising on pump start"
   kg ask B14 --appliance skerry-c24

kg informs people who are competent and, where the law asks for it, licensed.
It never replaces the maker's instructions, local rules or licensed practice.

` + exitHelp,
		HideVersion:          true,
		EnableBashCompletion: true,
		Writer:               p.out,
		ErrWriter:            p.err,
		ExitErrHandler:       func(*cli.Context, error) {},
		OnUsageError:         func(c *cli.Context, err error, _ bool) error { return wrongFlag(c, err) },
		CommandNotFound: func(c *cli.Context, name string) {
			// Only `kg help NAME` gets here, and cannot return an error.
			p.noHelp = wrongUse(unknownCommand(c.App, name))
		},
		Before: func(*cli.Context) error {
			if p.home == "" { // KG_HOME may be set and empty
				p.home = defaultHome()
			}
			if p.home == "" {
				return wrongUsef("the system names no home folder: set HOME, or name a folder with --home or KG_HOME")
			}
			return nil
		},
		Action: func(c *cli.Context) error {
			if c.Bool("version") {
				p.page().Version(buildOf())
				return nil
			}
			words := c.Args().Slice()
			if len(words) == 0 {
				return cli.ShowAppHelp(c)
			}
			if near, ok := nearCommand(c.App, words[0]); len(words) == 1 || ok && slipOf(words[0], near) {
				return wrongUse(unknownCommand(c.App, words[0]))
			}
			// Several words are what somebody sees, not a command.
			return c.App.Command("ask").Run(c, append([]string{"ask", "--"}, words...)...)
		},
		Flags: []cli.Flag{
			onOff("version", "print the version of the program, and of what it was built from"),
			&cli.StringFlag{
				Name: "home", EnvVars: []string{"KG_HOME"}, Destination: &p.home,
				Usage: "keep library and notes in `DIR`", Value: defaultHome(), DefaultText: "user data",
			},
		},
		Commands: []*cli.Command{
			p.askCommand(), p.whyCommand(), p.jobCommand(), p.chartCommand(),
			p.partCommand(), p.partsCommand(), p.stockCommand(),
			p.readingCommand(), p.cardCommand(), p.costCommand(),
			p.findCommand(), p.showCommand(), p.chainCommand(), p.listCommand(),
			p.noteCommand(), p.lintCommand(), p.buildCommand(), p.checkCommand(), p.completionCommand(),
		},
	}
}

func (p *program) store() generation.Store { return generation.Store{Root: p.libraryFolder()} }

// command fills in what all commands have in common.
func command(c *cli.Command) *cli.Command {
	c.OnUsageError = func(c *cli.Context, err error, _ bool) error { return wrongFlag(c, err) }
	c.Description += "\n\n" + exitHelp
	return c
}

// noWords refuses arguments to a command that takes none.
func noWords(c *cli.Context) error {
	if c.Args().Present() {
		return wrongUsef("`%s` takes no words: leave %q out", c.Command.HelpName, c.Args().First())
	}
	return nil
}

func onOff(name, usage string) cli.Flag {
	return &cli.BoolFlag{Name: name, Usage: usage, DisableDefaultText: true}
}

func jsonFlag() cli.Flag { return onOff("json", "print JSON instead of text") }

// page begins a page for standard output, with colours where they are wanted.
func (p *program) page() *present.Page {
	colour := terminal(p.out) && os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"
	return present.NewPage(p.out, columns(p.out), colour)
}

// columns is how wide a page is: as wide as the terminal, within reason.
func columns(w io.Writer) int {
	if f, ok := file(w); ok {
		if wide, _, err := term.GetSize(int(f.Fd())); err == nil {
			return min(max(wide, present.Narrowest), present.Widest)
		}
	}
	return present.Columns
}

func (p *program) printJSON(v any) error { return present.JSON(p.out, v) }

// terminal reports whether a writer is a terminal.
func terminal(w io.Writer) bool {
	f, ok := file(w)
	return ok && term.IsTerminal(int(f.Fd()))
}

// file is the file that a writer writes to, if it is one.
func file(w io.Writer) (*os.File, bool) {
	if k, ok := w.(*faithful); ok {
		w = k.w
	}
	f, ok := w.(*os.File)
	return f, ok
}
