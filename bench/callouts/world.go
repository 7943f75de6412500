package main

import (
	"context"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"slices"

	"kg/internal/advise"
	"kg/internal/diagnose"
	"kg/internal/library/disk"
	"kg/internal/link"
	"kg/internal/note"
)

// world is how an appliance fails, by the figures that the library uses, or by
// ones that are off.
type world struct {
	modes []note.ID
	rate  map[note.ID]float64
	shows map[note.ID][]link.Edge
	leads map[note.ID][]link.Edge
	leak  map[note.ID]float64 // of symptoms: how often they are there by none of the modes
	slips float64             // how often a result is another one than it should be
	tests *figures
}

// figures are those of tests, as the notes have them or off.
type figures struct {
	of    map[note.ID]diagnose.Test
	r     *rand.Rand // nil for those of the notes
	sigma float64
}

// test are the figures of a test in this world.
func (f *figures) test(t *note.Test) diagnose.Test {
	if known, is := f.of[t.ID]; is {
		return known
	}
	out := advise.TestFigures(t)
	if f.r != nil {
		share := func(p []*float64) {
			sum := 0.0
			for _, x := range p {
				*x *= math.Exp(f.sigma * f.r.NormFloat64())
				sum += *x
			}
			for _, x := range p {
				*x /= max(sum, 1e-12)
			}
		}
		for _, cause := range out.Causes() {
			given := make([]float64, len(out.Results))
			p := make([]*float64, len(given))
			for i := range out.Results {
				given[i] = out.Results[i].Given[cause]
				p[i] = &given[i]
			}
			share(p)
			for i := range out.Results {
				out.Results[i].Given[cause] = given[i]
			}
		}
		var otherwise []*float64
		for i := range out.Results {
			otherwise = append(otherwise, &out.Results[i].Otherwise)
		}
		share(otherwise)
	}
	f.of[t.ID] = out
	return out
}

// newWorld takes the modes that an appliance can have and that can be mended.
func newWorld(ctx context.Context, lib *disk.Library, appliance note.ID, edges []link.Edge, rates []link.Rate) (world, error) {
	w := world{tests: &figures{of: map[note.ID]diagnose.Test{}}, rate: map[note.ID]float64{}, shows: map[note.ID][]link.Edge{}, leads: map[note.ID][]link.Edge{}, leak: map[note.ID]float64{}}
	s, err := lib.Scope(ctx, appliance)
	if err != nil {
		return w, err
	}
	modes, err := lib.Modes(s)
	if err != nil {
		return w, err
	}
	var can []note.ID
	for _, m := range modes {
		can = append(can, m.ID)
	}
	for _, r := range rates {
		w.rate[r.Of] = r.Figure.Used
	}
	for _, e := range edges {
		if !slices.Contains(can, e.From) || e.Figure.Used == 0 {
			continue
		}
		switch e.Link {
		case link.Shows:
			stops, err := stopsWork(lib, e.To)
			if err != nil {
				return w, err
			}
			if !stops {
				w.shows[e.From] = append(w.shows[e.From], e)
			}
		case link.LeadsTo:
			if slices.Contains(can, e.To) {
				w.leads[e.From] = append(w.leads[e.From], e)
			}
		}
	}
	for _, m := range modes {
		if len(w.shows[m.ID]) > 0 && len(m.Repair) > 0 {
			w.modes = append(w.modes, m.ID)
			for _, e := range w.shows[m.ID] {
				w.leak[e.To] = w.rate[e.To]
			}
		}
	}
	return w, nil
}

func stopsWork(lib *disk.Library, symptom note.ID) (bool, error) {
	rec, err := lib.Entry(symptom)
	if err != nil {
		return false, err
	}
	s, ok := rec.Entry.(*note.Symptom)
	return ok && len(s.StopWork) > 0, nil
}

