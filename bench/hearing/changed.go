package main

import (
	"kg/internal/note"
)

// changedRows say how many dangers still stop the work or ask when they are said
// otherwise: those in the notes, and the unseen ones. All changed forms count, also of
// sayings that are not heard as a danger as they are.
func (c crew) changedRows(unseen []said) (table, error) {
	sayings, err := c[0].dangerSayings()
	if err != nil {
		return nil, err
	}
	shipped, err := c.listen(sayings)
	if err != nil {
		return nil, err
	}
	t, err := c.changedOf("shipped", shipped, goalChangedShipped)
	if err != nil {
		return nil, err
	}
	more, err := c.changedOf("unseen", unseen, goalChangedUnseen)
	return append(t, more...), err
}

func (c crew) changedOf(which string, unchanged []said, g goal) (table, error) {
	var all tally
	var by table
	for _, change := range changes(c[0].lib) {
		heard, err := c.listen(change.all(unchanged))
		if err != nil {
			return nil, err
		}
		t := dangerHeard(heard)
		all.hits, all.of = all.hits+t.hits, all.of+t.of
		by = append(by, row{"  " + change.name, t.share(), goal{}})
	}
	return append(table{
		{which + " dangers said otherwise that stop or ask", all.share(), g},
		{"  as they are", dangerHeard(unchanged).share(), goal{}},
	}, by...), nil
}

// all are the changed forms of some sayings.
func (c change) all(sayings []said) (out []said) {
	for _, s := range sayings {
		for _, form := range c.forms(s.text) {
			out = append(out, said{means: s.means, text: form})
		}
	}
	return out
}

// dangerSayings are what the notes have people say for what stops all work.
func (l listener) dangerSayings() (out []said, err error) {
	return out, l.eachSymptom(func(s *note.Symptom) {
		if len(s.StopWork) == 0 {
			return
		}
		for _, text := range note.Sayings(s, "") {
			out = append(out, said{means: []string{string(s.ID)}, text: text})
		}
	})
}
