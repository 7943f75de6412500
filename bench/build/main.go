// Command build times what a person waits for: the first question on a machine
// that has no library, and a build after one note was changed. It also asks
// sixteen questions at once while builds run, and says how long the slowest took,
// beside the same sixteen with no build running.
//
//	go run ./bench/build [-runs 7]
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"kg/bench/process"
)

const question = "pressure not rising on pump start"

func main() {
	process.Child()
	runs := flag.Int("runs", 7, "runs of each measurement")
	flag.Parse()
	process.Measure("build", func(ctx context.Context, work, kg string) error { return run(ctx, work, kg, *runs) })
}

func run(ctx context.Context, work, kg string, runs int) error {
	if err := first(ctx, work, kg, runs); err != nil {
		return err
	}
	home := filepath.Join(work, "home")
	if err := rebuild(ctx, home, kg, runs); err != nil {
		return err
	}
	return together(ctx, home, kg)
}

func first(ctx context.Context, work, kg string, runs int) error {
	var taken []process.Run
	for i := range runs {
		r, err := process.Once(ctx, kg, "--home", filepath.Join(work, fmt.Sprint("first", i)), "ask", question)
		if err != nil {
			return err
		}
		taken = append(taken, r)
	}
	fmt.Println("first question, build included  ", process.Describe(taken))
	return nil
}

func rebuild(ctx context.Context, home, kg string, runs int) error {
	remark := filepath.Join(home, "notes", "remark", "changing.md")
	if err := os.MkdirAll(filepath.Dir(remark), 0o755); err != nil {
		return err
	}
	var taken []process.Run
	for i := range runs + 1 {
		text := fmt.Sprintf("---\nname: Changing %d\nabout: [pump]\n---\nThis note changes.\n", i)
		if err := os.WriteFile(remark, []byte(text), 0o644); err != nil {
			return err
		}
		r, err := process.Once(ctx, kg, "--home", home, "build")
		if err != nil {
			return err
		}
		if i > 0 { // the first one builds from nothing
			taken = append(taken, r)
		}
	}
	fmt.Println("build after one changed note    ", process.Describe(taken))
	return nil
}

// together asks sixteen questions at once, first alone, then while builds run.
func together(ctx context.Context, home, kg string) error {
	alone, err := sixteen(ctx, home, kg)
	if err != nil {
		return err
	}
	building, stop := context.WithCancel(ctx)
	builds := make(chan int)
	go func() {
		n := 0
		for building.Err() == nil {
			if exec.CommandContext(ctx, kg, "--home", home, "build", "--again").Run() == nil {
				n++
			}
		}
		builds <- n
	}()
	time.Sleep(100 * time.Millisecond) // let the first build get under way
	beside, err := sixteen(ctx, home, kg)
	stop()
	n := <-builds
	if err != nil {
		return err
	}
	fmt.Println("sixteen at once, no build       ", process.Describe(alone))
	fmt.Println("sixteen at once, during builds  ", process.Describe(beside))
	fmt.Printf("all %d answered, %d builds ended meanwhile\n", len(beside), n)
	return nil
}

func sixteen(ctx context.Context, home, kg string) ([]process.Run, error) {
	const n = 16
	runs, errs := make([]process.Run, n), make([]error, n)
	var all sync.WaitGroup
	for i := range n {
		all.Go(func() {
			runs[i], errs[i] = process.Once(ctx, kg, "--home", home, "ask", question)
			if errs[i] == nil && !strings.Contains(runs[i].Out, "Pressure sensor") {
				errs[i] = fmt.Errorf("an answer without its cause: %s", runs[i].Out)
			}
		})
	}
	all.Wait()
	return runs, errors.Join(errs...)
}
