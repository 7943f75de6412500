package advise

import (
	"kg/internal/library"
	"kg/internal/note"
)

// causeAlerts are the caveats of a cause with its component, tests and remedies.
func (w *worker) causeAlerts(c Cause) ([]library.Alert, error) {
	about := []note.ID{c.Mode, c.Component}
	for _, t := range c.Tests {
		about = append(about, t.Test)
	}
	for _, r := range []*RemedyRef{c.Repair, c.StopGap} {
		if r != nil {
			about = append(about, r.Remedy)
		}
	}
	return w.Alerts(about...)
}

// foremost are the caveats that stand over the whole answer: those of what was
// seen, of the first cause and of the next step.
func (w *worker) foremost(a Answer) ([]library.Alert, error) {
	var about []note.ID
	for _, f := range a.Findings {
		about = append(about, f.Symptom)
	}
	if a.Next != nil {
		about = append(about, a.Next.ID)
	}
	if a.Appliance != "" {
		about = append(about, a.Appliance)
	}
	if len(a.Causes) > 0 {
		about = append(about, a.Causes[0].Mode)
	}
	return w.Alerts(about...)
}
