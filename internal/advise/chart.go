package advise

import (
	"context"
	"fmt"
	"slices"

	"kg/internal/diagnose"
	"kg/internal/diagnose/plan"
	"kg/internal/hear"
	"kg/internal/library"
	"kg/internal/note"
)

// Chart is a fault-finding chart: the best step first, and what each outcome of
// it leads to.
type Chart struct {
	Symptom   note.ID         `json:"symptom"`
	Name      string          `json:"name"`
	Appliance note.ID         `json:"appliance,omitempty"`
	Of        string          `json:"appliance_name,omitempty"`
	Start     *ChartStep      `json:"start"`
	Caveats   []library.Alert `json:"caveats"`
	// LeftOut is the probability of all branches that are too rare to be drawn.
	LeftOut float64 `json:"left_out"`
	// StopWork is what to do first where the symptom itself ends all work.
	StopWork []string `json:"stop_work,omitempty"`
}

// ChartStep is one box of a chart: a test or a repair with what it may lead to, a
// call for help, or the end of what was asked for.
type ChartStep struct {
	Kind    StepKind `json:"kind"` // test, repair, call or end
	ID      note.ID  `json:"id,omitempty"`
	Name    string   `json:"name,omitempty"`
	Minutes int      `json:"minutes,omitempty"`
	Who     note.Who `json:"who,omitzero"`
	// Reached is how likely the work gets to this step.
	Reached float64 `json:"reached"`
	// Cause is the likeliest cause here.
	Cause       note.ID       `json:"cause,omitempty"`
	CauseName   string        `json:"cause_name,omitempty"`
	Probability float64       `json:"probability,omitempty"`
	Branches    []ChartBranch `json:"branches,omitempty"`
}

// ChartBranch is one outcome of a step.
type ChartBranch struct {
	Result string     `json:"result"`
	Likely float64    `json:"likely"`
	Step   *ChartStep `json:"step"`
}

const (
	// MaxChartDepth bounds how many steps a chart goes.
	MaxChartDepth = 12
	// rarestBranch is how likely the work has to get to a step for it to be drawn.
	rarestBranch = 0.01
	// chartWork is the budget of planning one step of a chart.
	chartWork = plan.DefaultWork / 2
)

// Draw works out the fault-finding chart of a symptom to some depth, for what an
// appliance has and someone may do.
func Draw(ctx context.Context, lib *library.Library, symptom note.ID, q Question, depth int) (Chart, error) {
	c, err := adviser{lib}.chart(ctx, symptom, q, depth)
	if err != nil {
		return c, fmt.Errorf("drawing the chart of %s: %w", symptom, err)
	}
	return c, nil
}

func (l adviser) chart(ctx context.Context, symptom note.ID, q Question, depth int) (Chart, error) {
	c := Chart{Symptom: symptom, Appliance: q.Appliance, Caveats: []library.Alert{}}
	rec, err := l.OfKind(symptom, "symptom", note.KindSymptom)
	if err != nil {
		return c, err
	}
	e := rec.Entry.(*note.Symptom)
	c.Name = e.Name
	s, err := l.Scope(ctx, q.Appliance)
	if err != nil {
		return c, err
	}
	about := []note.ID{symptom}
	if s != nil {
		c.Of = s.Name
		about = append(about, s.ID)
	}
	if len(e.StopWork) > 0 {
		c.StopWork = e.StopWork
		c.Caveats, err = l.Alerts(about...)
		return c, err
	}
	said := []hear.Finding{{Present: true, Senses: []hear.Sense{{ID: symptom, Kind: note.KindSymptom, Name: e.Name, Score: 1, Weight: 1}}}}
	evidence := diagnose.Evidence{Findings: []diagnose.Finding{said[0].Evidence()}}
	n, err := l.around(ctx, said, evidence, s)
	if err != nil {
		return c, err
	}
	n.know(q)
	dangers, err := l.dangersIn(hear.Heard{Findings: said}) // that the symptom implies
	if err != nil {
		return c, err
	}
	for i := range dangers {
		dangers[i].said = 1
		if dangers[i].proofs, err = l.proofs(dangers[i].Symptom, q.Who, s); err != nil {
			return c, err
		}
	}
	v, err := l.views(ctx, said, record{})
	if err != nil {
		return c, err
	}
	_, is, _, err := l.spoken(said, record{})
	if err != nil {
		return c, err
	}
	d := &drawer{worker: worker{adviser: l, network: n, scope: s, said: said, dangers: dangers, evidence: evidence, is: is, told: v.told, question: q, budget: chartWork}, chart: &c}
	if c.Start, err = d.step(ctx, depth, 1); err != nil {
		return c, err
	}
	c.Caveats, err = l.Alerts(append(about, d.used...)...)
	return c, err
}

