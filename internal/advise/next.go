package advise

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"

	"kg/internal/diagnose"
	"kg/internal/diagnose/plan"
	"kg/internal/note"
)

// mostInstead is how many other steps are named beside the best.
const mostInstead = 3

// next is the step with the least expected cost until the appliance works, as far
// as the asker may do it.
func (w *worker) next(ctx context.Context, b diagnose.Beliefs) (*Next, error) {
	bench, err := w.workOn(ctx, b, w.question.Who)
	if err != nil {
		return nil, err
	}
	d, err := w.decide(ctx, b, bench)
	if err := errors.Join(err, ctx.Err()); err != nil || len(d.Options) == 0 {
		return nil, err
	}
	best, err := w.alternative(bench, d.Options[0])
	if err != nil {
		return nil, err
	}
	n := &Next{Kind: best.Kind, ID: best.ID, Name: best.Name, Who: best.Who, ExpectedMinutes: best.ExpectedMinutes, LeastMinutes: d.Least, Costs: w.question.Costs.All()}
	for _, c := range d.Options[1:min(len(d.Options), 1+mostInstead)] {
		other, err := w.alternative(bench, c)
		if err != nil {
			return nil, err
		}
		n.Instead = append(n.Instead, other)
	}
	switch n.Kind {
	case StepTest:
		t := bench.tests[n.ID]
		n.Minutes, n.Isolation, n.Steps, n.First = t.Minutes, t.Isolation, t.Steps, bench.first[n.ID]
		if n.Results, err = w.results(ctx, t); err != nil {
			return nil, err
		}
	case StepRepair:
		r := bench.repairs[d.Options[0].ID]
		n.Minutes, n.Isolation, n.Steps, n.Checks = r.Minutes, r.Isolation, r.Steps, r.Checks
	}
	n.Why = why(n, d.Wrong)
	if bench.beyond {
		if n.Licensed, err = w.licensed(ctx, b, n); err != nil {
			return nil, err
		}
	}
	return n, nil
}

// decide looks for the best step, within the time that was given for it.
func (w *worker) decide(ctx context.Context, b diagnose.Beliefs, bench *workbench) (diagnose.Decision, error) {
	budget := plan.Budget{Work: w.budget}
	if w.question.Think > 0 {
		bounded, cancel := context.WithTimeout(ctx, w.question.Think)
		defer cancel()
		ctx, budget.Work = bounded, endless
	}
	return w.model.Decide(ctx, w.evidence, b, bench.Work, w.question.Confidence, budget)
}

// endless is a budget that only time ends.
const endless = math.MaxInt

// licensed is what would be next for someone who may do everything; nil where it
// is the same.
func (w *worker) licensed(ctx context.Context, b diagnose.Beliefs, n *Next) (*Alternative, error) {
	bench, err := w.workOn(ctx, b, nil)
	if err != nil {
		return nil, err
	}
	d, err := w.decide(ctx, b, bench)
	if err != nil || len(d.Options) == 0 {
		return nil, err
	}
	best, err := w.alternative(bench, d.Options[0])
	if err != nil || best.ID == n.ID && best.Kind == n.Kind {
		return nil, err
	}
	return &best, nil
}

// alternative names a step. A remedy that is done to several components says to
// which.
func (w *worker) alternative(b *workbench, c diagnose.Choice) (Alternative, error) {
	out := Alternative{Kind: StepCall, Name: "Call for help, or a colleague who is licensed for it", ExpectedMinutes: c.Cost}
	if t := b.tests[c.ID]; t != nil && !c.Repair {
		out.Kind, out.ID, out.Name, out.Who = StepTest, t.ID, t.Name, w.scope.Who(t.Work)
	}
	r := b.repairs[c.ID]
	if r == nil || !c.Repair {
		return out, nil
	}
	out.ID, out.Name, out.Who = r.ID, r.Name, w.scope.Who(r.Work)
	if b.sharesRemedy(c.ID) {
		component, err := w.Name(b.component[c.ID])
		if err != nil {
			return out, err
		}
		out.Name += ": " + component
	}
	if b.called[c.ID] {
		out.Name = "Have someone come who may do it: " + out.Name
	} else {
		out.Kind = StepRepair
	}
	return out, nil
}

// sharesRemedy reports whether the remedy of a repair is another one's too.
func (b *workbench) sharesRemedy(id diagnose.ID) bool {
	for other, r := range b.repairs {
		if other != id && r.ID == b.repairs[id].ID {
			return true
		}
	}
	return false
}

// results says how likely each result of a test is and what it would make of the
// causes.
func (w *worker) results(ctx context.Context, t *note.Test) ([]NextResult, error) {
	figures, err := w.testFigures(ctx, t)
	if err != nil {
		return nil, err
	}
	prospects, err := w.model.Prospects(w.evidence, figures)
	if err != nil {
		return nil, err
	}
	var out []NextResult
	for i, p := range prospects {
		n := NextResult{Name: t.Results[i].Name, Means: t.Results[i].Means, Likely: p.Probability}
		if p.First.ID != "" {
			title, err := w.Title(p.First.ID)
			if err != nil {
				return nil, err
			}
			n.First, n.FirstName, n.Probability = title.ID, title.Full, p.First.Probability
		}
		out = append(out, n)
	}
	return out, nil
}

// resultsOf are the results of a test by its id.
func (w *worker) resultsOf(ctx context.Context, test note.ID) ([]NextResult, error) {
	t, _, err := w.Test(test)
	if err != nil || t == nil {
		return nil, err
	}
	return w.results(ctx, t)
}

// why says what speaks for a step; wrong is what being wrong would cost in a repair that it
// stands before, if it does.
func why(n *Next, wrong float64) string {
	first := fmt.Sprintf("about %s of work and parts to a proved repair", duration(n.ExpectedMinutes))
	if n.ExpectedMinutes <= asCheap*n.LeastMinutes {
		first += ", and no way takes less"
	} else {
		first += fmt.Sprintf(", by no way less than %s", duration(n.LeastMinutes))
	}
	parts := []string{first}
	if n.Kind == StepCall && n.ID == "" {
		parts = []string{"nothing that may be done here and now is likely to pay"}
	}
	if wrong > 0 {
		return fmt.Sprintf("%s; it may show that %q is not needed, and being wrong would cost %s", first, n.Instead[0].Name, duration(wrong))
	}
	for _, i := range n.Instead {
		if i.Kind != StepCall || n.Kind == StepCall {
			if i.ExpectedMinutes <= asCheap*n.ExpectedMinutes {
				parts = append(parts, fmt.Sprintf("with %q first it takes as long, as far as that is known", i.Name))
			} else {
				parts = append(parts, fmt.Sprintf("with %q first, %s", i.Name, duration(i.ExpectedMinutes)))
			}
			break
		}
	}
	return strings.Join(parts, "; ")
}

// asCheap is how much dearer than the least a way of working is that may be said to be as
// cheap: costs are known no better.
const asCheap = 1.02

// duration is a time in words, as exact as it is known.
func duration(minutes float64) string {
	if minutes < 90 {
		return fmt.Sprintf("%.0f minutes", minutes)
	}
	return fmt.Sprintf("%.1f hours", minutes/60)
}
