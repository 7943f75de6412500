// Package process measures programs from outside: wall time and peak memory of a
// whole run.
package process

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"syscall"
	"time"
)

// Run is what one run of a program took.
type Run struct {
	Wall time.Duration
	Peak int64 // KiB
	Out  string
}

// childArg makes a program that calls Child run another one and print what that
// took.
const childArg = "-measure-child"

// Child has to be called first in main. It does nothing in the program that
// measures, and does not return in the child that Once starts: a child's peak
// memory counts what its parent had when it started, so it needs a small parent.
func Child() {
	if len(os.Args) < 3 || os.Args[1] != childArg {
		return
	}
	c := exec.Command(os.Args[2], os.Args[3:]...)
	began := time.Now()
	out, err := c.CombinedOutput()
	took := time.Since(began)
	if err != nil {
		fmt.Fprintf(os.Stderr, "%v: %s", err, out)
		os.Exit(1)
	}
	peak := int64(0)
	if usage, ok := c.ProcessState.SysUsage().(*syscall.Rusage); ok {
		peak = int64(usage.Maxrss)
	}
	fmt.Printf("%d %d\n%s", int64(took), peak, out)
	os.Exit(0)
}

// Once runs a program that has to end well.
func Once(ctx context.Context, args ...string) (Run, error) {
	self, err := os.Executable()
	if err != nil {
		return Run{}, err
	}
	out, err := exec.CommandContext(ctx, self, append([]string{childArg}, args...)...).CombinedOutput()
	if err != nil {
		return Run{}, fmt.Errorf("%s: %w: %s", strings.Join(args, " "), err, out)
	}
	first, rest, _ := strings.Cut(string(out), "\n")
	r := Run{Out: rest}
	_, err = fmt.Sscan(first, (*int64)(&r.Wall), &r.Peak)
	return r, err
}

// Compile builds a package of this module, or a file, into a folder.
func Compile(ctx context.Context, folder, name, what string) (string, error) {
	program := filepath.Join(folder, name)
	out, err := exec.CommandContext(ctx, "go", "build", "-o", program, what).CombinedOutput()
	if err != nil {
		return "", fmt.Errorf("compiling %s: %w: %s", what, err, out)
	}
	return program, nil
}

// Median is the run in the middle, by wall time, with the highest peak of all.
func Median(runs []Run) Run {
	sorted := slices.Clone(runs)
	slices.SortFunc(sorted, func(a, b Run) int { return int(a.Wall - b.Wall) })
	m := sorted[len(sorted)/2]
	for _, r := range runs {
		m.Peak = max(m.Peak, r.Peak)
	}
	return m
}

// Describe gives a set of runs as a line: median, extremes, peak memory.
func Describe(runs []Run) string {
	m := Median(runs)
	low, high := m.Wall, m.Wall
	for _, r := range runs {
		low, high = min(low, r.Wall), max(high, r.Wall)
	}
	return fmt.Sprintf("median %7.1f ms (%.1f to %.1f), peak %5.1f MiB", Ms(m.Wall), Ms(low), Ms(high), float64(m.Peak)/1024)
}

// Ms is a duration in milliseconds.
func Ms(d time.Duration) float64 { return float64(d.Microseconds()) / 1000 }

// Machine names the machine that a figure was measured on.
func Machine() string {
	model := runtime.GOARCH
	if f, err := os.Open("/proc/cpuinfo"); err == nil {
		defer f.Close()
		for s := bufio.NewScanner(f); s.Scan(); {
			if name, value, ok := strings.Cut(s.Text(), ":"); ok && strings.TrimSpace(name) == "model name" {
				model = strings.TrimSpace(value)
				break
			}
		}
	}
	return fmt.Sprintf("%s, %d processors, %s, %s", model, runtime.NumCPU(), runtime.GOOS, runtime.Version())
}

// Measure compiles kg into a folder of its own, says what machine this is, and calls f
// with both. It ends the program where that fails.
func Measure(name string, f func(ctx context.Context, work, kg string) error) {
	if err := measure(context.Background(), name, f); err != nil {
		fmt.Fprintf(os.Stderr, "%s: %v\n", name, err)
		os.Exit(1)
	}
}

func measure(ctx context.Context, name string, f func(ctx context.Context, work, kg string) error) error {
	work, err := os.MkdirTemp("", "kg-"+name+"-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(work)
	kg, err := Compile(ctx, work, "kg", "./cmd/kg")
	if err != nil {
		return err
	}
	fmt.Println(Machine())
	return f(ctx, work, kg)
}
