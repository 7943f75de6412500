package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"kg/internal/catalogue"
	"kg/internal/generation"
	"kg/internal/job"
	"kg/internal/library"
	"kg/internal/note"
	"kg/internal/spell"
)

// The exit statuses.
const (
	exitAnswered = 0
	exitNothing  = 1
	exitWrongUse = 2
	exitUnusable = 3
)

const exitHelp = `Exit status: 0 answered, 1 nothing found or a check failed, 2 wrong use,
3 the library or a file is unusable.`

// errNothing ends a command that has already said that it found nothing.
var errNothing = errors.New("")

// nothingIf ends a command that has found nothing, where it has not failed.
func nothingIf(err error, nothing bool) error {
	if err == nil && nothing {
		return errNothing
	}
	return err
}

// usageError is a command line that makes no sense.
type usageError struct{ error }

func (e usageError) Unwrap() error { return e.error }

func wrongUse(err error) error { return usageError{err} }

func wrongUsef(format string, args ...any) error { return usageError{fmt.Errorf(format, args...)} }

// exitStatus is the table of errors and exit statuses.
func exitStatus(err error) int {
	var usage usageError
	var notFound *library.NotFound
	var noJob *job.Missing
	switch {
	case err == nil:
		return exitAnswered
	case errors.As(err, &usage):
		return exitWrongUse
	case errors.Is(err, errNothing), wrongNumber(err), errors.As(err, &notFound), errors.As(err, &noJob):
		return exitNothing
	case errors.Is(err, context.Canceled):
		return exitNothing
	case errors.Is(err, generation.ErrDamaged), errors.Is(err, generation.ErrNone), errors.Is(err, generation.ErrOtherFormat):
		return exitUnusable
	}
	return exitUnusable
}

// wrongFlag says in the words of this program what the command line library
// found wrong with a flag, and what to type instead.
func wrongFlag(c *cli.Context, err error) error {
	name, flags := c.App.HelpName, c.App.Flags
	if c.Command != nil && c.Command.HelpName != "" {
		name, flags = c.Command.HelpName, c.Command.Flags
	}
	help := fmt.Sprintf("`%s --help` lists what it takes", name)
	said := err.Error()
	if flag, ok := strings.CutPrefix(said, "flag provided but not defined: -"); ok {
		flag = strings.TrimLeft(flag, "-")
		var valid []string
		for _, f := range flags {
			valid = append(valid, f.Names()...)
		}
		if near, ok := spell.Nearest(flag, valid); ok {
			return wrongUsef("`%s` has no flag --%s: did you mean --%s?", name, flag, near)
		}
		return wrongUsef("`%s` has no flag --%s: %s", name, flag, help)
	}
	if flag, ok := strings.CutPrefix(said, "flag needs an argument: -"); ok {
		return wrongUsef("--%s needs a value after it: %s", strings.TrimLeft(flag, "-"), help)
	}
	return wrongUsef("%s: %s", strings.Replace(said, "for flag -", "for --", 1), help)
}

func unknownCommand(app *cli.App, name string) error {
	if near, ok := nearCommand(app, name); ok {
		return fmt.Errorf("there is no command %q: did you mean `kg %s`?", name, near)
	}
	return fmt.Errorf("there is no command %q: `kg --help` lists them; to ask about a fault, type `kg ask \"%s ...\"`", name, name)
}

func unknownKind(s string) error {
	var valid []string
	for _, k := range note.Kinds() {
		valid = append(valid, string(k))
	}
	if near, ok := spell.Nearest(s, valid); ok {
		return fmt.Errorf("there is no kind %q: did you mean %q?", s, near)
	}
	return fmt.Errorf("there is no kind %q: the kinds are %s", s, strings.Join(valid, ", "))
}

// wrongApplianceIsUse makes an unknown appliance an error of the command line.
func wrongApplianceIsUse(err error, appliance note.ID) error {
	var missing *library.NotFound
	switch {
	case !errors.As(err, &missing) || missing.ID != appliance:
		return err
	case missing.Nearest == "":
		return wrongUsef("there is no appliance %q: `kg list appliances` names them", appliance)
	}
	return wrongUse(missing)
}

// wrongNumber makes an error of a number that is not one part's.
func wrongNumber(err error) bool {
	var missing *catalogue.PartNotFound
	var several *catalogue.AmbiguousPart
	return errors.As(err, &missing) || errors.As(err, &several)
}

// nearCommand is the command that a word may be a slip of.
func nearCommand(app *cli.App, name string) (string, bool) {
	var valid []string
	for _, c := range app.Commands {
		valid = append(valid, c.Name)
	}
	return spell.Nearest(name, valid)
}

// slipOf reports whether a word that begins a question is rather a slip of the fingers in a
// command: letters in another order, or one off behind the first.
func slipOf(word, command string) bool {
	sorted := func(s string) string {
		letters := []byte(s)
		slices.Sort(letters)
		return string(letters)
	}
	return sorted(word) == sorted(command) || word[0] == command[0] && spell.Changes(word, command) == 1
}
