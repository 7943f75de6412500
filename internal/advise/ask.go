package advise

import (
	"context"
	"fmt"
	"slices"
	"time"

	"kg/internal/cost"
	"kg/internal/diagnose"
	"kg/internal/hear"
	"kg/internal/library"
	"kg/internal/note"
	"kg/internal/term"
)

// Question is what someone wants to know.
type Question struct {
	Text      string
	Appliance note.ID  // empty for any
	Most      int      // how many causes are worked out; 0 for DefaultMost
	More      []string // what was said later; where it contradicts, it counts
	// Safe is how many of these texts were said before what stops the work was made
	// safe: they no longer stop it.
	Safe int
	// SafeSymptoms is how many of Symptoms were said before that.
	SafeSymptoms int
	// Not are entries that the words do not mean, by the word of whoever asks.
	Not []note.ID
	// Explain asks for what each word speaks for.
	Explain bool
	// Symptoms are there for certain, whatever was said.
	Symptoms []note.ID
	Results  []Tested
	// Readings are figures that meters have shown; several of one test are of one
	// part, under different conditions.
	Readings []Read
	// Mended are the remedies that were carried out and did not help.
	Mended []note.ID
	// Given is what is known beforehand, WorkedOn the components that someone has
	// lately worked on.
	Given    []note.Context
	WorkedOn []note.ID
	// Who are the competences of whoever asks. Nothing is suggested as the next
	// step that they do not cover; with none, anything is, and says who may do it.
	Who []note.Competence
	// Confidence is how probable a cause has to be before its part is suggested, 0
	// for diagnose.Confidence.
	Confidence float64
	// Costs are what the plan assumes about work and being wrong.
	Costs cost.Costs
	// Think is how long the next step may be thought about; 0 for a budget that
	// gives the same answer on every machine.
	Think time.Duration
	// Work is a budget for the next step, see plan.Budget; 0 for the usual one.
	Work int
}

// Tested is what a test said.
type Tested struct {
	Test   note.ID
	Result string // the name of the result
	// After are the remedies that had been tried in vain by then.
	After []note.ID
	// Said is how many texts of the question had been said by then: only of these it
	// can rule out a danger.
	Said int
	// Stale is set where something that stops the work was made safe afterwards.
	Stale bool
}

// Read is a figure that a meter has shown in a test, with what else is known: keys
// and values of the test's model, as in "10.4k at=24C".
type Read struct {
	Test    note.ID
	Figures string
	// Said and Stale are as in Tested.
	Said  int
	Stale bool
}

// once keeps of each test what it said last: a test that is done again says no
// more than once what it says.
func (q *Question) once() {
	var results []Tested
	for i, r := range q.Results {
		again := slices.ContainsFunc(q.Results[i+1:], func(x Tested) bool { return x.Test == r.Test }) ||
			slices.ContainsFunc(q.Readings, func(x Read) bool { return x.Test == r.Test })
		if !again {
			results = append(results, r)
		}
	}
	q.Results = results
}

// words are what was said, for hearing.
func (q Question) words() hear.Words {
	return hear.Words{Text: q.Text, More: q.More, Safe: q.Safe, Symptoms: q.Symptoms, SafeSymptoms: q.SafeSymptoms, Not: q.Not, Explain: q.Explain}
}

// DefaultMost is how many causes an answer holds unless more are asked for.
const DefaultMost = 12

// leastProbable is the probability below which a cause is not worth a line.
const leastProbable = 0.001

// mostNear is how many entries are named that are somewhat like words which stand for
// nothing.
const mostNear = 4

// adviser answers questions to one library.
type adviser struct{ *library.Library }

// Ask works out the causes of what a description says. An answer without
// findings and causes means that nothing was understood; it then names what is
// nearest.
func Ask(ctx context.Context, lib *library.Library, q Question) (Answer, error) {
	a, err := adviser{lib}.answer(ctx, q)
	if err != nil {
		return a, fmt.Errorf("working out %q: %w", term.Shortened(q.Text), err)
	}
	return a, nil
}

func (l adviser) answer(ctx context.Context, q Question) (Answer, error) {
	a := Answer{Query: q.Text, Appliance: q.Appliance, Findings: []Found{}, Causes: []Cause{}, Caveats: []library.Alert{}}
	w, beliefs, err := l.weighed(ctx, q, &a)
	if err != nil || w == nil {
		return a, err
	}
	most := q.Most
	if most <= 0 {
		most = DefaultMost
	}
	for _, b := range beliefs.Causes {
		if len(a.Causes) == most || b.Probability < leastProbable {
			break
		}
		if slices.Contains(w.evidence.Cleared, b.ID) {
			continue // mended
		}
		c, err := w.cause(ctx, b)
		if err != nil {
			return a, err
		}
		a.Causes = append(a.Causes, c)
	}
	if a.Proof == nil {
		a.Next, err = w.next(ctx, beliefs)
	} else if a.Next.Kind == StepTest {
		a.Next.Results, err = w.resultsOf(a.Next.ID)
	}
	if err != nil {
		return a, err
	}
	var seen []note.ID
	for _, f := range a.Findings {
		seen = append(seen, f.Symptom)
	}
	if w.scope != nil {
		seen = append(seen, w.scope.ID)
	}
	if a.Field, err = l.field(ctx, seen...); err != nil {
		return a, err
	}
	a.Caveats, err = w.foremost(a)
	return a, err
}

