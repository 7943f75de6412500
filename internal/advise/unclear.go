package advise

import (
	"kg/internal/hear"
	"kg/internal/note"
	"slices"
)

// mostNear is how many entries are named that are somewhat like words which stand for
// nothing.
const mostNear = 4

// unclear fills in an answer without findings to go by: what may be meant, as a
// question, else what is nearest to the words.
func (l adviser) unclear(q Question, heard hear.Heard, a *Answer) error {
	if len(heard.Unsure) > 0 {
		a.Near = heard.Unsure[:min(len(heard.Unsure), mostAsked)]
		a.Next = &Next{Kind: StepAsk, ID: a.Near[0].ID, Name: a.Near[0].Name, Why: "the words are not clear enough to name causes"}
		return nil
	}
	if len(a.Findings) > 0 {
		return nil
	}
	near, err := hear.Near(l.Library, q.Text, mostNear, note.KindSymptom, note.KindMode)
	a.Near = near
	return err
}

// mostAsked is how many things are named in a question about what was meant.
const mostAsked = 3

// Asked are the entries that an answer asks about, in the order of their numbers;
// none where it asks nothing.
func (a Answer) Asked() []note.ID {
	if a.Next == nil || a.Next.Kind != StepAsk {
		return nil
	}
	var out []note.ID
	if a.Stop != nil {
		for _, d := range a.Stop.All() {
			out = append(out, d.Symptom)
		}
		return out
	}
	for _, s := range a.Near {
		out = append(out, s.ID)
	}
	return out
}

// Answered is a question with the answer to what an answer asks: the number of one of
// the things asked about, or one more for none of them.
func (q Question) Answered(a Answer, number int) Question {
	asked := a.Asked()
	if number > len(asked) {
		q.Not = append(slices.Clip(q.Not), asked...)
	} else if number > 0 {
		q.Symptoms = append(slices.Clip(q.Symptoms), asked[number-1])
	}
	return q
}
