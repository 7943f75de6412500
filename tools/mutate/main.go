// Command mutate asks what the tests of a package notice: it makes one small
// mistake at a time in the package, such as < for <= or + for -, runs the tests of
// that package, and counts the mistakes that make them fail. What survives is
// either a line that no test holds to its result, or a change that is none.
//
//	go -C tools run ./mutate ./internal/diagnose/plan
//	go -C tools run ./mutate -most 40 -v ./internal/diagnose/... ./internal/parts
//
// Packages are named as for the go command, from the folder of the module that
// -root names (the one above, which is right for the commands above). The sources
// are not touched: a mutant reaches the compiler through an overlay. So it can run
// beside other work; a package that changes meanwhile spoils the figures, though.
//
// Of each package at most -most mutants are tried. Which ones is settled by -seed
// and by what they change, not by line numbers, so that a sample stays the same
// when other lines come and go, and a figure can be compared with the one from
// before. Tests that draw their cases with rapid draw them from that seed, too.
//
// A mutant counts as killed when its tests fail, or do not end within -timeout.
// One that does not compile counts for nothing, and so does one that is listed
// with -equivalent: changes that can make no difference, a line each,
//
//	internal/a/b.go:Type.Method: `x > 0 -> x >= 0`: why that is no difference
//
// An entry stands for all changes of that text in that function; with a number after
// the text, as in `x > 0 -> x >= 0` 2, for that one of them alone. The command fails
// when less than -least in a hundred of a package are killed.
package main

import (
	"bufio"
	"bytes"
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"text/tabwriter"
	"time"
)

func main() {
	var o options
	flag.StringVar(&o.root, "root", "..", "folder of the module")
	flag.IntVar(&o.most, "most", 60, "how many mutants of a package are tried")
	flag.IntVar(&o.seed, "seed", 1, "which ones, and what is drawn by the tests; not 0")
	flag.IntVar(&o.workers, "workers", 2, "how many are tried at a time")
	flag.DurationVar(&o.timeout, "timeout", time.Minute, "how long the tests may take with a mutant")
	flag.StringVar(&o.equivalent, "equivalent", "tools/mutate/equivalent.txt", "list of changes that make no difference, from the root")
	flag.IntVar(&o.least, "least", 0, "how many in a hundred have to be killed")
	flag.BoolVar(&o.verbose, "v", false, "name each survivor")
	flag.Parse()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	if err := run(ctx, o, flag.Args(), os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "mutate:", err)
		os.Exit(1)
	}
}

type options struct {
	root, equivalent           string
	most, seed, workers, least int
	timeout                    time.Duration
	verbose                    bool
}

func run(ctx context.Context, o options, patterns []string, out io.Writer) error {
	if len(patterns) == 0 {
		return errors.New("name at least one package, such as ./internal/measure")
	}
	packages, err := find(ctx, o.root, patterns)
	if err != nil {
		return err
	}
	none, err := readEquivalent(filepath.Join(o.root, o.equivalent))
	if err != nil {
		return err
	}
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "package\tmutants\tkilled\tin 100\tnot compiled\tequivalent")
	var survivors []mutant
	var low []string
	for _, p := range packages {
		t, err := try(ctx, o, p, none)
		if err != nil {
			return fmt.Errorf("%s: %w", p.ImportPath, err)
		}
		fmt.Fprintf(w, "%s\t%d\t%d\t%d\t%d\t%d\n", p.ImportPath, t.counted(), t.killed, t.share(), t.broken, t.equivalent)
		survivors = append(survivors, t.survivors...)
		if t.share() < o.least {
			low = append(low, p.ImportPath)
		}
	}
	if err := w.Flush(); err != nil {
		return err
	}
	for _, m := range survivors {
		if o.verbose {
			fmt.Fprintf(out, "%s:%d: %s: %s\n", m.file, m.line, m.function, m.change)
		}
	}
	if len(low) > 0 {
		return fmt.Errorf("less than %d in 100 are killed in %s", o.least, strings.Join(low, ", "))
	}
	return nil
}

