package present

import (
	"fmt"
	"math"

	"kg/internal/advise"
)

// Why explains how likely a cause is.
func (g *Page) Why(r advise.Reasons) {
	c := r.Cause
	g.heading(fmt.Sprintf("%s: %s", c.ComponentName, c.Name))
	g.labelled(1, "now", 8, fmt.Sprintf("%s, place %d among the causes", InWords(c.Probability), r.Rank))
	g.labelled(1, "before", 8, fmt.Sprintf("%.3g in 1000 call-outs, when nothing is known", 1000*c.Prior))
	g.labelled(1, "chain", 8, chain(c))
	g.gap()
	g.heading("What each finding does to it, as if it were the last one to be heard")
	names := findingNames(r.Findings)
	for _, w := range c.Weights {
		g.labelled(1, fmt.Sprintf("%+.1f", w.Decibans), 8, fmt.Sprintf("%s: %s", nameOr(names, w.Finding), oddsTimes(w.Decibans)))
	}
	g.labelled(1, "", 8, "The figures are decibans: ten of them make the odds ten times as high.")
	g.gap()
	g.heading("What would change the first place")
	for _, t := range r.Turns {
		how := "the other way"
		if t.Otherwise != "" {
			how = fmt.Sprintf("%q instead", t.Otherwise)
		}
		g.Text(1, fmt.Sprintf("%s, %s: %s would come first, at %s.", nameOr(names, t.Finding), how, t.FirstName, InWords(t.Probability)))
	}
	if len(r.Turns) == 0 {
		g.Text(1, "No single finding, if it were the other way.")
	}
	g.conflicts(r.Conflicts, names)
	g.gap()
	g.heading("What it rests on")
	for _, f := range r.Figures {
		says := fmt.Sprintf("%s: %s", f.Says, figureText(f.Stated))
		if math.Abs(f.Used-f.Stated) > 0.01*f.Stated {
			says += fmt.Sprintf(", used as %s to fit the usual causes that symptoms state", figureText(f.Used))
		}
		g.Text(1, fmt.Sprintf("%s (%s)", says, f.Note))
		if f.Source != "" {
			g.Text(3, "source: "+f.Source)
		}
	}
}

// oddsTimes says in words what a weight of evidence does.
func oddsTimes(decibans float64) string {
	switch times := math.Pow(10, math.Abs(decibans)/10); {
	case times < 1.1:
		return "says next to nothing about it"
	case decibans > 0:
		return fmt.Sprintf("makes the odds %.3g times as high", times)
	default:
		return fmt.Sprintf("makes the odds %.3g times lower", times)
	}
}

func figureText(p float64) string {
	if p < 0.05 {
		return fmt.Sprintf("%.3g in 1000", 1000*p)
	}
	return fmt.Sprintf("%.3g", p)
}
