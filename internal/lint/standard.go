package lint

import (
	"regexp"
	"slices"
	"strings"

	"kg/internal/note"
)

// standards says what kinds of components a standard treats, for those standards that
// are beyond doubt and treat little enough to be named for the wrong thing. What treats
// whole installations, such as the wiring rules, is left out.
var standards = []struct {
	name    string
	subject string
	treats  []note.ID
}{
	{name: "EN 125", subject: "thermoelectric flame supervision", treats: []note.ID{"pilot-assembly"}},
	{name: "EN 161", subject: "automatic shut-off valves for gas", treats: []note.ID{"gas-valve"}},
	{name: "EN 215", subject: "thermostatic radiator valves", treats: []note.ID{"trv"}},
	{name: "EN 267", subject: "forced draught oil burners", treats: []note.ID{"oil-burner", "oil-nozzle", "oil-burner-control", "oil-burner-motor", "oil-pump", "oil-photocell", "oil-solenoid-valve"}},
	{name: "EN 437", subject: "test gases and test pressures of gas appliances", treats: []note.ID{"gas-supply", "gas-valve", "burner", "pilot-assembly"}},
	{name: "EN 442", subject: "radiators and convectors", treats: []note.ID{"radiator"}},
	{name: "EN 1111", subject: "thermostatic mixing valves", treats: []note.ID{"thermostatic-mixing-valve"}},
	{name: "EN 1490", subject: "combined temperature and pressure relief valves", treats: []note.ID{"temperature-pressure-relief-valve"}},
	{name: "EN 1491", subject: "expansion valves", treats: []note.ID{"expansion-relief-valve"}},
	{name: "EN 1567", subject: "water pressure reducing valves", treats: []note.ID{"pressure-reducing-valve"}},
	{name: "EN 12828", subject: "design of water-based heating systems", treats: []note.ID{"safety-relief-valve", "expansion-vessel", "pressure-gauge", "limit-thermostat", "sealed-system", "open-vented-system", "open-vent-pipe", "heating-circuit", "system-pipework"}},
	{name: "EN 13831", subject: "closed expansion vessels with a diaphragm", treats: []note.ID{"expansion-vessel", "cylinder-expansion-vessel"}},
	{name: "EN 50291-1", subject: "carbon monoxide alarms in homes", treats: []note.ID{"co-alarm"}},
	{name: "EN ISO 4126-1", subject: "safety valves", treats: []note.ID{"safety-relief-valve", "expansion-relief-valve"}},
	{name: "IEC 60539-1", subject: "thermistors with a negative coefficient", treats: []note.ID{"temperature-sensor"}},
	{name: "IEC 60751", subject: "platinum resistance thermometers", treats: []note.ID{"temperature-sensor", "solar-collector-sensor"}},
	{name: "BS 1362", subject: "cartridge fuses of plugs and spurs", treats: []note.ID{"spur-fuse"}},
	{name: "BS 6891", subject: "gas pipework in homes", treats: []note.ID{"gas-supply"}},
	{name: "IGEM/UP/1B", subject: "tightness tests and purging of small gas installations", treats: []note.ID{"gas-supply"}},
	{name: "Model Engineering Specification D08", subject: "thermostatic mixing valves in health care", treats: []note.ID{"thermostatic-mixing-valve"}},
}

// standardsTreat reports sources that name a standard for a kind of component that it
// does not treat.
func standardsTreat(c *checker) {
	subjects := c.subjects()
	for _, s := range standards {
		named := regexp.MustCompile(`\b` + regexp.QuoteMeta(s.name) + `\b`)
		for _, n := range c.notes {
			on := subjects[n.ID()]
			if !named.MatchString(n.Entry.Head().Source) {
				continue
			}
			if len(on) == 0 || slices.ContainsFunc(on, func(id note.ID) bool { return c.isOneOf(id, s.treats) }) {
				continue
			}
			c.report(n, n.At("source"), note.Incomplete, "standard-elsewhere",
				"%s treats %s, and this note is about %s: name the standard that treats it, or write common practice", s.name, s.subject, listed(on))
		}
	}
}

// listed names the first few of a list.
func listed(ids []note.ID) string {
	var out []string
	for _, id := range ids[:min(3, len(ids))] {
		out = append(out, string(id))
	}
	if len(ids) > 3 {
		out = append(out, "others")
	}
	return strings.Join(out, ", ")
}

// isOneOf is whether a type, or a wider type that it belongs to, is among others.
func (c *checker) isOneOf(id note.ID, others []note.ID) bool {
	types := []note.ID{id}
	for i := 0; i < len(types); i++ {
		if slices.Contains(others, types[i]) {
			return true
		}
		n, known := c.byID[types[i]]
		if !known {
			continue
		}
		if e, ok := n.Entry.(*note.Component); ok {
			for _, wider := range e.IsA {
				if !slices.Contains(types, wider) {
					types = append(types, wider)
				}
			}
		}
	}
	return false
}

// subjects are the component types that each note is about: its own, those of the modes
// that it settles, mends or is shown by, those that it uses, and, for a caveat, those of
// all that it is shown with.
func (c *checker) subjects() map[note.ID][]note.ID {
	out := map[note.ID][]note.ID{}
	add := func(to note.ID, components ...note.ID) {
		for _, id := range components {
			if _, known := c.byID[id]; known && !slices.Contains(out[to], id) {
				out[to] = append(out[to], id)
			}
		}
	}
	each(c, func(_ *note.Note, e *note.Component) { add(e.ID, e.ID) })
	each(c, func(_ *note.Note, e *note.Mode) {
		add(e.ID, e.Component)
		for _, id := range slices.Concat(e.SettledBy, e.Repair, e.StopGap) {
			add(id, e.Component)
		}
		for _, l := range e.Shows {
			add(l.To, e.Component)
		}
	})
	each(c, func(_ *note.Note, e *note.Remedy) { add(e.ID, e.Uses...) })
	each(c, func(_ *note.Note, e *note.Test) {
		for _, r := range e.Results {
			for _, l := range r.SeenWith {
				add(e.ID, out[l.To]...)
			}
		}
	})
	each(c, func(_ *note.Note, e *note.Symptom) {
		for _, l := range e.UsualCauses {
			add(e.ID, out[l.To]...)
		}
	})
	for _, n := range c.notes {
		for _, caveat := range n.Entry.Head().Caveats {
			add(caveat, out[n.ID()]...)
		}
	}
	each(c, func(_ *note.Note, e *note.Caveat) {
		for _, id := range e.AppliesTo {
			add(e.ID, out[id]...)
		}
	})
	return out
}
