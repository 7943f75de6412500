package library

import (
	"context"
	"slices"

	"kg/internal/graph"
	"kg/internal/note"
)

// mostOfCause bounds how many parts stand with a cause.
const mostOfCause = 12

// partsOf are today's parts of the types that a repair puts in: those that fit the
// appliance, where one is named. Where the broken component is a kind of such a
// type, the part is of that kind.
func (w *worker) partsOf(ctx context.Context, c Cause) (out []TodayPart, more int, err error) {
	wider, err := w.graph.Closure(ctx, c.Component, graph.IsA)
	if err != nil {
		return nil, 0, err
	}
	for _, t := range c.PartTypes {
		types := []note.ID{t.Component}
		if slices.Contains(wider, t.Component) {
			types = wider[:1+slices.Index(wider, t.Component)]
		}
		list, unseen, err := w.todays(types, w.scope, "")
		if err != nil {
			return nil, 0, err
		}
		out = append(out, list...)
		more += unseen
	}
	if n := len(out); n > mostOfCause {
		out, more = out[:mostOfCause], more+n-mostOfCause
	}
	return out, more, nil
}
