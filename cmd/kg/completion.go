package main

import (
	"fmt"

	"github.com/urfave/cli/v2"
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
