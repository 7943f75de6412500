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
	"slices"
	"strings"
	"syscall"
	"time"

	"kg/bench/synthetic"
	"kg/data"
)

var query = []string{"pressure", "not", "rising", "on", "pump", "start"}

// onceFlag makes the program run another one, and print what that took: a child
// of a small process, since a child's peak memory counts what its parent had.
const onceFlag = "-once"

func main() {
	if len(os.Args) > 2 && os.Args[1] == onceFlag {
		if err := printOnce(os.Args[2:]); err != nil {
			fmt.Fprintln(os.Stderr, "cold:", err)
			os.Exit(1)
		}
		return
	}
	runs := flag.Int("runs", 21, "counted runs of each program")
	notes := flag.Int("notes", 20_000, "notes in the large library")
	flag.Parse()
	if err := run(context.Background(), *runs, *notes); err != nil {
		fmt.Fprintln(os.Stderr, "cold:", err)
		os.Exit(1)
	}
}

func run(ctx context.Context, runs, notes int) error {
	work, err := os.MkdirTemp("", "kg-cold-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(work)
	kg, empty, err := programs(ctx, work)
	if err != nil {
		return err
	}
	shippedFiles, err := copied(data.Notes)
	if err != nil {
		return err
	}
	large, err := synthetic.Notes(data.Notes, notes, 1)
	if err != nil {
		return err
	}
	for _, lib := range []struct {
		name  string
		notes fs.FS
		count int
	}{{"shipped", shippedFiles, count(shippedFiles)}, {"large", large, len(large)}} {
		if err := measure(ctx, filepath.Join(work, lib.name), kg, empty, lib.notes, lib.count, runs); err != nil {
			return fmt.Errorf("%s library: %w", lib.name, err)
		}
	}
	return nil
}

func measure(ctx context.Context, work, kg, empty string, notes fs.FS, count, runs int) error {
	folder := filepath.Join(work, "notes")
	if err := os.MkdirAll(work, 0o755); err != nil {
		return err
	}
	if err := os.CopyFS(folder, notes); err != nil {
		return err
	}
	home := filepath.Join(work, "home")
	began := time.Now()
	build := exec.CommandContext(ctx, kg, "--home", home, "build", "--no-shipped", "--notes", folder)
	if out, err := build.CombinedOutput(); err != nil {
		return fmt.Errorf("building: %w: %s", err, out)
	}
	fmt.Printf("library of %d notes, built in %.2f s\n", count, time.Since(began).Seconds())
	table := filepath.Join(work, "notes.db")
	if err := fill(ctx, table, notes); err != nil {
		return err
	}
	words := strings.Join(query, " ")
	match := strings.Join(query, " OR ")
	programs := []struct {
		name string
		args []string
	}{
		{"kg ask", []string{kg, "--home", home, "ask", words}},
		{"sqlite3", []string{"sqlite3", "-readonly", table,
			"SELECT path, snippet(notes, 1, '[', ']', '...', 12) FROM notes WHERE notes MATCH '" + match + "' ORDER BY rank LIMIT 10"}},
		{"empty", []string{empty}},
	}
	times := make([][]time.Duration, len(programs))
	memory := make([]int64, len(programs))
	for round := range runs + 1 {
		for i, p := range programs {
			took, peak, err := once(ctx, p.args)
			if err != nil {
				return fmt.Errorf("%s: %w", p.name, err)
			}
			if round > 0 { // the first warms up
				times[i] = append(times[i], took)
				memory[i] = max(memory[i], peak)
			}
		}
	}
	for i, p := range programs {
		slices.Sort(times[i])
		fmt.Printf("  %-8s median %6.1f ms (%.1f to %.1f), peak %5.1f MiB\n", p.name,
			ms(times[i][len(times[i])/2]), ms(times[i][0]), ms(times[i][len(times[i])-1]), float64(memory[i])/1024)
	}
	fmt.Printf("  kg ask / sqlite3 = %.2f (medians)\n", ms(times[0][runs/2])/ms(times[1][runs/2]))
	return nil
}

func ms(d time.Duration) float64 { return float64(d.Microseconds()) / 1000 }

// once runs a program and returns its wall time and peak memory in KiB.
func once(ctx context.Context, args []string) (took time.Duration, peak int64, err error) {
	self, err := os.Executable()
	if err != nil {
		return 0, 0, err
	}
	out, err := exec.CommandContext(ctx, self, append([]string{onceFlag}, args...)...).CombinedOutput()
	if err != nil {
		return 0, 0, fmt.Errorf("%w: %s", err, out)
	}
	_, err = fmt.Sscan(string(out), (*int64)(&took), &peak)
	return took, peak, err
}

func printOnce(args []string) error {
	c := exec.Command(args[0], args[1:]...)
	began := time.Now()
	out, err := c.CombinedOutput()
	took := time.Since(began)
	if err != nil {
		return fmt.Errorf("%w: %s", err, out)
	}
	peak := int64(0)
	if usage, ok := c.ProcessState.SysUsage().(*syscall.Rusage); ok {
		peak = usage.Maxrss
	}
	fmt.Println(int64(took), peak)
	return nil
}

func programs(ctx context.Context, work string) (kg, empty string, err error) {
	kg, empty = filepath.Join(work, "kg"), filepath.Join(work, "empty")
	source := filepath.Join(work, "empty.go")
	if err := os.WriteFile(source, []byte("package main\n\nfunc main() {}\n"), 0o644); err != nil {
		return "", "", err
	}
	for _, args := range [][]string{{"build", "-o", kg, "./cmd/kg"}, {"build", "-o", empty, source}} {
		if out, err := exec.CommandContext(ctx, "go", args...).CombinedOutput(); err != nil {
			return "", "", fmt.Errorf("go %s: %w: %s", strings.Join(args, " "), err, out)
		}
	}
	return kg, empty, nil
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

// copied returns only the notes of an embedded folder.
func copied(source fs.FS) (fs.FS, error) { return synthetic.Notes(source, 0, 1) }

func count(notes fs.FS) int {
	files, _ := fs.Glob(notes, "*/*.md")
	return len(files)
}
