package note

import (
	"go.yaml.in/yaml/v3"

	"kg/internal/signal"
)

// field describes one key of a front matter: how it is read, and what stands in
// a scaffold for it. A key that is neither needed nor wanted may be left out
// without a word.
type field struct {
	key    string
	needed bool   // without it the note is broken
	wanted bool   // without it the note is incomplete
	hint   string // an example value, in YAML
	read   func(*decoder, *yaml.Node)
}

func need(f field) field { f.needed = true; return f }
func want(f field) field { f.wanted = true; return f }

// fieldsOf returns the keys that an entry may have, in the order of a scaffold.
func fieldsOf(e Entry) []field {
	h := e.Head()
	name := field{key: "name", hint: "The trade's plain term", read: text(&h.Name)}
	also := field{key: "also", hint: "[another name, what a householder says]", read: texts(&h.Also)}
	caveats := field{key: "caveats", hint: "[id-of-a-caveat]", read: refs(&h.Caveats, KindCaveat)}
	source := field{key: "source", hint: "common practice", read: text(&h.Source)}

	switch e := e.(type) {
	case *Appliance:
		return []field{need(name), also,
			{key: "maker", hint: "Invented Maker", read: text(&e.Maker)},
			{key: "is-a", hint: "[combination-boiler]", read: refs(&e.IsA, KindAppliance)},
			{key: "has", hint: "[pressure-sensor, pump]", read: refs(&e.Has, KindComponent)},
			{key: "may-have", hint: "{condensate-pump: 1 in 10}", read: links(&e.MayHave, KindComponent)},
			{key: "codes", hint: "{B14: id-of-a-symptom}", read: codes(&e.Codes)},
			caveats, source}
	case *Component:
		return []field{need(name), also,
			{key: "is-a", hint: "[id-of-a-wider-type]", read: refs(&e.IsA, KindComponent)},
			{key: "has", hint: "[id-of-a-component-inside-it]", read: refs(&e.Has, KindComponent)},
			{key: "fitted", hint: "3 in 10", read: figure(&e.Fitted)},
			{key: "nominal", hint: "{r25: 10k, beta: 3977}", read: textMap(&e.Nominal)},
			{key: "price", hint: "60", read: price(&e.Price)},
			{key: "safety", hint: "gas", read: oneOf(&e.Safety, Safeties())},
			{key: "who", hint: "unvented-qualified", read: who(&e.Who)},
			{key: "who-on", hint: whoOnHint, read: whoOn(&e.WhoOn)},
			caveats, source}
	case *Mode:
		return []field{need(name), also,
			need(field{key: "component", hint: "id-of-a-component", read: ref(&e.Component, KindComponent)}),
			{key: "occurs", hint: "12 per 1000 call-outs", read: rate(&e.Occurs)},
			{key: "likelier", hint: "{frost: 20, old: 3}", read: factors(&e.Likelier)},
			want(field{key: "shows", hint: "{id-of-a-symptom: very likely}", read: links(&e.Shows, KindSymptom)}),
			{key: "leads-to", hint: "{id-of-a-mode: likely}", read: links(&e.LeadsTo, KindMode)},
			{key: "if-left", hint: "What happens if nobody mends it.", read: text(&e.IfLeft)},
			want(field{key: "settled-by", hint: "[id-of-a-test]", read: refs(&e.SettledBy, KindTest)}),
			want(field{key: "repair", hint: "[id-of-a-remedy]", read: refs(&e.Repair, KindRemedy)}),
			{key: "stop-gap", hint: "[id-of-a-remedy]", read: refs(&e.StopGap, KindRemedy)},
			{key: "on", hint: "[id-of-an-appliance]", read: refs(&e.On, KindAppliance)},
			caveats, source}
	case *Symptom:
		return []field{need(name), also,
			{key: "usual-causes", hint: "{id-of-a-mode: 6 in 10, id-of-another: 3 in 10}", read: links(&e.UsualCauses, KindMode)},
			{key: "stop-work", hint: "[what to do first, what next]", read: texts(&e.StopWork)},
			{key: "proved-gone-by", hint: "[id-of-a-test]", read: refs(&e.ProvedGoneBy, KindTest)},
			{key: "implies", hint: "[id-of-a-symptom]", read: refs(&e.Implies, KindSymptom)},
			{key: "leak", hint: "1 in 1000", read: figure(&e.Leak)},
			{key: "while", hint: "[circulating]", read: conditions(&e.While)},
			{key: "leaves", hint: "[not powered]", read: conditions(&e.Leaves)},
			caveats, source}
	case *Test:
		return append([]field{need(name), also}, append(work(&e.Work),
			need(field{key: "results", hint: "\n  what is found:\n    seen-with: {id-of-a-mode: very likely}\n    otherwise: very unlikely", read: results(&e.Results)}),
			field{key: "healthy", hint: "[what is found when all is well]", read: texts(&e.Healthy)},
			field{key: "reading", hint: "\n  model: ntc-beta\n  healthy: what is found", read: reading(&e.Reading)},
			caveats, source)...)
	case *Remedy:
		return append([]field{need(name), also,
			need(field{key: "remedy", hint: "repair", read: oneOf(&e.Measure, []Measure{Repair, StopGap})})},
			append(work(&e.Work),
				field{key: "uses", hint: "[id-of-a-component]", read: refs(&e.Uses, KindComponent)},
				field{key: "checks", hint: "[what is checked afterwards]", read: texts(&e.Checks)},
				field{key: "limits", hint: "[how far and how long a stop-gap may be used]", read: texts(&e.Limits)},
				caveats, source)...)
	case *Part:
		return []field{name, also,
			need(field{key: "number", hint: "INV-0001", read: text(&e.Number)}),
			need(field{key: "maker", hint: "Invented Maker", read: text(&e.Maker)}),
			need(field{key: "type", hint: "id-of-a-component", read: ref(&e.Type, KindComponent)}),
			{key: "attributes", hint: "{thread: G 1/2}", read: textMap(&e.Attributes)},
			{key: "fits", hint: "[id-of-an-appliance]", read: refs(&e.Fits, KindAppliance)},
			{key: "supersedes", hint: "[id-of-a-part]", read: refs(&e.Supersedes, KindPart)},
			{key: "interchanges-with", hint: "[id-of-a-part]", read: refs(&e.InterchangesWith, KindPart)},
			{key: "status", hint: "current", read: oneOf(&e.Status, Statuses())},
			{key: "serials", hint: "1000..1999", read: serials(&e.Serials)},
			{key: "needs", hint: "[an adapter, a version of software]", read: texts(&e.Needs)},
			{key: "contains", hint: "[id-of-a-part]", read: refs(&e.Contains, KindPart)},
			{key: "interchange", hint: "{id-of-a-part: {grade: with-adapter, source: who says so}}", read: interchange(&e.Interchange)},
			{key: "safety", hint: "gas", read: oneOf(&e.Safety, Safeties())},
			{key: "price", hint: "60", read: price(&e.Price)},
			{key: "space", hint: "1", read: whole(&e.Space, largest, "bad-space", "number of slots")},
			{key: "date", hint: "2026-01-31", read: date(&e.Date)},
			caveats, source}
	case *Caveat:
		return []field{need(name), also,
			need(field{key: "level", hint: "caution", read: oneOf(&e.Level, signal.Words())}),
			need(field{key: "text", hint: "What the hazard is and how it is avoided.", read: text(&e.Text)}),
			{key: "applies-to", hint: "[id-of-any-entry]", read: refs(&e.AppliesTo)},
			source}
	case *Job:
		return []field{name, also,
			need(field{key: "appliance", hint: "id-of-an-appliance", read: ref(&e.Appliance, KindAppliance)}),
			need(field{key: "date", hint: "2026-01-31", read: date(&e.Date)}),
			need(field{key: "words", hint: "what was said on the phone", read: text(&e.Words)}),
			{key: "symptoms", hint: "[id-of-a-symptom]", read: refs(&e.Symptoms, KindSymptom)},
			{key: "tests", hint: "{id-of-a-test: the result found}", read: testResults(&e.Tests)},
			{key: "found", hint: "[id-of-a-mode]", read: refs(&e.Found, KindMode)},
			{key: "did", hint: "[id-of-a-remedy]", read: refs(&e.Did, KindRemedy)},
			{key: "minutes", hint: "40", read: minutes(&e.Minutes)},
			{key: "who", hint: "initials", read: text(&e.Who)},
			caveats, source}
	case *Remark:
		return []field{need(name), also,
			need(field{key: "about", hint: "[id-of-any-entry]", read: refs(&e.About)}),
			caveats, source}
	case *Synonym:
		return []field{need(name),
			need(field{key: "words", hint: "[the word, another word for it]", read: texts(&e.Words)}),
			source}
	}
	return nil
}

const whoOnHint = "{id-of-an-appliance: unvented-qualified}"

// work returns the keys that a test and a remedy share.
func work(w *Work) []field {
	return []field{
		need(field{key: "minutes", hint: "15", read: minutes(&w.Minutes)}),
		need(field{key: "who", hint: "heating engineer", read: who(&w.Who)}),
		{key: "who-on", hint: whoOnHint, read: whoOn(&w.WhoOn)},
		{key: "from-outside", hint: "yes", read: func(d *decoder, n *yaml.Node) { w.FromOutside = yes(d, n) }},
		want(field{key: "isolation", hint: "none needed", read: text(&w.Isolation)}),
		{key: "prepare", hint: "[case-off]", read: manyOf(&w.Prepare, Preparations())},
		{key: "needs", hint: "[powered]", read: conditions(&w.Needs)},
		{key: "tools", hint: "[multimeter]", read: texts(&w.Tools)},
		{key: "does", hint: "[runs, energises]", read: manyOf(&w.Does, Effects())},
		{key: "not-when", hint: "[id-of-a-symptom-that-stops-the-work]", read: refs(&w.NotWhen, KindSymptom)},
		need(field{key: "steps", hint: "[the first step, the next]", read: texts(&w.Steps)}),
	}
}
