package advise

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"kg/internal/hear"
	"kg/internal/library"
	"kg/internal/measure"
	"kg/internal/note"
)

// Told hears words as the result of a test: of one of those that are waited for, if
// any. It is false where they say something else, or more, or are not clear.
func Told(ctx context.Context, lib *library.Library, words string, waited []note.ID) (Tested, bool, error) {
	heard, err := hear.Listen(ctx, lib, hear.Words{Text: words, Waited: waited}, nil)
	if err != nil {
		return Tested{}, false, err
	}
	if heard.Danger != nil || len(heard.Findings) > 0 || len(heard.Told) != 1 || heard.Told[0].Results[0].Score < ToldEnough {
		return Tested{}, false, nil
	}
	t := heard.Told[0]
	return Tested{Test: t.Test, Result: t.Results[0].Result}, true, nil
}

// told takes in what words tell of tests. A result that is likely enough counts as
// found, but proves no danger gone; the others are named. Where the words hold a figure
// that can be judged, it counts instead of the result that they sound like.
func (l adviser) told(told []hear.Told, q *Question, a *Answer) error {
	for _, t := range told {
		if slices.ContainsFunc(q.Results, func(r Tested) bool { return r.Test == t.Test }) {
			continue // what was given as its result counts
		}
		name, err := l.Name(t.Test)
		if err != nil {
			return err
		}
		best := t.Results[0]
		read, judged := l.read(t)
		switch {
		case judged && (best.Score < ToldEnough || read.result == best.Result):
			q.Readings = append(slices.Clip(q.Readings), read.Read)
		case judged:
			a.Remarks = append(a.Remarks, fmt.Sprintf("%q sounds like %s of %q, and the figure in it is %s: say which with `kg job result` or `kg job read`", t.Text, best.Result, name, read.verdict))
		case best.Score < ToldEnough:
			may, err := l.mayBe(t)
			if err != nil {
				return err
			}
			a.Remarks = append(a.Remarks, fmt.Sprintf("%q sounds like %s: give it as the result of the test that it is of", t.Text, may))
		default:
			q.Results = append(slices.Clip(q.Results), Tested{Test: t.Test, Result: best.Result})
		}
	}
	return nil
}

// mayBe names what words may tell of, the likeliest of each test.
func (l adviser) mayBe(t hear.Told) (string, error) {
	var names []string
	for _, t := range append([]hear.Told{t}, t.Others...) {
		name, err := l.Name(t.Test)
		if err != nil {
			return "", err
		}
		names = append(names, fmt.Sprintf("%s of %q [%s]", t.Results[0].Result, name, t.Test))
	}
	return strings.Join(names, ", or "), nil
}

// ToldEnough is how probable a result that words tell of has to be to count as found: one
// that is heard wrong costs more than one more question.
const ToldEnough = 0.75

// spoken is a reading that words tell of, with what a model says of it.
type spoken struct {
	Read
	verdict string
	result  string // the result of the test that this is
}

// read finds in what words tell of a test a figure that can be judged, where it is clear
// which test they tell of.
func (l adviser) read(told hear.Told) (spoken, bool) {
	sure := 0.0
	for _, r := range told.Results {
		sure += r.Score
	}
	t, _, err := l.Test(told.Test)
	if err != nil || t == nil || t.Reading == nil || sure < ToldEnough {
		return spoken{}, false
	}
	given, err := measure.New(t.Reading.Model)
	if err != nil || given.Fill(l.nominal(t), t.Reading.Given) != nil {
		return spoken{}, false
	}
	var figures []string
	for _, p := range given.Spoken(told.Text) {
		if len(figures) == 0 {
			figures = append(figures, p.Value)
			continue
		}
		figures = append(figures, p.Key+"="+p.Value)
	}
	if len(figures) == 0 {
		return spoken{}, false
	}
	out := spoken{Read: Read{Test: t.ID, Figures: strings.Join(figures, " ")}}
	j, err := Judge(l.Library, out.Read)
	if err != nil {
		return spoken{}, false
	}
	switch measure.Verdict(j.Verdict) {
	case measure.Healthy:
		out.result = t.Reading.Healthy
	case measure.Low, measure.High:
		out.result = t.Reading.Off
	}
	out.verdict = j.Verdict
	return out, out.result != ""
}