// pack is what the go command says about a package.
type pack struct {
	ImportPath, Dir           string
	GoFiles                   []string
	TestImports, XTestImports []string
}

// draws reports whether tests of a package use rapid.
func (p pack) draws() bool {
	return slices.Contains(slices.Concat(p.TestImports, p.XTestImports), "pgregory.net/rapid")
}

// find looks for the packages that have something to change.
func find(ctx context.Context, root string, patterns []string) ([]pack, error) {
	c := exec.CommandContext(ctx, "go", append([]string{"list", "-json=ImportPath,Dir,GoFiles,TestImports,XTestImports"}, patterns...)...)
	c.Dir = root
	c.Stderr = os.Stderr
	found, err := c.Output()
	if err != nil {
		return nil, fmt.Errorf("finding the packages: %w", err)
	}
	var out []pack
	for d := json.NewDecoder(bytes.NewReader(found)); ; {
		var p pack
		switch err := d.Decode(&p); {
		case errors.Is(err, io.EOF):
			return out, nil
		case err != nil:
			return nil, err
		}
		if len(p.GoFiles) > 0 {
			out = append(out, p)
		}
	}
}

// tally is what came of the mutants of a package.
type tally struct {
	killed, broken, equivalent int
	survivors                  []mutant
}

func (t tally) counted() int { return t.killed + len(t.survivors) }

// share is how many in a hundred are killed, rounded down.
func (t tally) share() int {
	if t.counted() == 0 {
		return 100
	}
	return 100 * t.killed / t.counted()
}

// fate is what comes of one mutant.
type fate int

const (
	survived fate = iota
	killed
	broken // does not compile
)

func try(ctx context.Context, o options, p pack, none list) (tally, error) {
	var t tally
	root, err := filepath.Abs(o.root)
	if err != nil {
		return t, err
	}
	var all []mutant
	sources := map[string][]byte{}
	for _, name := range p.GoFiles {
		file, err := filepath.Rel(root, filepath.Join(p.Dir, name))
		if err != nil {
			return t, err
		}
		file = filepath.ToSlash(file)
		if sources[file], err = os.ReadFile(filepath.Join(p.Dir, name)); err != nil {
			return t, err
		}
		found, err := mutants(file, sources[file])
		if err != nil {
			return t, err
		}
		all = append(all, found...)
	}
	var chosen []mutant
	for _, m := range sample(all, o.most, o.seed) {
		if none.has(m) {
			t.equivalent++
		} else {
			chosen = append(chosen, m)
		}
	}
	folder, err := os.MkdirTemp("", "mutate")
	if err != nil {
		return t, err
	}
	defer os.RemoveAll(folder)
	if f, report, err := test(ctx, o, p, filepath.Join(folder, "none.json"), overlay{}); err != nil || f != survived {
		return t, errors.Join(err, fmt.Errorf("the tests fail without any change:\n%s", report))
	}
	fates := make([]fate, len(chosen))
	errs := make([]error, len(chosen))
	next := make(chan int)
	var workers sync.WaitGroup
	for range max(1, o.workers) {
		workers.Go(func() {
			for i := range next {
				m := chosen[i]
				changed := filepath.Join(folder, fmt.Sprint(i, ".go"))
				if errs[i] = os.WriteFile(changed, m.apply(sources[m.file]), 0o644); errs[i] != nil {
					continue
				}
				replace := overlay{map[string]string{filepath.Join(root, filepath.FromSlash(m.file)): changed}}
				fates[i], _, errs[i] = test(ctx, o, p, filepath.Join(folder, fmt.Sprint(i, ".json")), replace)
			}
		})
	}
	for i := range chosen {
		next <- i
	}
	close(next)
	workers.Wait()
	for i, f := range fates {
		switch f {
		case killed:
			t.killed++
		case broken:
			t.broken++
		default:
			t.survivors = append(t.survivors, chosen[i])
		}
	}
	slices.SortStableFunc(t.survivors, func(a, b mutant) int {
		return cmp.Or(cmp.Compare(a.file, b.file), cmp.Compare(a.from, b.from))
	})
	return t, errors.Join(errs...)
}

