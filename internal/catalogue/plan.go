package catalogue

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"kg/internal/library"
	"kg/internal/note"
	"kg/internal/parts"
)

// PlanQuestion asks what to carry on a van.
type PlanQuestion struct {
	Budget int `json:"budget"` // in minutes of paid work, as prices are
	Slots  int `json:"slots"`
	Jobs   int `json:"jobs"` // call-outs that the stock is to last for
	// LookAfter is what the call-outs are to; where it is empty, one of each
	// appliance that one maker makes.
	LookAfter []LookedAfter `json:"look_after"`
}

// LookedAfter is an appliance that a team looks after, and how many of it.
type LookedAfter struct {
	Appliance note.ID `json:"appliance"`
	Count     int     `json:"count"`
}

// StockPlan is what to carry, and what that closes. Its JSON form is part of the
// program's interface.
type StockPlan struct {
	PlanQuestion
	Carry []Carried `json:"carry"`
	Cost  float64   `json:"cost"`
	Space float64   `json:"space"`
	// FirstVisit is how many of the call-outs are expected to be closed at the first
	// visit, Share the same as a share of all; Bound what no load can reach.
	FirstVisit float64 `json:"first_visit"`
	Share      float64 `json:"share"`
	Bound      float64 `json:"bound_share"`
	Gap        float64 `json:"gap"`
	Exact      bool    `json:"exact"`
	// NoPart need no part, Unknown one that no list has.
	NoPart     float64      `json:"no_part_share"`
	Unknown    float64      `json:"unknown_share"`
	Missing    []PartType   `json:"missing_types"`
	Candidates int          `json:"candidates"`
	Curve      []CurvePoint `json:"curve"`
}

// Carried is a part of a plan, and how many of it.
type Carried struct {
	Carry
	Count int `json:"count"`
}

// CurvePoint is the share of first visits that a budget reaches.
type CurvePoint struct {
	Budget float64 `json:"budget"`
	Share  float64 `json:"share"`
}

// ErrNothingLookedAfter says that no appliance was named, and that the notes have
// none to take instead.
var ErrNothingLookedAfter = errors.New("no appliance of a maker is in the notes: name some with --on ID=N")

// How far the search for the best load goes: so many loads are looked at, which
// takes about a second.
const searchedLoads = 100_000

// PlanStock works out which load of a van closes the most call-outs at the first
// visit. How far it may be from the best there is, is said with it.
func PlanStock(ctx context.Context, lib *library.Library, q PlanQuestion) (StockPlan, error) {
	l := shelf{lib}
	if len(q.LookAfter) == 0 {
		var err error
		if q.LookAfter, err = l.oneOfEach(); err != nil {
			return StockPlan{}, err
		}
	}
	if len(q.LookAfter) == 0 {
		return StockPlan{}, ErrNothingLookedAfter
	}
	asked, err := l.callsOn(ctx, q.LookAfter, q.Jobs)
	if err != nil {
		return StockPlan{}, fmt.Errorf("working out what is asked for: %w", err)
	}
	return filled(ctx, q, asked), nil
}

// filled works a plan out of what the call-outs ask for.
func filled(ctx context.Context, q PlanQuestion, asked calls) StockPlan {
	s := StockPlan{PlanQuestion: q}
	choices := make([]parts.Choice, len(asked.carry))
	for i, c := range asked.carry {
		choices[i] = parts.Choice{Cost: float64(c.Cost), Space: float64(c.Space), Most: s.Jobs}
	}
	worth := parts.NewVisitWorth(len(choices), asked.demands)
	room := parts.Room{Budget: float64(s.Budget), Slots: float64(s.Slots)}
	load := parts.Best(ctx, choices, room, worth, searchedLoads)
	share := func(worth float64) float64 { return (asked.noPart + worth) / asked.jobs }
	s.Cost, s.Space, s.Candidates = load.Cost, load.Space, len(choices)
	s.FirstVisit, s.Share = asked.noPart+load.Worth, share(load.Worth)
	s.Bound, s.Gap, s.Exact = share(min(load.Bound, worth.Total())), load.Gap(), load.Exact
	s.NoPart, s.Unknown = asked.noPart/asked.jobs, asked.unknown/asked.jobs
	s.Missing = orNone(asked.missing)
	s.Carry = []Carried{}
	for i, n := range load.Counts {
		if n > 0 {
			s.Carry = append(s.Carry, Carried{Carry: asked.carry[i], Count: n})
		}
	}
	slices.SortStableFunc(s.Carry, func(a, b Carried) int {
		return strings.Compare(string(a.Items[0].Type)+a.Items[0].Maker, string(b.Items[0].Type)+b.Items[0].Maker)
	})
	const points = 10
	for i := range points + 1 {
		budget := 2 * float64(s.Budget) * float64(i) / points
		l := parts.Filled(choices, parts.Room{Budget: budget, Slots: room.Slots}, worth)
		reached := share(l.Worth)
		if budget >= load.Cost { // what fits a smaller budget fits this one too
			reached = max(reached, share(load.Worth))
		}
		if i > 0 {
			reached = max(reached, s.Curve[i-1].Share)
		}
		s.Curve = append(s.Curve, CurvePoint{Budget: budget, Share: reached})
	}
	return s
}

// oneOfEach are the appliances that one maker makes, unlike the families above them,
// each once.
func (l shelf) oneOfEach() ([]LookedAfter, error) {
	titles, err := l.List(note.KindAppliance)
	if err != nil {
		return nil, err
	}
	var out []LookedAfter
	for _, t := range titles {
		rec, err := l.Get(t.ID)
		if err != nil {
			return nil, err
		}
		if a, ok := rec.Entry.(*note.Appliance); ok && a.Maker != "" {
			out = append(out, LookedAfter{Appliance: a.ID, Count: 1})
		}
	}
	return out, nil
}
