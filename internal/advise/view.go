package advise

import (
	"context"
	"fmt"
	"slices"

	"kg/internal/hear"
	"kg/internal/link"
	"kg/internal/note"
)

// clearly is the probability from which on words count as the observation that they are
// heard as, and not only as evidence of it.
const clearly = 0.6

// clear is the symptom that a finding is, where it is heard clearly and as one thing.
func clear(f hear.Finding) (note.ID, bool) {
	s := f.Senses[0]
	return s.ID, len(f.Senses) == 1 && s.Kind == note.KindSymptom && s.Score >= clearly
}

// views are how findings and the results of tests see the same things. A test looks
// closer than somebody tells: what was said of the same thing counts no more once it was
// tested, and tests that would only see again what was said are not offered.
type views struct {
	said    []hear.Finding // that count
	told    []note.ID      // tests whose result was said
	remarks []string
}

// views looks for the tests that see what was said.
func (l adviser) views(ctx context.Context, said []hear.Finding, r record) (views, error) {
	var out views
	for _, f := range said {
		id, ok := clear(f)
		if !ok {
			out.said = append(out.said, f)
			continue
		}
		edges, err := l.In(ctx, id, link.SameAs)
		if err != nil {
			return out, err
		}
		tested := false
		for _, e := range edges {
			if !r.has(e.From) {
				if f.Present {
					out.told = append(out.told, e.From)
				}
				continue
			}
			tested = true
			if other, differs := r.differs(e.From, id); differs && f.Present {
				out.remarks = append(out.remarks, fmt.Sprintf("%q was said, and %s found %q: the test counts", f.Text, e.From, other))
			}
		}
		if !tested {
			out.said = append(out.said, f)
		}
	}
	return out, nil
}

// differs is what a test found, if that is not what a symptom is the same as.
func (r record) differs(test, symptom note.ID) (string, bool) {
	for _, f := range r.results {
		if found := f.test.Results[f.place]; f.Test == test && !slices.Contains(found.SameAs, symptom) {
			return found.Name, true
		}
	}
	return "", false
}
