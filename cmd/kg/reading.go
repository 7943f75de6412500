package main

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"kg/internal/measure"
	"kg/internal/note"
)

func (p *program) readingCommand() *cli.Command {
	return command(&cli.Command{
		Name:      "reading",
		Usage:     "say what a meter should show, and what it means if it does not",
		ArgsUsage: "MODEL KEY=VALUE ...",
		Description: `Says what a healthy part should read, the band that a good part and a good
meter leave, and, with reads=VALUE, the verdict and how likely it is that the
part conforms. Leave the temperature out to be told which one a resistance
means. Values have units as people write them, and an uncertainty after ±.

   kg reading list
   kg reading list vessel-hot-pressure
   kg reading ntc-curve curve=10k-2 at=24C reads=10.4k
   kg reading platinum r0=1000 reads=1194
   kg reading gas-rate volume=2 m3 in 600 s

meter=0.5% is the accuracy of the instrument. kg card prints a table.
It opens no library.`,
		Flags: []cli.Flag{jsonFlag()},
		BashComplete: func(c *cli.Context) {
			if c.NArg() == 0 {
				for _, m := range measure.Models() {
					fmt.Fprintln(p.out, m.Name)
				}
			}
		},
		Action: func(c *cli.Context) error {
			words := c.Args().Slice()
			if len(words) == 0 {
				return wrongUsef("name a model: `kg reading list` has them all, `kg reading ntc-curve curve=10k-2 at=24C` uses one")
			}
			if words[0] == "list" {
				return p.listModels(words[1:], c.Bool("json"))
			}
			given, err := givenBy(words)
			if err != nil {
				return err
			}
			j, err := given.Judge()
			if err != nil {
				return wrongUsef("%w; `kg reading list %s` explains its keys", err, words[0])
			}
			if c.Bool("json") {
				return p.printJSON(readingJSON(&j))
			}
			p.printReading(&j)
			return nil
		},
	})
}

// givenBy reads a model and its keys.
func givenBy(words []string) (*measure.Given, error) {
	given, err := measure.New(words[0])
	if err != nil {
		return nil, wrongUsef("%w; `kg reading list` explains them", err)
	}
	m := given.Model()
	if len(words) > 1 && !strings.Contains(words[1], "=") {
		return nil, wrongUsef("%q is not KEY=VALUE: `kg reading list %s` has the keys of %s", words[1], m.Name, m.Name)
	}
	pairs, err := measure.Pairs(words[1:])
	if err != nil {
		return nil, wrongUsef("%w: `kg reading list %s` has the keys of %s", err, m.Name, m.Name)
	}
	for _, pair := range pairs {
		if err := given.Set(pair.Key, pair.Value); err != nil {
			return nil, wrongUse(err)
		}
	}
	return given, nil
}

// Answers of `kg reading --json`. A figure that there is not is null.
type (
	jsonReading struct {
		Model       string        `json:"model"`
		Expected    *float64      `json:"expected"`
		Unit        string        `json:"unit"`
		Low         *float64      `json:"low"`
		High        *float64      `json:"high"`
		Uncertainty *float64      `json:"uncertainty"`
		Tolerance   *float64      `json:"tolerance,omitempty"`
		Solved      string        `json:"solved,omitempty"`
		Reads       any           `json:"reads"`
		Means       *jsonDetail   `json:"means,omitempty"`
		ReadsUnit   string        `json:"reads_unit,omitempty"`
		Verdict     string        `json:"verdict"`
		Probability *float64      `json:"probability"`
		Why         string        `json:"why,omitempty"`
		Formula     string        `json:"formula"`
		Source      string        `json:"source"`
		Edition     string        `json:"edition,omitempty"`
		Missing     []string      `json:"missing"`
		Assumed     []string      `json:"assumed"`
		Usual       []string      `json:"usual"`
		Parts       []jsonPart    `json:"parts"`
		Details     []jsonDetail  `json:"details"`
		Remark      string        `json:"remark,omitempty"`
		Caveats     []jsonCaution `json:"caveats"`
	}
	jsonPart struct {
		Name  string  `json:"name"`
		Share float64 `json:"share"`
	}
	jsonDetail struct {
		Name  string   `json:"name"`
		Value *float64 `json:"value"`
		Unit  string   `json:"unit"`
	}
	jsonCaution struct {
		Level string `json:"level"`
		Text  string `json:"text"`
	}
)

// known is a pointer to a figure to ten digits, or nil where there is none.
func known(x float64) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	const digits = 10
	if short, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', digits, 64), 64); err == nil {
		x = short
	}
	return &x
}

