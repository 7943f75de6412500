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

// words are what was said, for hearing.
func (q Question) words() hear.Words {
	return hear.Words{Text: q.Text, More: q.More, Safe: q.Safe, Symptoms: q.Symptoms, SafeSymptoms: q.SafeSymptoms, Not: q.Not, Explain: q.Explain}
}

// DefaultMost is how many causes an answer holds unless more are asked for.
const DefaultMost = 12

// leastProbable is the probability below which a cause is not worth a line.
const leastProbable = 0.001

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
		a.Next.Results, err = w.resultsOf(ctx, a.Next.ID)
	}
	if err != nil {
		return a, err
	}
	if a.Next != nil {
		if a.Next.Caveats, err = l.Alerts(a.Next.ID); err != nil {
			return a, err
		}
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
	r := l.recorded(q)
	dangers, err := l.dangers(q, heard, s)
	if err != nil {
		return nil, none, err
	}
	stands := stand(dangers, q.Safe, r)
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
		a.Next = l.prove(d, q.Who, s)
		a.Proof = &Proof{Symptom: d.ID, Name: d.Name, Test: d.proofs[0].ID, Of: d.proofs[0].Name}
		if a.Caveats, err = l.Alerts(d.ID, a.Next.ID); err != nil {
			return nil, none, err
		}
	}
	if said, err = l.follow(ctx, said); err != nil {
		return nil, none, err
	}
	if r.wrong != nil {
		return nil, none, r.wrong
	}
	v, err := l.views(ctx, said, r)
	if err != nil {
		return nil, none, err
	}
	said, is, remarks, err := l.spoken(v.said, r)
	if err != nil {
		return nil, none, err
	}
	a.Remarks = slices.Concat(a.Remarks, v.remarks, remarks)
	e, err := l.evidence(ctx, said, r)
	if err != nil {
		return nil, none, err
	}
	if len(e.Outcomes) == 0 && !slices.ContainsFunc(said, func(u hear.Finding) bool { return u.Present }) {
		return nil, none, l.unclear(q, heard, a)
	}
	r.write(a)
	n, err := l.around(ctx, said, e, s)
	if err != nil {
		return nil, none, err
	}
	n.know(q)
	w := &worker{adviser: l, network: n, scope: s, said: said, dangers: dangers, evidence: e, record: r, is: is, told: v.told, question: q, budget: q.Work}
	if err := w.clear(); err != nil {
		return nil, none, err
	}
	beliefs, err := n.model.Posterior(w.evidence)
	if err != nil {
		return nil, none, err
	}
	a.believe(beliefs)
	return w, beliefs, nil
}

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
