package advise

import (
	"errors"
	"fmt"
	"slices"

	"kg/internal/archive"
	"kg/internal/hear"
	"kg/internal/library"
	"kg/internal/measure"
	"kg/internal/note"
)

// Proof is the test that proves a danger gone which was made safe.
type Proof struct {
	Symptom note.ID `json:"symptom"`
	Name    string  `json:"name"`
	Test    note.ID `json:"test"`
	Of      string  `json:"test_name"`
	// Found is what the test found where that was not healthy, and Means what it
	// means: then the danger is still there.
	Found string `json:"found,omitempty"`
	Means string `json:"means,omitempty"`
}

// danger is a symptom that stops the work and was said.
type danger struct {
	*note.Symptom
	path string
	// said is how many texts had been said when it was said last.
	said int
}

// standing is a danger that was said and was not ruled out since.
type standing struct {
	danger
	proofs []*note.Test // that prove it gone, the best first
	safe   bool         // it was made safe
	still  *Proof       // what proved that it is still there
}

// Hearing names one danger at a time; others are taken from the findings, where they
// are clear enough: as like the words as graveLike, and as likely as graveSense beside
// the first sense, which is about as good (see hear.Finding.Doubtful).
const (
	graveLike  = 0.55
	graveSense = 0.5
)

// dangersIn are the symptoms that stop the work among what was heard: what hearing
// says is a danger, and what findings are or imply.
func (l adviser) dangersIn(h hear.Heard) ([]danger, error) {
	var out []danger
	add := func(id note.ID) error {
		queue := []note.ID{id}
		for i := 0; i < len(queue); i++ {
			rec, err := l.Get(queue[i])
			if errors.Is(err, archive.ErrNotFound) {
				continue // its note was left out
			}
			if err != nil {
				return err
			}
			s, ok := rec.Entry.(*note.Symptom)
			if !ok {
				continue
			}
			for _, implied := range s.Implies {
				if !slices.Contains(queue, implied) {
					queue = append(queue, implied)
				}
			}
			if len(s.StopWork) > 0 && !slices.ContainsFunc(out, func(d danger) bool { return d.ID == s.ID }) {
				out = append(out, danger{Symptom: s, path: rec.Path})
			}
		}
		return nil
	}
	if h.Danger != nil {
		if err := add(h.Danger.Symptom); err != nil {
			return nil, err
		}
	}
	for _, f := range h.Findings {
		if !f.Present {
			continue
		}
		for _, s := range f.Senses {
			if s.Score < graveLike || s.Weight < graveSense*f.Senses[0].Weight {
				continue
			}
			if err := add(s.ID); err != nil {
				return nil, err
			}
		}
	}
	return out, nil
}

// dangers are the symptoms that stop the work among all that was said, with when
// each was said last. Those that were made safe are among them, since made safe is
// not yet proved gone.
func (l adviser) dangers(q Question, heard hear.Heard) ([]danger, error) {
	out, err := l.dangersIn(heard)
	if err != nil || q.Safe == 0 && len(out) == 0 {
		return nil, err
	}
	for i, said := range heard.Each {
		in, err := l.dangersIn(hear.Heard{Findings: said.Findings, Danger: said.Danger})
		if err != nil {
			return nil, err
		}
		for _, d := range in {
			at := slices.IndexFunc(out, func(o danger) bool { return o.ID == d.ID })
			switch {
			case at >= 0:
				out[at].said = i + 1
			case i < q.Safe: // made safe, and for hearing no danger any more
				d.said = i + 1
				out = append(out, d)
			}
		}
	}
	for i := range out {
		if slices.Contains(q.Symptoms[:min(q.SafeSymptoms, len(q.Symptoms))], out[i].ID) && out[i].said <= q.Safe {
			out[i].said = q.Safe // said for certain, before it was made safe
		}
		if out[i].said == 0 { // only all of it together says so
			out[i].said = len(heard.Each)
		}
	}
	return out, nil
}

// stand are those of some dangers that the tests done since have not ruled out. One
// that no test can rule out is taken to be gone once it was made safe.
func (l adviser) stand(said []danger, q Question, s *library.Scope) ([]standing, error) {
	var out []standing
	for _, d := range said {
		st := standing{danger: d, safe: d.said <= q.Safe}
		var err error
		if st.proofs, err = l.proofs(d.Symptom, q.Who, s); err != nil {
			return nil, err
		}
		if st.safe && len(st.proofs) == 0 {
			continue
		}
		proved := false
		for _, t := range st.proofs {
			found, healthy, stale, err := l.foundSince(t, q, d.said)
			if err != nil {
				return nil, err
			}
			switch {
			case found == "":
			case healthy:
				proved = true
			case !stale && st.still == nil:
				st.still = &Proof{Symptom: d.ID, Name: d.Name, Test: t.ID, Of: t.Name, Found: found, Means: meaning(t, found)}
			}
		}
		if !proved || st.still != nil {
			out = append(out, st)
		}
	}
	return out, nil
}

