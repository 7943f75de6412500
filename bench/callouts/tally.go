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
	minutes                    float64
}

func (t *tally) add(o outcome) {
	t.jobs++
	t.tests += o.tests
	t.minutes += o.minutes
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
}

func (t tally) String() string {
	n := float64(t.jobs)
	return fmt.Sprintf("%.0f\t%.2f\t%.1f %%\t%.1f %%", t.minutes/n, float64(t.tests)/n, 100*float64(t.first)/n, 100*float64(t.solved)/n)
}

// calibration compares probabilities with what was there.
type calibration struct {
	brier  float64
	n      int
	bins   [10]int
	stated [10]float64
	there  [10]int
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
