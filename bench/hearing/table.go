package main

import (
	"fmt"
	"io"
	"text/tabwriter"
)

// row is one line of the table.
type row struct {
	what string
	estimate
	goal goal // the zero one for a figure that only stands beside the others
}

// table is all that was measured.
type table []row

// estimate is a figure with the bounds of its 95 per cent interval, and what it was
// counted over.
type estimate struct {
	value, low, high float64
	over             string
}

// goal is what a figure should reach.
type goal struct {
	bound   float64
	most    bool // the bound is from above
	defined bool
}

func atLeast(bound float64) goal { return goal{bound, false, true} }
func atMost(bound float64) goal  { return goal{bound, true, true} }

func (g goal) reached(value float64) bool {
	if g.most {
		return value <= g.bound
	}
	return value >= g.bound
}

// String is the goal as the table shows it.
func (g goal) String() string {
	switch {
	case !g.defined:
		return ""
	case g.most:
		return fmt.Sprintf("at most %g", g.bound)
	}
	return fmt.Sprintf("%g", g.bound)
}

// print writes the table; a figure that misses its goal is marked.
func (t table) print(w io.Writer) error {
	out := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(out, "\tshare\t95 per cent\tcounted\tgoal\t")
	for _, r := range t {
		missed := ""
		if r.goal.defined && !r.goal.reached(r.value) {
			missed = "missed"
		}
		fmt.Fprintf(out, "%s\t%.3f\t%.3f to %.3f\t%s\t%v\t%s\n", r.what, r.value, r.low, r.high, r.over, r.goal, missed)
	}
	return out.Flush()
}
