package main

// Why flags are moved: urfave/cli v2 stops looking for flags at the first word, as
// the flag package of Go does, and takes what comes after it for words. People
// type what they see first and flags last.

import (
	"strings"

	"github.com/urfave/cli/v2"
)

// flagsFirst moves the flags of a command before its other arguments, so that
// `kg ask "no hot water" --json` is understood. Everything after "--" stays as it
// is. Where the last flag lacks its value, the words are left out, for the library
// to complain.
func flagsFirst(app *cli.App, args []string) []string {
	if len(args) < 2 || args[len(args)-1] == "--generate-bash-completion" {
		return args
	}
	flags, commands := app.Flags, app.Commands
	out := args[:1:1]
	rest := args[1:]
	for {
		var begin []string // flags and the name of the command
		var command *cli.Command
		for len(rest) > 0 && command == nil {
			word := rest[0]
			if strings.HasPrefix(word, "-") && word != "-" && word != "--" {
				n := 1 + takesValue(flags, word)
				n = min(n, len(rest))
				begin = append(begin, rest[:n]...)
				rest = rest[n:]
				continue
			}
			if command = named(commands, word); command == nil {
				break
			}
			begin = append(begin, word)
			rest = rest[1:]
		}
		out = append(out, begin...)
		if command == nil {
			break
		}
		flags, commands = command.Flags, command.Subcommands
	}
	var words []string
	for len(rest) > 0 {
		word := rest[0]
		if word == "--" {
			words = append(words, rest...)
			break
		}
		n := 1
		if isFlag(flags, word) {
			n += takesValue(flags, word)
			if n > len(rest) {
				// Its value is missing: no word may be taken for it.
				return append(out, word)
			}
			out = append(out, rest[:n]...)
		} else {
			words = append(words, word)
		}
		rest = rest[n:]
	}
	return append(out, words...)
}

func named(commands []*cli.Command, word string) *cli.Command {
	for _, c := range commands {
		if c.HasName(word) {
			return c
		}
	}
	return nil
}

// isFlag tells a flag from a word that begins with a dash by accident.
func isFlag(flags []cli.Flag, word string) bool {
	if !strings.HasPrefix(word, "-") || strings.ContainsAny(word, " \t") {
		return false
	}
	return len(word) > 1
}

// takesValue is 1 if the flag is followed by its value, else 0.
func takesValue(flags []cli.Flag, word string) int {
	name := strings.TrimLeft(word, "-")
	if strings.Contains(name, "=") {
		return 0
	}
	for _, f := range flags {
		for _, n := range f.Names() {
			if n != name {
				continue
			}
			if d, ok := f.(cli.DocGenerationFlag); ok && d.TakesValue() {
				return 1
			}
		}
	}
	return 0
}
