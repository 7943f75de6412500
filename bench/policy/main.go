// Command policy compares what the planner advises with the optimum by dynamic
// programming, on random problems in two settings, beside simpler policies.
//
//	go run ./bench/policy
package main

import (
	"flag"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"text/tabwriter"
	"time"

	"kg/internal/diagnose/plan"
)

func main() {
	problems := flag.Int("problems", 200, "how many random problems in each setting")
	work := flag.Int("work", plan.DefaultWork, "budget of the planner")
	flag.Parse()
	compare(os.Stdout, *problems, *work, true)
}

type rival struct {
	name string
	do   policy
}

func rivals(work int) []rival {
	return []rival{
		{fmt.Sprintf("advice, budget %.3g", float64(work)), advised(work)},
		{"advice, no budget", advised(1)},
		{"one step ahead alone", oneStep},
		{"probability over cost alone", byRatio},
		{"information per cost alone", information},
	}
}

// compare prints how far above the optimum each policy is.
func compare(w io.Writer, problems, work int, timed bool) {
	for _, s := range settings {
		fmt.Fprintf(w, "%s: %d random problems, above the optimum\n", s.name, problems)
		table := tabwriter.NewWriter(w, 0, 4, 2, ' ', 0)
		fmt.Fprint(table, "policy\tmean\t95th percentile\tworst\t")
		if timed {
			fmt.Fprint(table, "ms a problem\t")
		}
		fmt.Fprintln(table)
		var drawn []plan.Problem
		var best []float64
		r := rand.New(rand.NewPCG(11, 7))
		for range problems {
			p := s.draw(r)
			drawn = append(drawn, p)
			best = append(best, optimum(p))
		}
		for _, rival := range rivals(work) {
			began := time.Now()
			var above []float64
			for i, p := range drawn {
				above = append(above, 100*(expected(p, rival.do)/best[i]-1))
			}
			spent := time.Since(began)
			slices.Sort(above)
			sum := 0.0
			for _, a := range above {
				sum += a
			}
			fmt.Fprintf(table, "%s\t%s\t%s\t%s\t", rival.name, percent(sum/float64(len(above))), percent(above[len(above)*95/100]), percent(above[len(above)-1]))
			if timed {
				fmt.Fprintf(table, "%.1f\t", float64(spent.Microseconds())/1000/float64(problems))
			}
			fmt.Fprintln(table)
		}
		table.Flush()
		fmt.Fprintln(w)
	}
}

func percent(x float64) string {
	if math.IsInf(x, 1) || math.IsNaN(x) {
		return "-"
	}
	if math.Abs(x) < 0.005 {
		x = 0
	}
	return fmt.Sprintf("%.2f %%", x)
}
