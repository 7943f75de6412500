package present

import (
	"strings"

	"kg/internal/measure"
	"kg/internal/signal"
)

// Models prints what can be worked out, with the keys of each.
func (g *Page) Models(models []*measure.Model) {
	const names = 24
	for _, m := range models {
		g.labelled(0, m.Name, names, m.About)
		g.Text(names, strings.Join(keyNames(m), " "))
	}
	g.gap()
	g.Text(0, "`kg reading list MODEL` explains the keys of one; reads=VALUE is what the meter shows, meter=0.5% how accurate it is")
}

func keyNames(m *measure.Model) []string {
	var out []string
	for _, k := range m.Keys {
		out = append(out, k.Name)
	}
	return out
}

// Model says all about one model.
func (g *Page) Model(m *measure.Model) {
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
	g.origin(m.Source, m.Edition)
	g.gap()
	g.cautions(m.Cautions, signal.Danger, signal.Warning, signal.Caution, signal.Notice)
}

// Answers of `kg reading list --json`.
type (
	// ModelJSON is the JSON form of a model.
	ModelJSON struct {
		Model   string    `json:"model"`
		About   string    `json:"about"`
		Unit    string    `json:"unit"`
		Keys    []KeyJSON `json:"keys"`
		Source  string    `json:"source"`
		Edition string    `json:"edition,omitempty"`
	}
	// KeyJSON is the JSON form of a key of a model.
	KeyJSON struct {
		Key   string   `json:"key"`
		About string   `json:"about"`
		Unit  string   `json:"unit,omitempty"`
		Words []string `json:"words,omitempty"`
	}
)

// NewModelsJSON is models for other programs.
func NewModelsJSON(models []*measure.Model) []ModelJSON {
	out := []ModelJSON{}
	for _, m := range models {
		one := ModelJSON{m.Name, m.About, m.Unit, []KeyJSON{}, m.Source, m.Edition}
		for _, k := range m.Keys {
			one.Keys = append(one.Keys, KeyJSON{k.Name, k.About, k.Unit, k.Words})
		}
		out = append(out, one)
	}
	return out
}