// overlay is the file that tells the go command which files to read elsewhere.
type overlay struct{ Replace map[string]string }

// test runs the tests of a package over an overlay.
func test(ctx context.Context, o options, p pack, file string, over overlay) (fate, string, error) {
	content, err := json.Marshal(over)
	if err != nil {
		return survived, "", err
	}
	if err := os.WriteFile(file, content, 0o644); err != nil {
		return survived, "", err
	}
	args := []string{"test", "-overlay", file, "-count=1", "-failfast", "-vet=off", "-timeout", o.timeout.String(), p.ImportPath}
	if p.draws() { // no file is left behind, and no time spent on what fails anyway
		args = append(args, fmt.Sprint("-rapid.seed=", o.seed), "-rapid.nofailfile", "-rapid.shrinktime=1ns")
	}
	c := exec.CommandContext(ctx, "go", args...)
	c.Dir = o.root
	report, err := c.CombinedOutput()
	var failed *exec.ExitError
	switch {
	case err == nil:
		return survived, string(report), nil
	case ctx.Err() != nil:
		return survived, "", ctx.Err()
	case !errors.As(err, &failed):
		return survived, "", err
	case bytes.Contains(report, []byte("[build failed]")) || bytes.Contains(report, []byte("[setup failed]")):
		return broken, string(report), nil
	default:
		return killed, string(report), nil
	}
}

// sample takes at most so many mutants, the same ones for a seed whatever else
// has changed, in the order of their places.
func sample(all []mutant, most, seed int) []mutant {
	type ranked struct {
		mutant
		rank [sha256.Size]byte
	}
	in := make([]ranked, len(all))
	for i, m := range all {
		in[i] = ranked{m, sha256.Sum256(fmt.Appendf(nil, "%d %d %s", seed, m.nth-1, m.key()))}
	}
	slices.SortStableFunc(in, func(a, b ranked) int { return bytes.Compare(a.rank[:], b.rank[:]) })
	in = in[:min(most, len(in))]
	slices.SortStableFunc(in, func(a, b ranked) int {
		return cmp.Or(cmp.Compare(a.file, b.file), cmp.Compare(a.from, b.from))
	})
	out := make([]mutant, len(in))
	for i, r := range in {
		out[i] = r.mutant
	}
	return out
}

// list holds changes that make no difference, by their keys, with the number of the
// one that is meant or 0 for all of that text.
type list map[listed]bool

type listed struct {
	key string
	nth int
}

func (l list) has(m mutant) bool { return l[listed{m.key(), 0}] || l[listed{m.key(), m.nth}] }

// entry is a line of the list: a place, the change, maybe its number, the reason.
var entry = regexp.MustCompile("^(.+?): `(.+)`(?: ([1-9][0-9]*))?: .+$")

// readEquivalent reads the list of changes that make no difference. Where there is no
// list, there are none.
func readEquivalent(file string) (list, error) {
	f, err := os.Open(file)
	if errors.Is(err, os.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	defer f.Close()
	out := list{}
	lines := bufio.NewScanner(f)
	for n := 1; lines.Scan(); n++ {
		line := strings.TrimSpace(lines.Text())
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		part := entry.FindStringSubmatch(line)
		if part == nil {
			return nil, fmt.Errorf("%s:%d: write file:function: `was -> is`: reason", file, n)
		}
		nth, _ := strconv.Atoi(part[3]) // 0 where there is none
		out[listed{part[1] + ": " + part[2], nth}] = true
	}
	return out, lines.Err()
}