func readingJSON(j *measure.Judgement) jsonReading {
	m := j.Model()
	out := jsonReading{
		Model: m.Name, Expected: known(j.In(j.Expected)), Unit: j.Unit(), Low: known(j.In(j.Low)), High: known(j.In(j.High)),
		Uncertainty: known(j.Width(j.Expanded)), Solved: j.SolvedName(), Verdict: string(j.Verdict), Probability: known(j.Probability),
		Why: j.Why, Formula: j.Formula(), Source: m.Source, Edition: m.Edition,
		Missing: orEmpty(j.Missing()), Assumed: orEmpty(j.Assumed()), Usual: orEmpty(j.Usual()), Remark: j.Remark(),
		Parts: []jsonPart{}, Details: []jsonDetail{}, Caveats: []jsonCaution{},
	}
	if j.Tolerance > 0 {
		out.Tolerance = known(j.Width(j.Tolerance))
	}
	if q, ok := j.Reads(); ok {
		out.ReadsUnit = j.ReadsUnit()
		if out.Reads = q.State.String(); q.State == measure.Figure {
			out.Reads = known(q.Value)
		}
	}
	if name, x, unit, ok := j.Means(); ok {
		out.Means = &jsonDetail{name, known(x), unit}
	}
	for _, part := range j.Parts() {
		out.Parts = append(out.Parts, jsonPart{part.Name, math.Round(part.Share*1000) / 1000})
	}
	for _, d := range j.Details() {
		out.Details = append(out.Details, jsonDetail{d.Name, known(d.Value), d.Unit})
	}
	for _, c := range m.Cautions {
		out.Caveats = append(out.Caveats, jsonCaution(c))
	}
	return out
}

const readingLabel = 12

func (p *program) printReading(j *measure.Judgement) {
	g := p.page()
	m := j.Model()
	g.cautions(m.Cautions, "danger")
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
	g.labelled(0, "source", readingLabel, m.Source)
	if m.Edition != "" {
		g.labelled(0, "edition", readingLabel, m.Edition+": check the edition in force; local rules decide")
	}
	g.gap()
	g.cautions(m.Cautions, "warning", "caution", "notice")
}

// cautions prints those of some levels.
func (g *page) cautions(list []measure.Caution, levels ...string) {
	for _, level := range levels {
		for _, c := range list {
			if c.Level == level {
				g.alert(0, note.Level(c.Level), c.Text)
			}
		}
	}
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

// listModels explains all models, or one.
func (p *program) listModels(words []string, asJSON bool) error {
	models := measure.Models()
	if len(words) > 1 {
		return wrongUsef("list takes one model at a time, or none for all")
	}
	if len(words) == 1 {
		m, err := measure.Find(words[0])
		if err != nil {
			return wrongUse(err)
		}
		models = []*measure.Model{m}
	}
	if asJSON {
		return p.printJSON(modelsJSON(models))
	}
	g := p.page()
	if len(words) == 1 {
		g.explain(models[0])
		return nil
	}
	const names = 24
	for _, m := range models {
		g.labelled(0, m.Name, names, m.About)
		g.labelled(names, "", 0, strings.Join(keyNames(m), " "))
	}
	g.gap()
	g.labelled(0, "", 0, "`kg reading list MODEL` explains the keys of one; reads=VALUE is what the meter shows, meter=0.5% how accurate it is")
	return nil
}

func keyNames(m *measure.Model) []string {
	var out []string
	for _, k := range m.Keys {
		out = append(out, k.Name)
	}
	return out
}

// explain says all about one model.
func (g *page) explain(m *measure.Model) {
	g.heading(m.Name + ": " + m.About)
	g.gap()
	const width = 18
	for i := range m.Keys {
		k := &m.Keys[i]
		g.labelled(2, k.Name, width, k.Explain())
	}
	if !m.Derived() {
		g.labelled(2, "reads", width, "what the meter shows, in "+m.Unit)
		g.labelled(2, "meter", width, "accuracy of the instrument")
	}
	g.gap()
	g.labelled(0, "source", readingLabel, m.Source)
	if m.Edition != "" {
		g.labelled(0, "edition", readingLabel, m.Edition+": check the edition in force; local rules decide")
	}
	g.gap()
	g.cautions(m.Cautions, "danger", "warning", "caution", "notice")
}

type (
	jsonModel struct {
		Model   string    `json:"model"`
		About   string    `json:"about"`
		Unit    string    `json:"unit"`
		Keys    []jsonKey `json:"keys"`
		Source  string    `json:"source"`
		Edition string    `json:"edition,omitempty"`
	}
	jsonKey struct {
		Key   string   `json:"key"`
		About string   `json:"about"`
		Unit  string   `json:"unit,omitempty"`
		Words []string `json:"words,omitempty"`
	}
)

func modelsJSON(models []*measure.Model) []jsonModel {
	out := []jsonModel{}
	for _, m := range models {
		one := jsonModel{m.Name, m.About, m.Unit, []jsonKey{}, m.Source, m.Edition}
		for _, k := range m.Keys {
			one.Keys = append(one.Keys, jsonKey{k.Name, k.About, k.Unit, k.Words})
		}
		out = append(out, one)
	}
	return out
}
