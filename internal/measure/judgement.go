package measure

import (
	"math"
	"slices"
	"strconv"

	"kg/internal/units"
)

// Model is the model that answered.
func (j *Judgement) Model() *Model { return j.given.model }

// Unit is the name of the unit in which Expected, Low and High are printed, and
// convert brings a figure into it.
func (j *Judgement) Unit() string { return j.unit().Name() }

func (j *Judgement) unit() *units.Unit {
	m := j.given.model
	if j.Solved >= 0 {
		return units.Usual(m.Keys[j.Solved].Kind, m.Keys[j.Solved].Unit)
	}
	return units.Usual(m.Kind, m.Unit)
}

// In brings a figure of the answer into its Unit.
func (j *Judgement) In(x float64) float64 { return j.unit().Of(x) }

// WidthUnit is the unit of a width: kelvin for temperatures, else Unit.
func (j *Judgement) WidthUnit() string {
	if u := j.unit(); u.Kind == units.Temperature {
		return "K"
	}
	return j.Unit()
}

// Width brings a width of the answer, such as Expanded, into its Unit.
func (j *Judgement) Width(x float64) float64 { return x / j.unit().Factor }

// Reads is the reading in the model's unit, and whether there is one.
func (j *Judgement) Reads() (Quantity, bool) {
	q := j.given.reads
	u := units.Usual(j.given.model.Kind, j.given.model.Unit)
	q.Value = u.Of(q.Value)
	q.Standard /= u.Factor
	return q, j.given.hasReads
}

// ReadsUnit is the name of the unit of the reading.
func (j *Judgement) ReadsUnit() string {
	return units.Usual(j.given.model.Kind, j.given.model.Unit).Name()
}

// SolvedName is the name of the key that was solved for, or "".
func (j *Judgement) SolvedName() string {
	if j.Solved < 0 {
		return ""
	}
	return j.given.model.Keys[j.Solved].Name
}

// Means is what the reading would mean if the part were healthy: the key that it
// tells, its figure and its unit. ok is false where the model cannot tell.
func (j *Judgement) Means() (name string, x float64, unit string, ok bool) {
	m := j.given.model
	if j.Solved >= 0 || !j.given.hasReads || m.derived || len(m.reverse) == 0 || j.given.reads.State != Figure {
		return "", none, "", false
	}
	g := j.given
	key := m.reverse[0]
	g.values.given[key] = false
	var back Judgement
	if g.judgeInto(&back) != nil || back.Solved != key || !finite(back.Expected) {
		return "", none, "", false
	}
	return m.Keys[key].Name, back.In(back.Expected), back.Unit(), true
}

// Part is how much of the variance comes from one figure.
type Part struct {
	Name    string // a key, or "meter", "tolerance", "formula"
	Share   float64
	Assumed bool // the figure was not given
	Usual   bool // its uncertainty was not given
}

// Parts returns what the uncertainty is made of, the largest first, without what
// is less than a hundredth.
func (j *Judgement) Parts() []Part {
	const little = 0.01
	g := &j.given
	total := float64(j.Standard*j.Standard) + j.Tolerance*j.Tolerance/3
	if total == 0 {
		return nil
	}
	var out []Part
	add := func(name string, u float64, assumed, usual bool) {
		if share := u * u / total; share >= little {
			out = append(out, Part{name, share, assumed, usual})
		}
	}
	for i, k := range g.model.Keys {
		add(k.Name, j.parts[i], !g.values.given[i], math.IsNaN(g.standard[i]))
	}
	add(meterName, j.meter, false, math.IsNaN(g.meter) && math.IsNaN(g.relative) && math.IsNaN(g.reads.Standard))
	add("tolerance", rectangular(j.Tolerance), false, false)
	add("formula", j.formula, false, false)
	slices.SortStableFunc(out, func(a, b Part) int {
		switch {
		case a.Share > b.Share:
			return -1
		case a.Share < b.Share:
			return 1
		}
		return 0
	})
	return out
}