// off is the world with every figure, those of tests and leaks too, multiplied by a factor drawn
// log-normally.
func (w world) off(r *rand.Rand, sigma float64) world {
	out := world{tests: &figures{of: map[note.ID]diagnose.Test{}, r: rand.New(rand.NewPCG(r.Uint64(), 3)), sigma: sigma}, slips: w.slips, modes: w.modes, rate: map[note.ID]float64{}, shows: map[note.ID][]link.Edge{}, leads: map[note.ID][]link.Edge{}, leak: map[note.ID]float64{}}
	factor := func(p float64) float64 { return math.Min(0.999, p*math.Exp(sigma*r.NormFloat64())) }
	for _, id := range w.modes {
		out.rate[id] = factor(w.rate[id])
		for _, e := range w.shows[id] {
			e.Figure.Used = factor(e.Figure.Used)
			out.shows[id] = append(out.shows[id], e)
		}
		for _, e := range w.leads[id] {
			e.Figure.Used = factor(e.Figure.Used)
			out.leads[id] = append(out.leads[id], e)
		}
	}
	for _, symptom := range slices.Sorted(maps.Keys(w.leak)) {
		out.leak[symptom] = factor(w.leak[symptom])
	}
	return out
}

// mostTold is how many symptoms a householder tells.
const mostTold = 2

// callout is what is wrong, and what was told of it.
type callout struct {
	modes []note.ID
	told  []note.ID
}

// draw makes a call-out: a mode by its rate, what it has led to, and what these
// show, of which some is told. It is drawn anew until something shows. As often as
// symptoms have none of these modes behind them, it is none: then only help ends it.
func (w world) draw(r *rand.Rand) callout {
	total := 0.0
	for _, id := range w.modes {
		total += w.rate[id]
	}
	symptoms := slices.Sorted(maps.Keys(w.leak))
	known := total
	for _, id := range symptoms {
		total += w.leak[id]
	}
	for {
		c := callout{}
		x := r.Float64() * total
		if x >= known {
			for _, id := range symptoms {
				if x -= w.leak[id]; x < known {
					return callout{told: []note.ID{id}}
				}
			}
		}
		for _, id := range w.modes {
			if x -= w.rate[id]; x < 0 {
				c.modes = []note.ID{id}
				break
			}
		}
		for i := 0; i < len(c.modes); i++ {
			for _, e := range w.leads[c.modes[i]] {
				if r.Float64() < e.Figure.Used && !slices.Contains(c.modes, e.To) && slices.Contains(w.modes, e.To) {
					c.modes = append(c.modes, e.To)
				}
			}
		}
		var shown []note.ID
		for _, id := range c.modes {
			for _, e := range w.shows[id] {
				if r.Float64() < e.Figure.Used && !slices.Contains(shown, e.To) {
					shown = append(shown, e.To)
				}
			}
		}
		if len(shown) == 0 {
			continue
		}
		r.Shuffle(len(shown), func(i, j int) { shown[i], shown[j] = shown[j], shown[i] })
		c.told = shown[:min(len(shown), mostTold)]
		slices.Sort(c.told)
		return c
	}
}

// find draws what a test finds when some modes are there, and no others.
func (w world) find(r *rand.Rand, t *note.Test, modes []note.ID) (int, error) {
	var there diagnose.Model
	for _, id := range modes {
		there.Causes = append(there.Causes, diagnose.Cause{ID: diagnose.ID(id), Rate: 1})
	}
	likely, err := there.Prospects(diagnose.Evidence{}, w.tests.test(t))
	if err != nil {
		return 0, fmt.Errorf("working out what %s finds: %w", t.ID, err)
	}
	x := r.Float64()
	for i, p := range likely {
		if x -= p.Probability; x < 0 {
			return i, nil
		}
	}
	return len(likely) - 1, nil
}

// still reports whether modes that are left still show something that was told; what
// none of the modes brought about goes on.
func (w world) still(c callout, modes []note.ID) bool {
	if len(c.modes) == 0 {
		return true
	}
	for _, id := range modes {
		for _, e := range w.shows[id] {
			if e.Figure.Used >= 0.05 && slices.Contains(c.told, e.To) {
				return true
			}
		}
	}
	return false
}
