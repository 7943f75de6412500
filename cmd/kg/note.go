package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"

	"github.com/urfave/cli/v2"

	"kg/data"
	"kg/internal/note"
)

func (p *program) noteCommand() *cli.Command {
	return command(&cli.Command{
		Name:  "note",
		Usage: "the team's own notes",
		Description: `The team's notes lie in a folder of their own, beside the shipped ones, and
are read by every build. A note with the kind and id of a shipped one stands
in for it.

   kg note new mode "Pressure hose kinked"
   kg note folder`,
		Subcommands: []*cli.Command{
			command(&cli.Command{
				Name:         "new",
				Usage:        "begin a note of a kind, from a scaffold",
				ArgsUsage:    "KIND [NAME]",
				BashComplete: p.completeKinds,
				Description: `Writes a note with the fields of its kind, ready to be filled in with any
editor, and prints where it is. The id is made from the name.

   kg note new symptom "Radiator sings"
   kg note new mode pump-seized --override`,
				Flags: []cli.Flag{
					onOff("override", "begin from the shipped note of that id, to stand in for it"),
					jsonFlag(),
				},
				Action: p.newNote,
			}),
			command(&cli.Command{
				Name:        "folder",
				Usage:       "print the folder of the team's notes",
				Description: "   kg note folder",
				Action: func(c *cli.Context) error {
					if err := noWords(c); err != nil {
						return err
					}
					fmt.Fprintln(p.out, p.notesFolder())
					return nil
				},
			}),
		},
		Action: func(c *cli.Context) error {
			if c.Args().Present() {
				return wrongUsef("there is no command `note %s`: use `kg note new KIND` or `kg note folder`", c.Args().First())
			}
			return cli.ShowSubcommandHelp(c)
		},
	})
}

func (p *program) newNote(c *cli.Context) error {
	kind, ok := note.ParseKind(c.Args().First())
	if !ok {
		if !c.Args().Present() {
			return wrongUsef("say which kind of note: kg note new symptom \"Radiator sings\"")
		}
		return wrongUse(unknownKind(c.Args().First()))
	}
	name := strings.TrimSpace(strings.Join(c.Args().Tail(), " "))
	text := note.Scaffold(kind, name)
	if shipped, err := fs.ReadFile(data.Notes, path.Join(string(kind), string(note.Slug(name))+".md")); err == nil {
		if !c.Bool("override") {
			return wrongUsef("there is a shipped %s %q: choose another name, or add --override to begin from its text and stand in for it", kind, note.Slug(name))
		}
		text = shipped
	} else if c.Bool("override") {
		return wrongUsef("there is no shipped %s %q to override: `kg list %s` names them", kind, note.Slug(name), kind.Plural())
	}
	folder := filepath.Join(p.notesFolder(), string(kind))
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return p.homeUnusable(fmt.Errorf("making the folder of the team's notes: %w", err))
	}
	file, err := create(folder, kind, name, text)
	if err != nil {
		return err
	}
	if c.Bool("json") {
		return p.printJSON(map[string]string{"file": file})
	}
	fmt.Fprintln(p.out, file)
	fmt.Fprintln(p.err, "fill it in, check it with `kg lint`, take it in with `kg build`")
	return nil
}

// create writes the text of a note whose file must not exist yet. Without a
// name it takes the first free one of new-mode, new-mode-2 ...
func create(folder string, kind note.Kind, name string, text []byte) (string, error) {
	id := note.Slug(name)
	if name != "" && id == "" {
		return "", wrongUsef("no id can be made of %q: give a short name with Latin letters or digits", name)
	}
	for n := 1; ; n++ {
		try := id
		if name == "" {
			try = note.ID("new-" + string(kind))
			if n > 1 {
				try = note.ID(fmt.Sprintf("new-%s-%d", kind, n))
			}
		}
		file := filepath.Join(folder, string(try)+".md")
		f, err := os.OpenFile(file, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
		if errors.Is(err, os.ErrExist) && name == "" {
			continue
		}
		if errors.Is(err, os.ErrExist) {
			return "", wrongUsef("there is a note already: %s: edit it, or choose another name", file)
		}
		if err != nil {
			return "", fmt.Errorf("writing the note: %w", err)
		}
		_, err = f.Write(text)
		if err := errors.Join(err, f.Close()); err != nil {
			return "", fmt.Errorf("writing the note %s: %w", file, err)
		}
		return file, nil
	}
}
