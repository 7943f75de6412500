package advise

import (
	"fmt"
	"slices"

	"kg/internal/library"
	"kg/internal/measure"
	"kg/internal/note"
)

// Judged is a reading with what it says about the part.
type Judged struct {
	Test    note.ID `json:"test"`
	Name    string  `json:"name"`
	Figures string  `json:"figures"`
	Model   string  `json:"model"`
	// Verdict is empty where a model cannot judge.
	Verdict string `json:"verdict"`
	// Expected, Low and High are what a healthy part shows; null where there is none.
	Expected *float64 `json:"expected"`
	Low      *float64 `json:"low"`
	High     *float64 `json:"high"`
	Unit     string   `json:"unit"`

	Judgement measure.Judgement `json:"-"`
}

// NoReading says that the result of a test is not a figure on a meter.
type NoReading struct{ Test note.ID }

func (e *NoReading) Error() string {
	return fmt.Sprintf("%s names no model by which a figure could be judged: say which of its results was found, with `kg job result`", e.Test)
}

// offBy is how far a part that has drifted, or is not the right one, reads off: the
// standard deviation as a part of the healthy reading. No source: our own
// assumption.
const offBy = 0.3

// Judge judges a reading by the model that its test names, with the nominal data
// of the component where the reader does not say.
func Judge(lib *library.Library, r Read) (Judged, error) {
	l := adviser{lib}
	t, err := l.method(r.Test)
	if err != nil {
		return Judged{}, err
	}
	taken, err := l.taken(t, r)
	return taken.judged, err
}

// taken is a reading in a test, judged, with all that is known about it: what the reader
// says, then the component's nominal data, then the data of the test.
func (l adviser) taken(t *note.Test, r Read) (readingTaken, error) {
	if t.Reading == nil {
		return readingTaken{}, &NoReading{r.Test}
	}
	nominal := l.nominal(t)
	given, err := measure.Taken(t.Reading.Model, r.Figures, nominal, t.Reading.Given)
	if err != nil {
		return readingTaken{}, err
	}
	judgement, err := given.Judge()
	if err != nil {
		return readingTaken{}, fmt.Errorf("judging the reading of %s: %w", r.Test, err)
	}
	if name, x, unit, means := judgement.Means(); judgement.Verdict == measure.Unjudged && means {
		return readingTaken{}, fmt.Errorf("%s of a healthy part would mean %s = %.4g %s: say what it is, as in %s=..., to have it judged", r.Figures, name, x, unit, name)
	}
	j := Judged{Test: t.ID, Name: t.Name, Figures: r.Figures, Model: t.Reading.Model, Verdict: string(judgement.Verdict), Unit: judgement.Unit(), Judgement: judgement}
	j.Expected, j.Low, j.High = finite(judgement.In(judgement.Expected)), finite(judgement.In(judgement.Low)), finite(judgement.In(judgement.High))
	return readingTaken{Read: r, test: t, given: given, judged: j}, nil
}

func finite(x float64) *float64 {
	if x-x != 0 {
		return nil
	}
	return &x
}

// nominal is the nominal data of the component that a test measures.
func (l adviser) nominal(t *note.Test) map[string]string {
	if t.Reading.Of == "" {
		return nil
	}
	rec, err := l.Get(t.Reading.Of)
	if err != nil {
		return nil // its note was left out
	}
	c, ok := rec.Entry.(*note.Component)
	if !ok {
		return nil
	}
	return c.Nominal
}

// explained is how well each result of a test explains readings.
func explained(t *note.Test, given []*measure.Given) ([]float64, error) {
	verdicts := []struct {
		result     string
		hypothesis measure.Hypothesis
	}{
		{t.Reading.Healthy, measure.HealthyPart()},
		{t.Reading.Off, measure.DriftedPart("off", measure.Deviation{}, measure.Deviation{Relative: offBy})},
		{t.Reading.Open, measure.OpenPart()},
		{t.Reading.Short, measure.ShortPart()},
	}
	var hypotheses []measure.Hypothesis
	var results []int
	for _, v := range verdicts {
		if at := slices.IndexFunc(t.Results, func(r note.Result) bool { return v.result != "" && r.Name == v.result }); at >= 0 {
			hypotheses, results = append(hypotheses, v.hypothesis), append(results, at)
		}
	}
	likely, err := measure.Likelihoods(given, hypotheses)
	if err != nil {
		return nil, err
	}
	out := make([]float64, len(t.Results))
	for i, at := range results {
		out[at] = max(out[at], likely[i])
	}
	return out, nil
}
