package catalogue

import (
	"context"
	"slices"

	"kg/internal/library"
	"kg/internal/link"
	"kg/internal/note"
)

// mostOfRepair bounds how many parts stand with a repair.
const mostOfRepair = 12

// OfRepair returns today's parts of the types that a repair puts in, and how many
// more there are: those that fit the appliance, where one is named. Where the
// broken component is a kind of such a type, the part is of that kind.
func OfRepair(ctx context.Context, lib *library.Library, s *library.Scope, component note.ID, puts []PartType) (out []TodayPart, more int, err error) {
	wider, err := link.Closure(ctx, lib, component, link.IsA)
	if err != nil {
		return nil, 0, err
	}
	for _, t := range puts {
		types := []note.ID{t.Component}
		if slices.Contains(wider, t.Component) {
			types = wider[:1+slices.Index(wider, t.Component)]
		}
		list, unseen, err := shelf{lib}.todays(types, s, "")
		if err != nil {
			return nil, 0, err
		}
		out = append(out, list...)
		more += unseen
	}
	if n := len(out); n > mostOfRepair {
		out, more = out[:mostOfRepair], more+n-mostOfRepair
	}
	return out, more, nil
}
