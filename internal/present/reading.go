package present

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"kg/internal/measure"
	"kg/internal/signal"
)

const readingLabel = 12

// Reading prints what a meter should show, and what it means if it does not.
func (g *Page) Reading(j *measure.Judgement) {
	m := j.Model()
	g.cautions(m.Cautions, signal.Danger)
	g.heading(m.Name + ": " + m.About)
	g.gap()
	u := spaced(j.Unit())
	reads, judged := j.Reads()
	if judged {
		text := reads.State.String()
		if reads.State == measure.Figure {
			text = digits(reads.Value, 0) + spaced(j.ReadsUnit())
		}
		if name, x, unit, ok := j.Means(); ok {
			text += fmt.Sprintf(", which a healthy part shows for %s = %s%s", name, digits(x, math.Abs(x)/5), spaced(unit))
		}
		g.labelled(0, "reads", readingLabel, text)
	}
	expected, width := j.In(j.Expected), j.Width(j.Expanded)
	if known(expected) != nil {
		text := digits(expected, width) + u
		if width > 0 {
			text += fmt.Sprintf(" ± %s%s (k = 2)", digits(width, width), spaced(j.WidthUnit()))
		}
		label := "expected"
		switch {
		case j.Solved >= 0:
			label = j.SolvedName()
		case m.Derived():
			label = "worked out"
		}
		g.labelled(0, label, readingLabel, text)
	}
	if band := bandText(j); band != "" {
		g.labelled(0, "band", readingLabel, band)
	}
	if j.Verdict != measure.Unjudged {
		g.styled(0, "verdict", readingLabel, g.bold(string(j.Verdict)))
	}
	if j.Why != "" {
		g.labelled(0, "", readingLabel, j.Why)
	}
	if known(j.Probability) != nil {
		g.labelled(0, "conforms", readingLabel, chance(j.Probability)+" (JCGM 106)")
		if j.Verdict == measure.Healthy && j.Probability < 0.8 || j.Verdict != measure.Healthy && j.Probability > 0.2 {
			g.labelled(0, "", readingLabel, "too close for this measurement to settle it")
		}
	}
	for _, d := range j.Details() {
		if known(d.Value) != nil {
			g.labelled(0, "", readingLabel, d.Name+" "+digits(d.Value, 0)+spaced(d.Unit))
		}
	}
	if text := j.Remark(); text != "" {
		g.labelled(0, "note", readingLabel, text)
	}
	if text := partsText(j); text != "" {
		g.labelled(0, "band from", readingLabel, text)
	}
	if assumed := j.Assumed(); len(assumed) > 0 {
		g.labelled(0, "assumed", readingLabel, strings.Join(assumed, ", "))
	}
	if usual := j.Usual(); len(usual) > 0 {
		g.labelled(0, "taken", readingLabel, strings.Join(usual, ", ")+" (usual; give your own after ±, or as meter=0.5%)")
	}
	if missing := j.Missing(); len(missing) > 0 {
		g.labelled(0, "missing", readingLabel, "give "+missing[0]+"=... : it would narrow the band most")
	}
	if text := j.Formula(); text != "" {
		g.labelled(0, "formula", readingLabel, text)
	}
	g.origin(m.Source, m.Edition)
	g.gap()
	g.cautions(m.Cautions, signal.Warning, signal.Caution, signal.Notice)
}

// cautions prints those of some levels.
func (g *Page) cautions(list []measure.Caution, levels ...signal.Word) {
	for _, level := range levels {
		for _, c := range list {
			if c.Level == level {
				g.alert(0, c.Level, c.Text)
			}
		}
	}
}

// origin prints where a formula or a table is from.
func (g *Page) origin(source, edition string) {
	g.labelled(0, "source", readingLabel, source)
	if edition != "" {
		g.labelled(0, "edition", readingLabel, inForce(edition))
	}
}

func inForce(edition string) string {
	return edition + ": check the edition in force; local rules decide"
}

func bandText(j *measure.Judgement) string {
	low, high := j.In(j.Low), j.In(j.High)
	width := j.Width(j.Expanded)
	if j.Model().Limited() {
		width = 0
	}
	u := spaced(j.Unit())
	switch {
	case known(low) != nil && known(high) != nil:
		return digits(low, width) + " to " + digits(high, width) + u
	case known(low) != nil:
		return "from " + digits(low, width) + u
	case known(high) != nil:
		return "up to " + digits(high, width) + u
	}
	return ""
}

func partsText(j *measure.Judgement) string {
	var out []string
	for _, part := range j.Parts() {
		text := fmt.Sprintf("%s %.0f%%", part.Name, 100*part.Share)
		if part.Assumed {
			text += " (assumed)"
		}
		out = append(out, text)
	}
	return strings.Join(out, ", ")
}

func spaced(unit string) string {
	if unit == "" || unit == "-" {
		return ""
	}
	return " " + unit
}

// chance says a probability as a person does.
func chance(p float64) string {
	switch {
	case p > 0.995:
		return "more than 99 in 100"
	case p < 0.005:
		return "less than 1 in 100"
	}
	return fmt.Sprintf("%.0f in 100", 100*p)
}

// digits prints a figure to the second digit of its uncertainty, or to five that
// count where there is none.
func digits(x, width float64) string {
	const plain, most, finest = 5, 8, 9
	place := math.Floor(math.Log10(width)) - 1
	if !(width > 0) || place < -finest || math.Abs(x) >= 1e9 || math.Log10(math.Abs(x))-place > most+1 {
		text := strconv.FormatFloat(x, 'g', plain, 64)
		if short, err := strconv.ParseFloat(text, 64); err == nil && math.Abs(x) < 1e9 && math.Abs(x) >= 1e-4 {
			text = strconv.FormatFloat(short, 'f', -1, 64)
		}
		return text
	}
	unit := math.Pow(10, place)
	return strconv.FormatFloat(math.Round(x/unit)*unit, 'f', int(max(-place, 0)), 64)
}