// weighed understands a question and works out the beliefs that it leads to. No
// worker means that there is nothing to weigh: the answer then says whether work
// stops here, or what is nearest.
func (l adviser) weighed(ctx context.Context, q Question, a *Answer) (*worker, diagnose.Beliefs, error) {
	var none diagnose.Beliefs
	s, err := l.Scope(ctx, q.Appliance)
	if err != nil {
		return nil, none, err
	}
	heard, err := hear.Listen(ctx, l.Library, q.words(), s)
	if err != nil {
		return nil, none, err
	}
	if err := l.told(heard.Told, &q, a); err != nil {
		return nil, none, err
	}
	q.once()
	dangers, err := l.dangers(q, heard)
	if err != nil {
		return nil, none, err
	}
	stands, err := l.stand(dangers, q, s)
	if err != nil {
		return nil, none, err
	}
	var said []hear.Finding
	for _, f := range heard.Findings {
		said = append(said, f.Settled())
	}
	a.Remarks, a.Stop = heard.Remarks, stopping(heard.Danger, dangers, stands)
	for _, u := range said {
		f, err := l.found(u)
		if err != nil {
			return nil, none, err
		}
		a.Findings = append(a.Findings, f)
	}
	if a.Stop != nil && a.Stop.Sure {
		a.Next = &Next{Kind: StepStop, ID: a.Stop.Symptom, Name: a.Stop.Name, Why: "this comes before any diagnosis"}
		if d := stillThere(stands); d != nil && d.ID == a.Stop.Symptom {
			a.Proof = d.still
		}
		a.Caveats, err = l.Alerts(a.Stop.Symptom)
		return nil, none, err
	}
	if a.Stop != nil {
		a.Next = &Next{Kind: StepAsk, ID: a.Stop.Symptom, Name: a.Stop.Name, Why: "whether this is there has to be known before any test or repair"}
		return nil, none, nil
	}
	if d := unproved(stands); d != nil {
		a.Next = l.prove(d, q.Who)
		a.Proof = &Proof{Symptom: d.ID, Name: d.Name, Test: d.proofs[0].ID, Of: d.proofs[0].Name}
		if a.Caveats, err = l.Alerts(d.ID, a.Next.ID); err != nil {
			return nil, none, err
		}
	}
	if said, err = l.follow(ctx, said); err != nil {
		return nil, none, err
	}
	e, err := l.evidence(said, q)
	if err != nil {
		return nil, none, err
	}
	if len(e.Outcomes) == 0 && !slices.ContainsFunc(said, func(u hear.Finding) bool { return u.Present }) {
		return nil, none, l.unclear(q, heard, a)
	}
	if err := l.before(q, a); err != nil {
		return nil, none, err
	}
	for _, id := range q.WorkedOn {
		if _, err := l.OfKind(id, "component", note.KindComponent); err != nil {
			return nil, none, err
		}
	}
	n, err := l.around(ctx, said, e, s)
	if err != nil {
		return nil, none, err
	}
	n.know(q)
	w := &worker{adviser: l, network: n, scope: s, said: said, dangers: dangers, evidence: e, question: q, budget: q.Work}
	if err := w.clear(q); err != nil {
		return nil, none, err
	}
	beliefs, err := n.model.Posterior(w.evidence)
	if err != nil {
		return nil, none, err
	}
	a.believe(beliefs)
	return w, beliefs, nil
}

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

// Told hears words as the result of a test: of one of those that are waited for, if
// any. It is false where they say something else, or more, or are not clear.
func Told(ctx context.Context, lib *library.Library, words string, waited []note.ID) (Tested, bool, error) {
	heard, err := hear.Listen(ctx, lib, hear.Words{Text: words, Waited: waited}, nil)
	if err != nil {
		return Tested{}, false, err
	}
	if heard.Danger != nil || len(heard.Findings) > 0 || len(heard.Told) != 1 || heard.Told[0].Results[0].Score < ToldEnough {
		return Tested{}, false, nil
	}
	t := heard.Told[0]
	return Tested{Test: t.Test, Result: t.Results[0].Result}, true, nil
}

// told takes in what words tell of tests. A result that is likely enough counts as
// found, but proves no danger gone; the others are named. Where the words hold a figure
// that can be judged, it counts instead of the result that they sound like.
func (l adviser) told(told []hear.Told, q *Question, a *Answer) error {
	for _, t := range told {
		if slices.ContainsFunc(q.Results, func(r Tested) bool { return r.Test == t.Test }) {
			continue // what was given as its result counts
		}
		name, err := l.Name(t.Test)
		if err != nil {
			return err
		}
		best := t.Results[0]
		read, judged := l.read(t)
		switch {
		case judged && (best.Score < ToldEnough || read.result == best.Result):
			q.Readings = append(slices.Clip(q.Readings), read.Read)
		case judged:
			a.Remarks = append(a.Remarks, fmt.Sprintf("%q sounds like %s of %q, and the figure in it is %s: say which with `kg job result` or `kg job read`", t.Text, best.Result, name, read.verdict))
		case best.Score < ToldEnough:
			a.Remarks = append(a.Remarks, fmt.Sprintf("%q sounds like %s of %q: give it as the result of %s if it is", t.Text, best.Result, name, t.Test))
		default:
			q.Results = append(slices.Clip(q.Results), Tested{Test: t.Test, Result: best.Result})
		}
	}
	return nil
}

// ToldEnough is how probable a result that words tell of has to be to count as found: one
// that is heard wrong costs more than one more question.
const ToldEnough = 0.75

func (l adviser) found(u hear.Finding) (Found, error) {
	first := u.Senses[0]
	f := Found{
		Symptom: first.ID, Name: first.Name, Present: u.Present, Score: first.Score, Text: u.Text, Code: u.Code, Words: u.Words,
	}
	if u.Doubtful() {
		f.Doubt = true
		f.Others = u.Senses
	}
	return f, nil
}
