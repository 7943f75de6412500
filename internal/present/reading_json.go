package present

import (
	"math"

	"kg/internal/measure"
	"kg/internal/signal"
)

// Answers of `kg reading --json`. A figure that there is not is null.
type (
	// ReadingJSON is the JSON form of a judgement.
	ReadingJSON struct {
		Model       string        `json:"model"`
		Expected    *float64      `json:"expected"`
		Unit        string        `json:"unit"`
		Low         *float64      `json:"low"`
		High        *float64      `json:"high"`
		Uncertainty *float64      `json:"uncertainty"`
		Tolerance   *float64      `json:"tolerance,omitempty"`
		Solved      string        `json:"solved,omitempty"`
		Reads       any           `json:"reads"`
		Means       *DetailJSON   `json:"means,omitempty"`
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
		Parts       []ShareJSON   `json:"parts"`
		Details     []DetailJSON  `json:"details"`
		Remark      string        `json:"remark,omitempty"`
		Caveats     []CautionJSON `json:"caveats"`
	}
	// ShareJSON is what one uncertainty adds to a band.
	ShareJSON struct {
		Name  string  `json:"name"`
		Share float64 `json:"share"`
	}
	// DetailJSON is a figure with its name.
	DetailJSON struct {
		Name  string   `json:"name"`
		Value *float64 `json:"value"`
		Unit  string   `json:"unit"`
	}
	// CautionJSON is a caveat with its level.
	CautionJSON struct {
		Level signal.Word `json:"level"`
		Text  string      `json:"text"`
	}
)

// NewReadingJSON is a judgement for other programs.
func NewReadingJSON(j *measure.Judgement) ReadingJSON {
	m := j.Model()
	out := ReadingJSON{
		Model: m.Name, Expected: known(j.In(j.Expected)), Unit: j.Unit(), Low: known(j.In(j.Low)), High: known(j.In(j.High)),
		Uncertainty: known(j.Width(j.Expanded)), Solved: j.SolvedName(), Verdict: string(j.Verdict), Probability: known(j.Probability),
		Why: j.Why, Formula: j.Formula(), Source: m.Source, Edition: m.Edition,
		Missing: OrEmpty(j.Missing()), Assumed: OrEmpty(j.Assumed()), Usual: OrEmpty(j.Usual()), Remark: j.Remark(),
		Parts: []ShareJSON{}, Details: []DetailJSON{}, Caveats: []CautionJSON{},
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
		out.Means = &DetailJSON{name, known(x), unit}
	}
	for _, part := range j.Parts() {
		out.Parts = append(out.Parts, ShareJSON{part.Name, math.Round(part.Share*1000) / 1000})
	}
	for _, d := range j.Details() {
		out.Details = append(out.Details, DetailJSON{d.Name, known(d.Value), d.Unit})
	}
	for _, c := range m.Cautions {
		out.Caveats = append(out.Caveats, CautionJSON(c))
	}
	return out
}

// Answers of `kg card --json`.
type (
	// CardJSON is the JSON form of a card.
	CardJSON struct {
		Model   string        `json:"model"`
		Key     string        `json:"key"`
		KeyUnit string        `json:"key_unit"`
		Unit    string        `json:"unit"`
		Rows    []RowJSON     `json:"rows"`
		Assumed []string      `json:"assumed"`
		Source  string        `json:"source"`
		Edition string        `json:"edition,omitempty"`
		Caveats []CautionJSON `json:"caveats"`
	}
	// RowJSON is a line of a card.
	RowJSON struct {
		At       *float64 `json:"at"`
		Expected *float64 `json:"expected"`
		Low      *float64 `json:"low"`
		High     *float64 `json:"high"`
	}
)

// NewCardJSON is a card for other programs.
func NewCardJSON(c *measure.Card) CardJSON {
	out := CardJSON{Model: c.Model.Name, Key: c.Key, KeyUnit: c.KeyUnit, Unit: c.Unit, Rows: []RowJSON{}, Assumed: OrEmpty(c.Assumed),
		Source: c.Source, Edition: c.Edition, Caveats: []CautionJSON{}}
	for _, r := range c.Rows {
		out.Rows = append(out.Rows, RowJSON{known(r.At), known(r.Expected), known(r.Low), known(r.High)})
	}
	for _, caution := range c.Cautions {
		out.Caveats = append(out.Caveats, CautionJSON(caution))
	}
	return out
}
