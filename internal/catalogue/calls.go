package catalogue

import (
	"cmp"
	"context"
	"slices"
	"strings"

	"kg/internal/library"
	"kg/internal/note"
	"kg/internal/parts"
)

// Carry is one thing that can be carried: a part, or parts that a repair needs
// together.
type Carry struct {
	Items []TodayPart `json:"items"`
	Cost  int         `json:"cost"`  // of one, in minutes of paid work
	Space int         `json:"space"` // slots
	// Closes is how many of the call-outs ask for it.
	Closes float64 `json:"closes"`
}

// calls is what a number of call-outs on the appliances looked after ask for.
type calls struct {
	jobs  float64
	carry []Carry
	// demands are the kinds of call-out by the places of what closes them.
	demands []parts.Demand
	// noPart are the call-outs that need no part, unknown those that need one that no
	// list has.
	noPart, unknown float64
	// missing are the part types of unknown, the most wanted first.
	missing []PartType
}

// defaultSpace is how many slots a part takes where its list says none.
const defaultSpace = 1

// callsOn works out what a number of call-outs, shared out over appliances by how
// many there are of each, ask for. Which cause is behind a call-out goes by the
// rates of the modes of the appliance; what closes it is the first repair of the
// mode with today's parts. Where a serial number decides between parts and is not
// known, each gets an equal share. A part of another maker counts where a list
// calls it identical and every attribute agrees, and never for a part that keeps
// people safe.
func (l shelf) callsOn(ctx context.Context, after []LookedAfter, jobs int) (calls, error) {
	b := basket{shelf: l, calls: calls{jobs: float64(jobs)}, at: map[string]int{}, missing: map[note.ID]float64{}}
	total := 0
	for _, a := range after {
		total += a.Count
	}
	for _, a := range after {
		s, err := l.Scope(ctx, a.Appliance)
		if err != nil {
			return b.calls, err
		}
		if err := b.appliance(ctx, s, float64(jobs)*float64(a.Count)/float64(total)); err != nil {
			return b.calls, err
		}
	}
	for _, d := range b.calls.demands {
		for _, i := range d.Options {
			b.calls.carry[i].Closes += d.Rate
		}
	}
	for id := range b.missing {
		name, err := l.Name(id)
		if err != nil {
			return b.calls, err
		}
		b.calls.missing = append(b.calls.missing, PartType{id, name})
	}
	slices.SortFunc(b.calls.missing, func(x, y PartType) int {
		return cmp.Or(cmp.Compare(b.missing[y.Component], b.missing[x.Component]), cmp.Compare(x.Component, y.Component))
	})
	return b.calls, nil
}

// basket collects what call-outs ask for.
type basket struct {
	shelf
	calls   calls
	at      map[string]int // places in Carry, by the ids of the parts
	missing map[note.ID]float64
}

func (b *basket) appliance(ctx context.Context, s *library.Scope, jobs float64) error {
	type weighed struct {
		mode *note.Mode
		rate float64
	}
	var modes []weighed
	sum := 0.0
	had, err := b.Modes(s)
	if err != nil {
		return err
	}
	for _, m := range had {
		rate, err := b.RateOn(ctx, s, m)
		if err != nil {
			return err
		}
		if rate.Figure.Used > 0 {
			modes = append(modes, weighed{m, rate.Figure.Used})
			sum += rate.Figure.Used
		}
	}
	for _, w := range modes {
		if err := b.mode(ctx, s, w.mode, jobs*w.rate/sum); err != nil {
			return err
		}
	}
	return nil
}

// mode adds the call-outs of one cause on one appliance.
func (b *basket) mode(ctx context.Context, s *library.Scope, m *note.Mode, jobs float64) error {
	r, err := b.FirstRepair(m, nil)
	if err != nil {
		return err
	}
	if r == nil || len(r.Uses) == 0 {
		b.calls.noPart += jobs
		return nil
	}
	var sets [][]TodayPart
	for _, t := range r.Uses {
		list, _, err := OfRepair(ctx, b.Library, s, m.Component, []PartType{{Component: t}})
		if err != nil {
			return err
		}
		list = slices.DeleteFunc(list, func(p TodayPart) bool { return p.Status != note.Current })
		if len(list) == 0 {
			b.calls.unknown += jobs
			b.missing[t] += jobs
			return nil
		}
		sets = append(sets, list)
	}
	if len(sets) > 1 {
		var all []TodayPart
		for _, list := range sets {
			all = append(all, list[0])
		}
		i, err := b.carry(all...)
		if err != nil {
			return err
		}
		b.calls.demands = append(b.calls.demands, parts.Demand{Rate: jobs, Options: []int{i}})
		return nil
	}
	for _, p := range sets[0] {
		options, err := b.options(p)
		if err != nil {
			return err
		}
		b.calls.demands = append(b.calls.demands, parts.Demand{Rate: jobs / float64(len(sets[0])), Options: options})
	}
	return nil
}

// options are the places of a part and of those that may go in for it.
func (b *basket) options(t TodayPart) ([]int, error) {
	i, err := b.carry(t)
	if err != nil {
		return nil, err
	}
	out := []int{i}
	p, err := b.Part(t.ID)
	if err != nil || p == nil || p.Class() != note.NoSafety {
		return out, err
	}
	list, err := parts.Interchange(b.Part, p)
	if err != nil {
		return nil, err
	}
	for _, s := range list {
		if s.Refused != "" || s.Grade != note.Identical || !s.Agrees() || len(s.Part.By) > 0 || s.Part.Status == note.Withdrawn || s.Part.Where.File == "" {
			continue
		}
		other, err := b.todayPart(s.Part, "")
		if err != nil {
			return nil, err
		}
		if i, err = b.carry(other); err != nil {
			return nil, err
		}
		out = append(out, i)
	}
	return out, nil
}

// carry is the place of some parts among what can be carried.
func (b *basket) carry(list ...TodayPart) (int, error) {
	ids := make([]string, len(list))
	for i, p := range list {
		ids[i] = string(p.ID)
	}
	slices.Sort(ids)
	key := strings.Join(ids, " ")
	if i, ok := b.at[key]; ok {
		return i, nil
	}
	c := Carry{Items: list}
	for _, p := range list {
		price := p.price
		if price == 0 {
			usual, err := b.Price([]note.ID{p.Type})
			if err != nil {
				return 0, err
			}
			price = int(usual)
		}
		c.Cost += price
		c.Space += cmp.Or(p.space, defaultSpace)
	}
	b.at[key] = len(b.calls.carry)
	b.calls.carry = append(b.calls.carry, c)
	return b.at[key], nil
}
