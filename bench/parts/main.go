// Command parts measures lists of parts at the size of a wholesaler's: how fast a
// list is taken in, how long the library takes to build with it, how long a number
// takes to be looked up in a library that is open and by a program that has just
// started, and how long a plan of a van takes over many candidates.
//
//	go run ./bench/parts [-parts 200000] [-runs 21]
//
// The numbers are made up; nothing about them is true.
package main

import (
	"bufio"
	"context"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"time"

	"kg/bench/process"
	"kg/internal/catalogue"
	"kg/internal/generation"
	"kg/internal/library/disk"
	"kg/internal/parts"
)

func main() {
	process.Child()
	count := flag.Int("parts", 200_000, "parts in the list")
	runs := flag.Int("runs", 21, "counted runs of each program")
	flag.Parse()
	process.Measure("parts", func(ctx context.Context, work, kg string) error { return run(ctx, work, kg, *count, *runs) })
}

func run(ctx context.Context, work, kg string, count, runs int) error {
	list, home := filepath.Join(work, "list.csv"), filepath.Join(work, "home")
	numbers, err := writeList(list, count)
	if err != nil {
		return err
	}
	taken, err := process.Once(ctx, kg, "--home", home, "parts", "import", list)
	if err != nil {
		return err
	}
	fmt.Printf("import of %d rows       %s, %.0f rows a second\n", count, process.Describe([]process.Run{taken}), float64(count)/taken.Wall.Seconds())
	again, err := process.Once(ctx, kg, "--home", home, "parts", "import", list)
	if err != nil {
		return err
	}
	fmt.Printf("the same again           %s\n", process.Describe([]process.Run{again}))
	build, err := process.Once(ctx, kg, "--home", home, "build")
	if err != nil {
		return err
	}
	fmt.Printf("build with them          %s\n", process.Describe([]process.Run{build}))
	if err := lookUps(ctx, filepath.Join(home, "library"), numbers); err != nil {
		return err
	}
	var cold []process.Run
	for i := range runs + 1 {
		r, err := process.Once(ctx, kg, "--home", home, "part", numbers[i*7919%len(numbers)])
		if err != nil {
			return err
		}
		if i > 0 { // the first warms up
			cold = append(cold, r)
		}
	}
	fmt.Printf("kg part NUMBER, cold     %s\n", process.Describe(cold))
	plan(ctx)
	return nil
}

// types are component types of the shipped notes.
var types = []string{"pump", "fan", "gas-valve", "pressure-sensor", "expansion-vessel", "diverter-valve", "programmer", "trv", "motorised-valve", "control-board"}

// writeList makes a list in which one number in three was replaced by the next.
func writeList(file string, count int) ([]string, error) {
	f, err := os.Create(file)
	if err != nil {
		return nil, err
	}
	w := bufio.NewWriter(f)
	fmt.Fprintln(w, "number,maker,type,name,status,fits,attributes,superseded-by,price,date,source")
	numbers := make([]string, count)
	for i := range numbers {
		numbers[i] = fmt.Sprintf("MX-%06d-%02d", i, i%7)
	}
	for i, n := range numbers {
		status, by := "current", ""
		if i%3 == 0 && i+1 < count {
			status, by = "superseded", numbers[i+1]
		}
		fmt.Fprintf(w, "%s,Maker %d,%s,Part %d,%s,skerry-c24,thread: G 1/2 | voltage: 230 V | length: %d mm,%s,%d,2026-01-31,made up\n",
			n, i/3%50, types[i/3%len(types)], i, status, 100+i%90, by, 10+i%200)
	}
	if err := w.Flush(); err != nil {
		return nil, err
	}
	return numbers, f.Close()
}

func lookUps(ctx context.Context, folder string, numbers []string) error {
	lib, err := disk.Open(generation.Store{Root: folder})
	if err != nil {
		return err
	}
	defer lib.Close()
	const some = 2000
	random := rand.New(rand.NewPCG(1, 2))
	took := make([]time.Duration, some)
	for i := range took {
		n := numbers[random.IntN(len(numbers))]
		start := time.Now()
		a, err := catalogue.LookUp(ctx, lib.Library, catalogue.PartQuestion{Text: n})
		took[i] = time.Since(start)
		if err != nil {
			return err
		}
		if len(a.Found) == 0 {
			return fmt.Errorf("%s was not found", n)
		}
	}
	slices.Sort(took)
	fmt.Printf("look-up, library open    median %.3f ms, of 100 the 99th %.3f ms, slowest %.3f ms\n",
		process.Ms(took[some/2]), process.Ms(took[some*99/100]), process.Ms(took[some-1]))
	return nil
}

// plan fills a van from 2,000 candidates for 3,000 kinds of call-out.
func plan(ctx context.Context) {
	const candidates, kinds = 2000, 3000
	random := rand.New(rand.NewPCG(3, 4))
	choices := make([]parts.Choice, candidates)
	for i := range choices {
		choices[i] = parts.Choice{Cost: float64(10 + random.IntN(400)), Space: float64(1 + random.IntN(4)), Most: 200}
	}
	demands := make([]parts.Demand, kinds)
	for d := range demands {
		demands[d].Rate = 0.01 + 0.2*random.Float64()*random.Float64()
		for range 1 + random.IntN(3) {
			if o := random.IntN(candidates); !slices.Contains(demands[d].Options, o) {
				demands[d].Options = append(demands[d].Options, o)
			}
		}
	}
	worth := parts.NewVisitWorth(candidates, demands)
	start := time.Now()
	l := parts.Best(ctx, choices, parts.Room{Budget: 6000, Slots: 150}, worth, 10_000)
	fmt.Printf("plan of 2000 candidates  %.2f s, closes %.1f of %.1f calls, gap to the bound %.1f %%\n", time.Since(start).Seconds(), l.Worth, worth.Total(), 100*l.Gap())
}