// drawer draws a chart from the point of work that its worker stands at.
type drawer struct {
	worker
	chart *Chart
	used  []note.ID // tests and repairs
}

func (d *drawer) step(ctx context.Context, depth int, reached float64) (*ChartStep, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	out := &ChartStep{Kind: StepEnd, Reached: reached}
	b, err := d.model.Posterior(d.evidence)
	if err != nil {
		return nil, err
	}
	for _, cause := range b.Causes {
		if slices.Contains(d.evidence.Cleared, cause.ID) {
			continue
		}
		if out.CauseName, err = d.FullName(cause.ID); err != nil {
			return nil, err
		}
		out.Cause, out.Probability = cause.ID, cause.Probability
		break
	}
	if depth == 0 {
		return out, nil
	}
	bench, err := d.workOn(ctx, b, d.question.Who)
	if err != nil {
		return nil, err
	}
	options, err := d.decide(ctx, b, bench)
	if err != nil {
		return nil, err
	}
	if len(options.Options) == 0 {
		out.Kind = StepCall
		return out, nil
	}
	best, err := d.alternative(bench, options.Options[0])
	if err != nil {
		return nil, err
	}
	out.Kind, out.ID, out.Name, out.Who = best.Kind, best.ID, best.Name, best.Who
	switch out.Kind {
	case StepTest:
		d.used = append(d.used, out.ID)
		t := bench.tests[out.ID]
		out.Minutes = t.Minutes
		return out, d.branchOut(ctx, out, t, depth)
	case StepRepair:
		d.used = append(d.used, out.ID)
		repair := options.Options[0].ID
		out.Minutes = bench.repairs[repair].Minutes
		if err := d.suspect(out, b, bench, repair); err != nil {
			return nil, err
		}
		return out, d.ifItDoesNotHelp(ctx, out, b, bench, repair, depth)
	}
	return out, nil
}

// branchOut draws what the results of a test lead to.
func (d *drawer) branchOut(ctx context.Context, from *ChartStep, t *note.Test, depth int) error {
	test, err := d.testFigures(ctx, t)
	if err != nil {
		return err
	}
	prospects, err := d.model.Prospects(d.evidence, test)
	if err != nil {
		return err
	}
	for i, p := range prospects {
		next := *d
		seen := test.Seen("", i)
		seen.Cleared = d.evidence.Cleared
		next.evidence.Outcomes = append(slices.Clone(d.evidence.Outcomes), seen)
		next.record.results = append(slices.Clone(d.record.results), resultFound{Tested{Test: t.ID, Result: t.Results[i].Name, After: d.record.tried(), Said: 1}, t, i})
		if err := next.branch(ctx, from, t.Results[i].Name, p.Probability, depth); err != nil {
			return err
		}
		d.used = next.used
	}
	return nil
}

// suspect names the likeliest cause that a repair mends.
func (d *drawer) suspect(s *ChartStep, b diagnose.Beliefs, bench *workbench, repair diagnose.ID) error {
	at := slices.IndexFunc(bench.Repairs, func(r diagnose.Repair) bool { return r.ID == repair })
	for _, cause := range b.Causes {
		if at >= 0 && slices.Contains(bench.Repairs[at].Mends, cause.ID) {
			name, err := d.FullName(cause.ID)
			s.Cause, s.CauseName, s.Probability = cause.ID, name, cause.Probability
			return err
		}
	}
	return nil
}

// ifItDoesNotHelp draws what follows where a repair was not the right one.
func (d *drawer) ifItDoesNotHelp(ctx context.Context, from *ChartStep, b diagnose.Beliefs, bench *workbench, repair diagnose.ID, depth int) error {
	at := slices.IndexFunc(bench.Repairs, func(r diagnose.Repair) bool { return r.ID == repair })
	if at < 0 {
		return nil
	}
	mends := bench.Repairs[at].Mends
	fails, err := d.model.Fails(d.evidence, mends)
	if err != nil {
		return err
	}
	next := *d
	next.record.mended = append(slices.Clone(d.record.mended), MendedBefore{from.ID, from.Name})
	if err := next.clear(); err != nil {
		return err
	}
	err = next.branch(ctx, from, "it does not help", fails, depth)
	d.used = next.used
	return err
}

func (d *drawer) branch(ctx context.Context, from *ChartStep, result string, likely float64, depth int) error {
	reached := float64(from.Reached * likely)
	if reached < rarestBranch {
		d.chart.LeftOut += reached
		return nil
	}
	step, err := d.step(ctx, depth-1, reached)
	if err != nil {
		return err
	}
	from.Branches = append(from.Branches, ChartBranch{Result: result, Likely: likely, Step: step})
	return nil
}
