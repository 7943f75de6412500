package main

import (
	"fmt"
	"io"
	"slices"
	"text/tabwriter"

	"kg/internal/advise"
	"kg/internal/note"
)

// tally adds up outcomes.
type tally struct {
	jobs, tests, first, solved int
	minutes, parts, risk       float64
	conflicts                  []conflict
}

// conflict is the worst that was seen at a call-out, in bits, and whether any result was
// wrong.
type conflict struct {
	bits  float64
	wrong bool
}

// cost is what a call-out came to on average, in minutes of paid work.
func (t tally) cost() float64 { return (t.minutes + t.parts + t.risk) / float64(max(t.jobs, 1)) }

func (t *tally) add(o outcome) {
	t.jobs++
	t.tests += o.tests
	t.minutes += o.minutes
	t.parts += o.parts
	t.risk += o.risk
	t.conflicts = append(t.conflicts, conflict{o.bits, o.wrong > 0})
	if o.first {
		t.first++
	}
	if o.solved {
		t.solved++
	}
}

func (t *tally) join(o tally) {
	t.jobs += o.jobs
	t.tests += o.tests
	t.first += o.first
	t.solved += o.solved
	t.minutes += o.minutes
	t.parts += o.parts
	t.risk += o.risk
	t.conflicts = append(t.conflicts, o.conflicts...)
}

// alarms prints how often findings were said not to go together where all results were
// right, and where one was wrong.
func (t tally) alarms(w io.Writer) {
	var said, of [2]int
	for _, c := range t.conflicts {
		k := 0
		if c.wrong {
			k = 1
		}
		of[k]++
		if c.bits > 0 {
			said[k]++
		}
	}
	for k, what := range []string{"all results are right", "one is wrong"} {
		if of[k] > 0 {
			fmt.Fprintf(w, "conflicts are reported in %.1f of 100 call-outs (of %d) where %s\n", 100*float64(said[k])/float64(of[k]), of[k], what)
		}
	}
}

func (t tally) String() string {
	n := float64(t.jobs)
	return fmt.Sprintf("%.0f\t%.0f\t%.0f\t%.0f\t%.2f\t%.1f %%\t%.1f %%", t.cost(), t.minutes/n, t.parts/n, t.risk/n, float64(t.tests)/n, 100*float64(t.first)/n, 100*float64(t.solved)/n)
}

// calibration compares probabilities with what was there.
type calibration struct {
	foretold float64 // costs of call-outs, in minutes of paid work
	jobs     int
	brier    float64
	n        int
	bins     [10]int
	stated   [10]float64
	there    [10]int
}

func (c *calibration) add(a advise.Answer, modes []note.ID) {
	for _, cause := range a.Causes {
		is := slices.Contains(modes, cause.Mode)
		x := 0.0
		if is {
			x = 1
		}
		c.brier += (cause.Probability - x) * (cause.Probability - x)
		c.n++
		bin := min(int(cause.Probability*10), 9)
		c.bins[bin]++
		c.stated[bin] += cause.Probability
		if is {
			c.there[bin]++
		}
	}
}

func (c *calibration) print(w io.Writer) {
	fmt.Fprintf(w, "\nCalibration of %d probabilities when the call is taken: Brier score %.4f\n", c.n, c.brier/float64(max(c.n, 1)))
	table := tabwriter.NewWriter(w, 0, 4, 2, ' ', 0)
	fmt.Fprintln(table, "probability\thow many\tstated on average\twas there\t")
	for i, n := range c.bins {
		if n > 0 {
			fmt.Fprintf(table, "%.1f to %.1f\t%d\t%.3f\t%.3f\t\n", float64(i)/10, float64(i+1)/10, n, c.stated[i]/float64(n), float64(c.there[i])/float64(n))
		}
	}
	table.Flush()
}
