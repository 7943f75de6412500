package advise

import (
	"errors"
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
	said   int
	proofs []*note.Test // that prove it gone, the best first
}

// standing is a danger that was said and was not ruled out since.
type standing struct {
	danger
	safe  bool   // it was made safe
	still *Proof // what proved that it is still there
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
func (l adviser) dangers(q Question, heard hear.Heard, s *library.Scope) ([]danger, error) {
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
		if out[i].proofs, err = l.proofs(out[i].Symptom, q.Who, s); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// stand are those of some dangers that the tests done since have not ruled out. One
// that no test can rule out is taken to be gone once it was made safe: that many texts
// had been said by then.
func stand(said []danger, safe int, r record) []standing {
	var out []standing
	for _, d := range said {
		st := standing{danger: d, safe: d.said <= safe}
		if st.safe && len(d.proofs) == 0 {
			continue
		}
		gone := false
		for _, t := range d.proofs {
			switch now := r.since(t.ID, d.said); {
			case now.found == "":
			case now.healthy:
				gone = true
			case !now.stale && st.still == nil:
				st.still = &Proof{Symptom: d.ID, Name: d.Name, Test: t.ID, Of: t.Name, Found: now.found, Means: now.means}
			}
		}
		if !gone || st.still != nil {
			out = append(out, st)
		}
	}
	return out
}

// since is what a test found after some texts had been said.
func (r record) since(test note.ID, said int) proved {
	var out proved
	for _, f := range r.results {
		if f.Test == test && f.Said >= said {
			name := f.test.Results[f.place].Name
			out = proved{found: name, means: f.test.Results[f.place].Means, healthy: f.test.FindsHealthy(name), stale: f.Stale}
		}
	}
	for _, f := range r.readings {
		if f.Test != test || f.Said < said || f.judged.Verdict == "" {
			continue
		}
		// Several readings are of one part, as it was: one that is off is off, until
		// something was made safe.
		healthy := f.judged.Verdict == string(measure.Healthy)
		if out.found == "" || !healthy || out.stale && !f.Stale {
			out = proved{found: f.Figures, healthy: healthy, stale: f.Stale}
		}
	}
	return out
}

// proved is what a test says of a danger. Nothing is found where it was not done, or
// cannot be judged.
type proved struct {
	found, means string // the result and what it means, or the figures
	healthy      bool
	stale        bool // something was made safe after it
}

// proofs are the tests that prove a danger gone: those that suit the appliance
// first, of those the ones that the asker may do, and else as the note has them.
func (l adviser) proofs(d *note.Symptom, who []note.Competence, s *library.Scope) ([]*note.Test, error) {
	var all []*note.Test
	unfit := map[note.ID]int{}
	for _, id := range d.ProvedGoneBy {
		t, _, err := l.Test(id)
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
		if !mayDo(who, s.Who(t.Work)) {
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
