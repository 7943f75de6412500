package measure

import (
	"fmt"
	"math"

	"kg/internal/units"
)

// cardPlan says what a card runs through: a key, or the name of the reading.
type cardPlan struct {
	key            int
	from, to, step float64 // in the key's unit
}

// Row is a line of a card, in the units of the card.
type Row struct{ At, Expected, Low, High float64 }

// Card is a table for the van.
type Card struct {
	Model               *Model
	Key, KeyUnit        string
	Unit                string
	Rows                []Row
	Assumed             []string
	Source, Edition     string
	Cautions            []Caution
	Given               []string
	Probability, Limits bool
}

// longestCard bounds a card.
const longestCard = 200

// Card works out the table of a model over one of its keys. from, to and step are
// text with units, or empty for the usual ones.
func (g *Given) Card(from, to, step string) (Card, error) {
	m := g.model
	c := Card{Model: m, Source: m.Source, Edition: m.Edition, Cautions: m.Cautions}
	if m.card == nil {
		return c, fmt.Errorf("%s has nothing to tabulate: %w", m.Name, ErrNoCard)
	}
	k := &m.Keys[m.card.key]
	u := units.Usual(k.Kind, k.Unit)
	out := units.Usual(m.Kind, m.Unit)
	c.Key, c.KeyUnit, c.Unit = k.Name, u.Name(), out.Name()
	ends := [2]float64{m.card.from, m.card.to}
	for i, text := range [2]string{from, to} {
		if text == "" {
			continue
		}
		q, err := parseQuantity(k.Kind, k.Unit, text)
		if err != nil {
			return c, fmt.Errorf("reading %s: %w", [2]string{"from", "to"}[i], err)
		}
		if q.Value < k.Low || q.Value > k.High {
			return c, fmt.Errorf("%s has to be from %s to %s %s for %s", k.Name, figure(u.Of(k.Low)), figure(u.Of(k.High)), u.Name(), m.Name)
		}
		ends[i] = u.Of(q.Value)
	}
	by := m.card.step
	if step != "" {
		kind, unit := k.Kind, k.Unit
		if kind == units.Temperature {
			kind, unit = units.Difference, "K"
		}
		q, err := parseQuantity(kind, unit, step)
		if err != nil {
			return c, fmt.Errorf("reading step: %w", err)
		}
		by = q.Value / u.Factor
	}
	n := math.Floor((ends[1]-ends[0])/by+1e-9) + 1
	if !(by > 0) || !(n >= 1) || n > longestCard {
		return c, fmt.Errorf("a card runs upward in at most %d steps: choose from, to and step so", longestCard)
	}
	for i := range int(n) {
		at := ends[0] + float64(float64(i)*by)
		row := *g
		row.hasReads = false
		if !row.setFigure(k.Name, float64(at*u.Factor)+u.Offset, 0) {
			continue
		}
		j, err := row.Judge()
		if err != nil {
			return c, err
		}
		if i == 0 {
			c.Assumed = j.Assumed()
		}
		c.Rows = append(c.Rows, Row{at, j.In(j.Expected), j.In(j.Low), j.In(j.High)})
	}
	return c, nil
}

// ErrNoCard says that a model has no table.
var ErrNoCard = fmt.Errorf("its answer is one figure; use `kg reading`")

// HasCard reports whether there is a table of the model.
func (m *Model) HasCard() bool { return m.card != nil }
