package main

import (
	"slices"

	"kg/internal/hear"
	"kg/internal/note"
)

// symptomRows say at which place the right one stands among the symptoms that are
// heard as being there, those last that are only asked about.
func symptomRows(heard []said) table {
	var first, third tally
	for _, s := range heard {
		at := slices.Index(symptoms(s.Heard), s.id())
		first.add(at == 0)
		third.add(at >= 0 && at < 3)
	}
	return table{
		{"unseen symptoms, at 1", first.share(), goalSymptomFirst},
		{"unseen symptoms, at 3", third.share(), goalSymptomThird},
	}
}

// symptoms are those that words may mean, in the order in which they are named.
func symptoms(h hear.Heard) (out []note.ID) {
	add := func(senses []hear.Sense) {
		for _, s := range senses {
			if s.Kind == note.KindSymptom {
				out = append(out, s.ID)
			}
		}
	}
	for _, f := range h.Findings {
		if f.Present {
			add(f.Senses)
		}
	}
	add(h.Unsure)
	return out
}
