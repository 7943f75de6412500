package advise

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"kg/internal/diagnose"
	"kg/internal/hear"
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
	t, given, err := adviser{lib}.given(r)
	if err != nil {
		return Judged{}, err
	}
	judgement, err := given.Judge()
	if err != nil {
		return Judged{}, fmt.Errorf("judging the reading of %s: %w", r.Test, err)
	}
	if name, x, unit, means := judgement.Means(); judgement.Verdict == measure.Unjudged && means {
		return Judged{}, fmt.Errorf("%s of a healthy part would mean %s = %.4g %s: say what it is, as in %s=..., to have it judged", r.Figures, name, x, unit, name)
	}
	j := Judged{Test: t.ID, Name: t.Name, Figures: r.Figures, Model: t.Reading.Model, Verdict: string(judgement.Verdict), Unit: judgement.Unit(), Judgement: judgement}
	j.Expected, j.Low, j.High = finite(judgement.In(judgement.Expected)), finite(judgement.In(judgement.Low)), finite(judgement.In(judgement.High))
	return j, nil
}

func finite(x float64) *float64 {
	if x-x != 0 {
		return nil
	}
	return &x
}

// given is a reading with all that is known about it: what the reader says, then
// the component's nominal data, then the data of the test.
func (l adviser) given(r Read) (*note.Test, *measure.Given, error) {
	t, _, err := l.testMethod(r.Test)
	if err != nil {
		return nil, nil, err
	}
	if t == nil {
		_, err := l.OfKind(r.Test, "test", note.KindTest)
		return nil, nil, err
	}
	if t.Reading == nil {
		return nil, nil, &NoReading{r.Test}
	}
	given, err := measure.New(t.Reading.Model)
	if err != nil {
		return nil, nil, err
	}
	pairs, err := measure.Pairs(strings.Fields(r.Figures))
	if err != nil {
		return nil, nil, err
	}
	for _, p := range pairs {
		if err := given.Set(p.Key, p.Value); err != nil {
			return nil, nil, err
		}
	}
	if !given.Has("reads") {
		return nil, nil, fmt.Errorf("say what the meter showed, like 10.4k or OL")
	}
	if err := l.nominal(t, given); err != nil {
		return nil, nil, err
	}
	return t, given, nil
}

// nominal gives a case what the component and the test say, where it was not said
// otherwise.
func (l adviser) nominal(t *note.Test, given *measure.Given) error {
	nominal := map[string]string{}
	if t.Reading.Of != "" {
		if rec, err := l.Get(t.Reading.Of); err == nil {
			if c, ok := rec.Entry.(*note.Component); ok {
				nominal = c.Nominal
			}
		}
	}
	for _, data := range []map[string]string{nominal, t.Reading.Given} {
		for _, key := range slices.Sorted(maps.Keys(data)) {
			if given.Has(key) {
				continue
			}
			if err := given.Set(key, data[key]); err != nil {
				return fmt.Errorf("the data of %s: %w", t.ID, err)
			}
		}
	}
	return nil
}

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
	t, _, err := l.testMethod(told.Test)
	if err != nil || t == nil || t.Reading == nil || sure < ToldEnough {
		return spoken{}, false
	}
	given, err := measure.New(t.Reading.Model)
	if err != nil || l.nominal(t, given) != nil {
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

// readings are the readings of each test as one outcome of it: how well each of
// its results explains them.
func (l adviser) readings(all []Read) ([]diagnose.Outcome, error) {
	var out []diagnose.Outcome
	var tests []note.ID
	for _, r := range all {
		if !slices.Contains(tests, r.Test) {
			tests = append(tests, r.Test)
		}
	}
	for _, id := range tests {
		var given []*measure.Given
		var figures []string
		var t *note.Test
		for _, r := range all {
			if r.Test != id {
				continue
			}
			test, g, err := l.given(r)
			if err != nil {
				return nil, err
			}
			t, given, figures = test, append(given, g), append(figures, r.Figures)
		}
		likely, err := explained(t, given)
		if err != nil {
			return nil, fmt.Errorf("the readings of %s: %w", id, err)
		}
		out = append(out, diagnose.Outcome{Label: OutcomeLabel(id, strings.Join(figures, ", ")), Test: TestFigures(t), Result: likely})
	}
	return out, nil
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
