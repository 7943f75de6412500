package main

import (
	"fmt"
	"path/filepath"
	"strings"

	"github.com/urfave/cli/v2"

	"kg/internal/catalogue/lists"
	"kg/internal/parts"
	"kg/internal/spell"
)

func (p *program) partsCommand() *cli.Command {
	return command(&cli.Command{
		Name:  "parts",
		Usage: "take makers' lists of parts in, and give them out",
		Description: `A list of parts is a table (CSV) with a row for each number. docs/parts.md
describes its columns.

   kg parts import list.csv --map "Part No=number" --set maker=Skerryfold
   kg parts export all-parts.csv`,
		Subcommands: []*cli.Command{p.importCommand(), p.exportCommand()},
		Action: func(c *cli.Context) error {
			if c.Args().Present() {
				return wrongUsef("there is no command `parts %s`: use import or export, or `kg part %s` to look a part up", c.Args().First(), c.Args().First())
			}
			return wrongUsef("say what to do with lists of parts: `kg parts import FILE.csv` takes one in")
		},
	})
}

func (p *program) importCommand() *cli.Command {
	return command(&cli.Command{
		Name: "import", Usage: "take a list of parts into the team's catalogues", ArgsUsage: "FILE.csv",
		Description: `Reads a list row by row into catalogue/NAME.csv among the team's notes. Rows
that cannot be used are named with their lines and left out. Of two lists the
later date counts; taking the same list in again changes nothing.

   kg parts import list.csv --map "Part No=number" --set maker=Skerryfold
   kg parts import list.csv --map "Part No=number" --set maker=X --dry-run

--map gives a heading of the list its column, --set a column that the list
lacks its value: number, maker, type (a component of the notes), name,
status, fits, attributes, superseded-by, interchange, safety, contains,
price, space, date, source.`,
		Flags: []cli.Flag{
			&cli.StringSliceFlag{Name: "map", Usage: "the column `C` of a heading, HEADING=C"},
			&cli.StringSliceFlag{Name: "set", Usage: "the value `V` of a column, COLUMN=V"},
			&cli.StringFlag{Name: "encoding", Usage: "it is in `NAME`, like windows-1252", DefaultText: "UTF-8"},
			&cli.StringFlag{Name: "name", Usage: "`NAME` of the catalogue", DefaultText: "that of the file"},
			onOff("dry-run", "read and report, write nothing"),
			jsonFlag(),
		},
		Action: p.importParts,
	})
}

// pairsOf reads flags of the form KEY=VALUE.
func pairsOf(flag string, list []string) (map[string]string, error) {
	out := map[string]string{}
	for _, s := range list {
		key, value, ok := strings.Cut(s, "=")
		key, value = strings.TrimSpace(key), strings.TrimSpace(value)
		if !ok || key == "" || value == "" {
			return nil, wrongUsef("--%s takes two words with = between, not %q: see `kg parts import --help`", flag, s)
		}
		out[key] = value
	}
	return out, nil
}

func columnNamed(s string) (parts.Column, error) {
	var valid []string
	for _, c := range parts.Columns() {
		if string(c) == strings.ToLower(s) {
			return c, nil
		}
		valid = append(valid, string(c))
	}
	if near, ok := spell.Nearest(s, valid); ok {
		return "", wrongUsef("a list of parts has no column %q: did you mean %q?", s, near)
	}
	return "", wrongUsef("a list of parts has no column %q: columns are %s", s, strings.Join(valid, ", "))
}

func (p *program) importParts(c *cli.Context) error {
	if c.NArg() != 1 {
		return wrongUsef("import takes one file: kg parts import list.csv --map \"Part No=number\"")
	}
	o := lists.Importing{
		File: c.Args().First(), Into: filepath.Join(p.notesFolder(), lists.Folder), Name: c.String("name"),
		Encoding: c.String("encoding"), DryRun: c.Bool("dry-run"), Map: map[string]parts.Column{}, Defaults: map[parts.Column]string{},
	}
	mapped, err := pairsOf("map", c.StringSlice("map"))
	if err != nil {
		return err
	}
	for heading, column := range mapped {
		if o.Map[heading], err = columnNamed(column); err != nil {
			return err
		}
	}
	set, err := pairsOf("set", c.StringSlice("set"))
	if err != nil {
		return err
	}
	for column, value := range set {
		named, err := columnNamed(column)
		if err != nil {
			return err
		}
		o.Defaults[named] = value
	}
	done, err := lists.Import(c.Context, o)
	if err != nil {
		return err
	}
	if c.Bool("json") {
		err = p.printJSON(done)
	} else {
		p.nameLeftOut(done)
		p.page().ListImport(done)
	}
	if err == nil && (done.LeftOut > 0 && done.DryRun || done.LeftOut == done.Rows) {
		return errNothing
	}
	return err
}

// nameLeftOut names the first rows that were left out of a list.
func (p *program) nameLeftOut(done lists.Imported) {
	const most = 20
	for _, problem := range done.Problems[:min(most, len(done.Problems))] {
		fmt.Fprintln(p.err, problem.Error())
	}
	if more := done.LeftOut - most; more > 0 {
		fmt.Fprintf(p.err, "and %d more rows that were left out\n", more)
	}
}

func (p *program) exportCommand() *cli.Command {
	return command(&cli.Command{
		Name: "export", Usage: "write the parts of the library as a list", ArgsUsage: "[FILE.csv]",
		Description: `Writes one row for each number, to a file or to the screen. What comes out
can be taken in again with kg parts import.

   kg parts export all-parts.csv
   kg parts export --maker Skerryfold`,
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "maker", Usage: "only parts of `MAKER`"},
			&cli.StringFlag{Name: "type", Usage: "only parts of the component `ID`"},
			jsonFlag(),
		},
		Action: p.exportParts,
	})
}

func (p *program) exportParts(c *cli.Context) (err error) {
	if c.NArg() > 1 {
		return wrongUsef("export takes one file: kg parts export all-parts.csv")
	}
	lib, err := p.open(c.Context)
	if err != nil {
		return err
	}
	defer closing(lib.Close, &err)
	wanted := lists.Wanted{Maker: c.String("maker"), Type: c.String("type")}.Of(c.Context, lib.EachPart)
	if c.Bool("json") {
		list := []*parts.Part{}
		err := wanted(func(part *parts.Part) error {
			list = append(list, part)
			return c.Context.Err()
		})
		if err != nil {
			return err
		}
		return nothingIf(p.printJSON(list), len(list) == 0)
	}
	if c.NArg() == 0 {
		n, err := lists.Write(p.out, wanted)
		return nothingIf(err, n == 0)
	}
	n, err := lists.WriteFile(c.Args().First(), wanted)
	if err != nil {
		return err
	}
	p.page().ListExport(n, c.Args().First())
	return nothingIf(nil, n == 0)
}