// Missing names the keys that were not given and widen the band, the one that
// would narrow it most first.
func (j *Judgement) Missing() []string {
	out := []string{}
	for _, p := range j.Parts() {
		if p.Assumed && p.Name != j.SolvedName() {
			out = append(out, p.Name)
		}
	}
	return out
}

// Assumed lists the defaults that were used, as "key=value unit".
func (j *Judgement) Assumed() []string {
	var out []string
	g := &j.given
	for i, k := range g.model.Keys {
		if g.values.given[i] || math.IsNaN(g.values.x[i]) || i == j.Solved {
			continue
		}
		if k.Kind == units.Word {
			out = append(out, k.Name+"="+g.model.word(&g.values, i))
			continue
		}
		text := k.Name + "=" + withUnit(k.Kind, k.Unit, g.values.x[i])
		if u := g.uncertainty(i); u > 0 {
			text += " ± " + halfWidth(k.Kind, k.Unit, u)
		}
		out = append(out, text)
	}
	return out
}

// Usual lists the uncertainties that were taken for figures given without one, as
// "key ± half-width unit", as far as they count.
func (j *Judgement) Usual() []string {
	var out []string
	g := &j.given
	for _, p := range j.Parts() {
		switch i, err := g.model.key(p.Name); {
		case !p.Usual || p.Assumed:
		case p.Name == meterName:
			at := j.Expected
			if j.Solved >= 0 || g.model.limits != nil && g.hasReads {
				at = g.reads.Value
			}
			out = append(out, meterName+" ± "+halfWidth(g.model.Kind, g.model.Unit, g.meterUncertainty(at)))
		case err == nil:
			k := &g.model.Keys[i]
			out = append(out, k.Name+" ± "+halfWidth(k.Kind, k.Unit, g.uncertainty(i)))
		}
	}
	return out
}

// halfWidth prints the half-width of the range that a standard uncertainty is of,
// to two digits.
func halfWidth(k units.Kind, name string, standard float64) string {
	u := units.Usual(k, name)
	text := strconv.FormatFloat(standard*math.Sqrt(3)/u.Factor, 'g', 2, 64)
	if short, err := strconv.ParseFloat(text, 64); err == nil {
		text = figure(short)
	}
	switch k {
	case units.Temperature:
		return text + " K"
	case units.Number:
		return text
	}
	return text + " " + u.Name()
}

// withUnit prints a figure held in the unit of its kind.
func withUnit(k units.Kind, name string, x float64) string {
	u := units.Usual(k, name)
	if u.Kind == units.Number {
		return figure(u.Of(x))
	}
	return figure(u.Of(x)) + " " + u.Name()
}

// Formula is the formula with the numbers put in.
func (j *Judgement) Formula() string {
	g := &j.given
	y := j.Expected
	if j.Solved >= 0 {
		if !finite(y) {
			return ""
		}
		y = g.model.predict(&g.values)
	}
	if g.model.formula == nil || !finite(y) && g.model.limits == nil {
		return ""
	}
	return g.model.formula(&g.values, y)
}

// Details are further figures of the answer.
func (j *Judgement) Details() []Detail {
	g := &j.given
	if g.model.more == nil || j.Solved >= 0 && !finite(j.Expected) {
		return nil
	}
	y := j.Expected
	if j.Solved >= 0 {
		y = g.model.predict(&g.values)
	}
	return g.model.more(&g.values, y)
}

// Remark is what the answer has to say about itself, or "".
func (j *Judgement) Remark() string {
	m := j.given.model
	if m.remark == nil {
		return ""
	}
	return m.remark(j, &j.given.values)
}

// known reports whether a key has a figure.
func (v *values) known(key int) bool { return !math.IsNaN(v.x[key]) }

// Given is the case that was judged.
func (j *Judgement) Given() *Given { return &j.given }
