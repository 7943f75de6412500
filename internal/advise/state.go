package advise

import (
	"errors"
	"fmt"
	"slices"

	"kg/internal/archive"
	"kg/internal/hear"
	"kg/internal/note"
)

// state is what an appliance is known to be, and not to be.
type state []note.Condition

// found is a state after one more thing was found: it takes the place of what it denies.
func (s state) found(list []note.Condition) state {
	out := slices.Clone(s)
	for _, c := range list {
		out = slices.DeleteFunc(out, c.Denies)
		if !slices.Contains(out, c) {
			out = append(out, c)
		}
	}
	return out
}

// denies is the condition that denies one of those that are needed, with what follows
// from both.
func (s state) denies(needed []note.Condition) (note.Condition, bool) {
	known := note.Closed(s)
	for _, n := range note.Closed(needed) {
		if at := slices.IndexFunc(known, n.Denies); at >= 0 {
			return known[at], true
		}
	}
	return note.Condition{}, false
}

// reach says what has to be done first for an appliance to be as some work needs it, and
// whether it can be got there: a lockout can be reset, and heat can be called for; what
// has no supply, or does not move its water, is to be mended first.
func (s state) reach(needed []note.Condition) (first []note.Preparation, possible bool) {
	if _, no := s.denies(needed); !no {
		return nil, true
	}
	free := slices.DeleteFunc(slices.Clone(s), func(c note.Condition) bool {
		return c == note.Condition{State: note.LockedOut} || c == note.Condition{State: note.Demanded, Not: true}
	})
	if _, no := free.denies(needed); no {
		return nil, false
	}
	if slices.Contains(s, note.Condition{State: note.LockedOut}) {
		first = append(first, note.Reset)
	}
	if slices.Contains(s, note.Condition{State: note.Demanded, Not: true}) {
		first = append(first, note.Running)
	}
	return first, true
}

// symptom is the symptom of an id; nil where its note was left out, or is of another kind.
func (l adviser) symptom(id note.ID) (*note.Symptom, error) {
	rec, err := l.Get(id)
	if errors.Is(err, archive.ErrNotFound) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	s, _ := rec.Entry.(*note.Symptom)
	return s, nil
}

// states are what each finding says that the appliance is.
func (l adviser) states(said []hear.Finding) ([][]note.Condition, error) {
	out := make([][]note.Condition, len(said))
	for i, f := range said {
		id, ok := clear(f)
		if !ok || !f.Present {
			continue
		}
		s, err := l.symptom(id)
		if err != nil {
			return nil, err
		}
		if s != nil {
			out[i] = s.Leaves
		}
	}
	return out, nil
}

// after is a state after all that tests have found. What was so before a remedy was tried
// need not be so any more.
func (s state) after(r record) state {
	if len(r.mended) > 0 {
		s = nil
	}
	for _, f := range r.results {
		if len(f.After) == len(r.mended) {
			s = s.found(f.test.Results[f.place].Leaves)
		}
	}
	return s
}

// spoken takes out of what was said what says nothing as the appliance is: a pressure
// that does not rise says little of its sensor where the pump does not run. It returns
// the state that the rest speaks of.
func (l adviser) spoken(said []hear.Finding, r record) (counts []hear.Finding, is state, remarks []string, err error) {
	leaves, err := l.states(said)
	if err != nil {
		return nil, nil, nil, err
	}
	for i, f := range said {
		var others state
		for k, list := range leaves {
			if k != i {
				others = others.found(list)
			}
		}
		id, ok := clear(f)
		if ok && f.Present {
			s, err := l.symptom(id)
			if err != nil {
				return nil, nil, nil, err
			}
			if s != nil {
				if c, denied := others.after(r).denies(s.While); denied {
					remarks = append(remarks, fmt.Sprintf("%q says little while it is %s: it was left out of account", f.Text, c))
					continue
				}
			}
		}
		counts = append(counts, f)
		is = is.found(leaves[i])
	}
	return counts, is, remarks, nil
}
