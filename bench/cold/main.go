// Command cold times `kg ask` as a whole process, cold in the sense that each
// run starts a new process, beside an empty Go program and the sqlite3 shell
// answering the same words from an FTS5 table of the same notes. The three take
// turns, so that a change in the machine's speed meets all of them; what is
// worth quoting is the ratio of the medians.
//
//	go run ./bench/cold [-runs 21] [-notes 20000]
//
// It needs go and sqlite3 (Debian: sqlite3) on the machine.
package main

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	"kg/bench/process"
	"kg/bench/synthetic"
	"kg/data"
)

var query = []string{"pressure", "not", "rising", "on", "pump", "start"}

func main() {
	process.Child()
	runs := flag.Int("runs", 21, "counted runs of each program")
	notes := flag.Int("notes", 20_000, "notes in the large library, at least")
	flag.Parse()
	process.Measure("cold", func(ctx context.Context, work, kg string) error { return run(ctx, work, kg, *runs, *notes) })
}

func run(ctx context.Context, work, kg string, runs, notes int) error {
	source := filepath.Join(work, "empty.go")
	if err := os.WriteFile(source, []byte("package main\n\nfunc main() {}\n"), 0o644); err != nil {
		return err
	}
	empty, err := process.Compile(ctx, work, "empty", source)
	if err != nil {
		return err
	}
	for name, least := range map[string]int{"shipped": 0, "large": notes} {
		files, err := synthetic.Notes(data.Notes, least, 1)
		if err != nil {
			return err
		}
		if err := measure(ctx, filepath.Join(work, name), kg, empty, files, len(files), runs); err != nil {
			return fmt.Errorf("%s library: %w", name, err)
		}
	}
	return nil
}

func measure(ctx context.Context, work, kg, empty string, notes fs.FS, count, runs int) error {
	folder, home, table := filepath.Join(work, "notes"), filepath.Join(work, "home"), filepath.Join(work, "notes.db")
	if err := os.MkdirAll(work, 0o755); err != nil {
		return err
	}
	if err := os.CopyFS(folder, notes); err != nil {
		return err
	}
	build, err := process.Once(ctx, kg, "--home", home, "build", "--no-shipped", "--notes", folder)
	if err != nil {
		return err
	}
	if err := fill(ctx, table, notes); err != nil {
		return err
	}
	fmt.Printf("library of %d notes, built in %.2f s\n", count, build.Wall.Seconds())
	select10 := "SELECT path, snippet(notes, 1, '[', ']', '...', 12) FROM notes WHERE notes MATCH '" +
		strings.Join(query, " OR ") + "' ORDER BY rank LIMIT 10"
	programs := []struct {
		name string
		args []string
	}{
		{"kg ask", []string{kg, "--home", home, "ask", strings.Join(query, " ")}},
		{"sqlite3", []string{"sqlite3", "-readonly", table, select10}},
		{"empty", []string{empty}},
	}
	taken := make([][]process.Run, len(programs))
	for round := range runs + 1 {
		for i, p := range programs {
			r, err := process.Once(ctx, p.args...)
			if err != nil {
				return err
			}
			if round > 0 { // the first warms up
				taken[i] = append(taken[i], r)
			}
		}
	}
	for i, p := range programs {
		fmt.Printf("  %-8s %s\n", p.name, process.Describe(taken[i]))
	}
	fmt.Printf("  kg ask / sqlite3 = %.2f (medians)\n", process.Ms(process.Median(taken[0]).Wall)/process.Ms(process.Median(taken[1]).Wall))
	return nil
}

// fill makes the FTS5 table, with the porter stemmer and merged to one segment.
func fill(ctx context.Context, table string, notes fs.FS) error {
	var sql bytes.Buffer
	sql.WriteString("CREATE VIRTUAL TABLE notes USING fts5(path, text, tokenize='porter unicode61');\nBEGIN;\n")
	files, err := fs.Glob(notes, "*/*.md")
	if err != nil {
		return err
	}
	for _, f := range files {
		text, err := fs.ReadFile(notes, f)
		if err != nil {
			return err
		}
		fmt.Fprintf(&sql, "INSERT INTO notes VALUES('%s', '%s');\n", f, strings.ReplaceAll(string(text), "'", "''"))
	}
	sql.WriteString("COMMIT;\nINSERT INTO notes(notes) VALUES('optimize');\n")
	c := exec.CommandContext(ctx, "sqlite3", table)
	c.Stdin = &sql
	if out, err := c.CombinedOutput(); err != nil {
		return fmt.Errorf("sqlite3: %w: %s", err, out)
	}
	return nil
}
