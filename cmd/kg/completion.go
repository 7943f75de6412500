package main

import (
	"fmt"
	"os"

	"github.com/urfave/cli/v2"

	"kg/internal/library/disk"
	"kg/internal/note"
)

// The scripts hand the line so far to the program, which lists what may follow.
const (
	bashCompletion = `_kg_complete() {
  local so_far=("${COMP_WORDS[@]:0:$COMP_CWORD}")
  COMPREPLY=($(compgen -W "$("${so_far[@]}" --generate-bash-completion 2>/dev/null)" -- "${COMP_WORDS[COMP_CWORD]}"))
}
complete -o default -F _kg_complete kg
`
	zshCompletion = `#compdef kg
_kg_complete() {
  local -a choices
  choices=("${(@f)$("${words[@]:0:$((CURRENT-1))}" --generate-bash-completion 2>/dev/null)}")
  compadd -a choices
}
compdef _kg_complete kg
`
)

func (p *program) completionCommand() *cli.Command {
	return command(&cli.Command{
		Name:        "completion",
		Usage:       "print a script that lets a shell complete commands",
		ArgsUsage:   "bash|zsh",
		Description: `   source <(kg completion bash)`,
		Action: func(c *cli.Context) error {
			switch c.Args().First() {
			case "bash":
				fmt.Fprint(p.out, bashCompletion)
			case "zsh":
				fmt.Fprint(p.out, zshCompletion)
			default:
				return wrongUsef("name the shell: kg completion bash, or kg completion zsh")
			}
			return nil
		},
	})
}

// complete prints the ids of some kinds of entries, for the shell to choose from.
// It prints nothing where there is no library, and builds none.
func (p *program) complete(kinds ...note.Kind) cli.BashCompleteFunc {
	return func(c *cli.Context) {
		lib, err := disk.Open(p.store())
		if err != nil {
			return
		}
		defer lib.Close()
		for _, k := range kinds {
			titles, err := lib.List(k)
			if err != nil {
				return
			}
			for _, t := range titles {
				fmt.Fprintln(p.out, t.ID)
			}
		}
	}
}

// completeKinds prints the kinds of entries.
func (p *program) completeKinds(*cli.Context) {
	for _, k := range note.Kinds() {
		fmt.Fprintln(p.out, k)
	}
}

// completeAppliance prints the appliances after --appliance, else the flags.
func (p *program) completeAppliance(c *cli.Context) {
	words := os.Args[:max(len(os.Args)-1, 0)] // the last asks for completion
	if len(words) > 0 && (words[len(words)-1] == "--appliance" || words[len(words)-1] == "-a") {
		p.complete(note.KindAppliance)(c)
		return
	}
	for _, f := range c.Command.Flags {
		fmt.Fprintln(p.out, "--"+f.Names()[0])
	}
}