// proofs are the tests that prove a danger gone: those that suit the appliance
// first, of those the ones that the asker may do, and else as the note has them.
func (l adviser) proofs(d *note.Symptom, who []note.Competence, s *library.Scope) ([]*note.Test, error) {
	var all []*note.Test
	unfit := map[note.ID]int{}
	for _, id := range d.ProvedGoneBy {
		t, _, err := l.testMethod(id)
		if err != nil {
			return nil, err
		}
		if t == nil || !t.Proves() {
			continue
		}
		suits, err := l.suits(t, s)
		if err != nil {
			return nil, err
		}
		if !suits {
			unfit[id] += 2
		}
		if !mayDo(who, t.Who) {
			unfit[id]++
		}
		all = append(all, t)
	}
	slices.SortStableFunc(all, func(a, b *note.Test) int { return unfit[a.ID] - unfit[b.ID] })
	return all, nil
}

// suits reports whether a test is of something that an appliance has.
func (l adviser) suits(t *note.Test, s *library.Scope) (bool, error) {
	if s == nil {
		return true, nil
	}
	named := false
	for _, r := range t.Results {
		for _, seen := range r.SeenWith {
			rec, err := l.Get(seen.To)
			if errors.Is(err, archive.ErrNotFound) {
				continue // its note was left out
			}
			if err != nil {
				return false, err
			}
			if m, ok := rec.Entry.(*note.Mode); ok {
				if s.Allows(m) {
					return true, nil
				}
				named = true
			}
		}
	}
	return !named, nil
}

// foundSince is what a test found after some texts had been said: the result or the
// figure, whether all is well with it, and whether something was made safe after
// it. Nothing is found where it was not done, or cannot be judged.
func (l adviser) foundSince(t *note.Test, q Question, said int) (found string, healthy, stale bool, err error) {
	for _, r := range q.Results {
		if r.Test != t.ID || r.Said < said {
			continue
		}
		i, err := resultOf(t, r.Result)
		if err != nil {
			return "", false, false, err
		}
		found = t.Results[i].Name
		healthy, stale = t.FindsHealthy(found), r.Stale
	}
	for _, r := range q.Readings {
		if r.Test != t.ID || r.Said < said {
			continue
		}
		j, err := Judge(l.Library, r)
		if err != nil {
			return "", false, false, err
		}
		if j.Verdict == "" {
			continue
		}
		// Several readings are of one part, as it was: one that is off is off, until
		// something was made safe.
		now := j.Verdict == string(measure.Healthy)
		if found == "" || !now || stale && !r.Stale {
			found, healthy, stale = r.Figures, now, r.Stale
		}
	}
	return found, healthy, stale, nil
}

// meaning is what a result of a test means.
func meaning(t *note.Test, result string) string {
	for _, r := range t.Results {
		if r.Name == result {
			return r.Means
		}
	}
	return ""
}

// stopping is what ends all work: what was said, or what a test has shown to be
// there still. What may have been meant and was ruled out since is nothing.
func stopping(heard *hear.Danger, said []danger, dangers []standing) *hear.Danger {
	if heard != nil && heard.Sure {
		return heard
	}
	if d := stillThere(dangers); d != nil {
		return &hear.Danger{Sure: true, Symptom: d.ID, Name: d.Name, First: d.StopWork, Note: d.path}
	}
	if heard == nil {
		return nil
	}
	same := func(id note.ID) bool { return id == heard.Symptom }
	if slices.ContainsFunc(said, func(d danger) bool { return same(d.ID) }) &&
		!slices.ContainsFunc(dangers, func(d standing) bool { return same(d.ID) }) {
		return nil
	}
	return heard
}

// stillThere is the first danger that a test has shown to be there still.
func stillThere(dangers []standing) *standing {
	for i := range dangers {
		if dangers[i].still != nil {
			return &dangers[i]
		}
	}
	return nil
}

// unproved is the danger that has to be proved gone before anything else is done:
// of those that were made safe, the first whose test no other one forbids.
func unproved(dangers []standing) *standing {
	var first *standing
	for i := range dangers {
		d := &dangers[i]
		if !d.safe {
			continue
		}
		if len(barring(d.proofs[0].Work, dangers)) == 0 {
			return d
		}
		if first == nil {
			first = d
		}
	}
	return first
}

// prove is the step that proves a danger gone. Where the asker may not do it,
// somebody has to come who may.
func (l adviser) prove(d *standing, who []note.Competence) *Next {
	t := d.proofs[0]
	n := &Next{
		Kind: StepTest, ID: t.ID, Name: t.Name, Who: t.Who, Minutes: t.Minutes, ExpectedMinutes: float64(t.Minutes),
		Isolation: t.Isolation, Steps: t.Steps,
		Why: fmt.Sprintf("this proves that %q is gone, which comes before any diagnosis", d.Name),
	}
	for _, r := range t.Results {
		n.Results = append(n.Results, NextResult{Name: r.Name, Means: r.Means})
	}
	if !mayDo(who, t.Who) {
		n.Kind, n.Name = StepCall, "Have someone come who may do it: "+t.Name
		n.Minutes, n.Isolation, n.Steps, n.Results = 0, "", nil, nil
	}
	return n
}
