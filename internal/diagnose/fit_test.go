package diagnose

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// shareTolerance is how far a fitted share may be from the stated one.
const shareTolerance = 0.01

// given returns the share of each cause when a symptom alone is seen.
func given(m Model, symptom ID) map[ID]float64 {
	out := map[ID]float64{}
	for _, c := range must(m.Posterior(findings(seen(symptom)))).Causes {
		out[c.ID] = c.Probability
	}
	return out
}

func must(b Beliefs, err error) Beliefs {
	if err != nil {
		panic(err)
	}
	return b
}

// truth is a random model of usual figures: rates that leave something for the
// rest, links of every strength, leaks of rare things.
func truth(t *rapid.T) Model {
	m := Model{Leak: map[ID]float64{}}
	causes, symptoms := rapid.IntRange(1, 8).Draw(t, "causes"), rapid.IntRange(1, 4).Draw(t, "symptoms")
	for i := range causes {
		m.Causes = append(m.Causes, Cause{ID(fmt.Sprint("c", i)), rapid.Float64Range(0.001, 0.08).Draw(t, "rate")})
	}
	for j := range symptoms {
		symptom := ID(fmt.Sprint("s", j))
		m.Leak[symptom] = rapid.Float64Range(0.0001, 0.005).Draw(t, "leak")
		for _, c := range m.Causes {
			if rapid.IntRange(0, 2).Draw(t, "shows") > 0 {
				m.Shows = append(m.Shows, Link{c.ID, symptom, rapid.Float64Range(0.05, 0.95).Draw(t, "strength")})
			}
		}
	}
	return m
}

// statements says of each symptom what the model gives. All of them can be met at
// once: the model itself does it.
func statements(m Model) []Statement {
	var out []Statement
	for _, symptom := range sortedKeys(m.Leak) {
		s := Statement{Symptom: symptom}
		shares := given(m, symptom)
		for _, l := range m.Shows {
			if l.To == symptom {
				s.Shares = append(s.Shares, Share{l.From, shares[l.From]})
			}
		}
		if len(s.Shares) > 0 {
			out = append(out, s)
		}
	}
	return out
}

// disturbed is the model with other rates and strengths, as notes would give them.
func disturbed(t *rapid.T, m Model) Model {
	out := Model{Leak: m.Leak}
	for _, c := range m.Causes {
		out.Causes = append(out.Causes, Cause{c.ID, c.Rate * rapid.Float64Range(0.3, 3).Draw(t, "other rate")})
	}
	for _, l := range m.Shows {
		out.Shows = append(out.Shows, Link{l.From, l.To, rapid.Float64Range(0.05, 0.95).Draw(t, "other strength")})
	}
	return out
}

func TestStatementsThatCanBeMetAreMet(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := truth(t)
		said := statements(m)
		fitted := Fit(disturbed(t, m), said)
		require.Len(t, fitted.Off, len(said))
		for i, s := range said {
			assert.LessOrEqual(t, fitted.Off[i], shareTolerance, s.Symptom)
			got := given(fitted.Model, s.Symptom)
			for _, share := range s.Shares {
				assert.InDelta(t, share.Part, got[share.Cause], shareTolerance, "%s given %s", share.Cause, s.Symptom)
			}
		}
	})
}

// As an engineer would say it: nineteen of twenty times it is the sensor. Figures
// are common practice, no source.
func TestOneStatementDecidesTheOrderOfCauses(t *testing.T) {
	t.Parallel()
	m := Model{
		Causes: []Cause{{"sensor", 0.002}, {"pump", 0.02}, {"water", 0.1}, {"board", 0.01}},
		Shows:  []Link{{"sensor", "flat", 0.9}, {"pump", "flat", 0.9}, {"board", "flat", 0.3}},
	}
	fitted := Fit(m, []Statement{{"flat", []Share{{"sensor", 0.95}, {"pump", 0.02}, {"water", 0.01}}}})
	got := given(fitted.Model, "flat")
	assert.InDelta(t, 0.95, got["sensor"], shareTolerance)
	assert.InDelta(t, 0.02, got["pump"], shareTolerance)
	assert.InDelta(t, 0.01, got["water"], shareTolerance, "a link that only the statement knows")
	assert.LessOrEqual(t, got["board"], 0.02+shareTolerance, "who is not named shares what is left over")
	assert.LessOrEqual(t, fitted.Off[0], shareTolerance)
}

func TestStatementsThatContradictEndAndSayHowFarOff(t *testing.T) {
	t.Parallel()
	m := Model{Causes: []Cause{{"a", 0.01}, {"b", 0.01}}, Shows: []Link{{"a", "s", 0.5}, {"b", "s", 0.5}}}
	fitted := Fit(m, []Statement{
		{"s", []Share{{"a", 0.9}, {"b", 0.1}}},
		{"s", []Share{{"a", 0.1}, {"b", 0.9}}},
	})
	// Whatever a's share is, its distances to 0.9 and 0.1 add up to 0.8 or more.
	assert.GreaterOrEqual(t, fitted.Off[0]+fitted.Off[1], 0.8-near)
	assert.InDelta(t, math.Abs(given(fitted.Model, "s")["a"]-0.9), fitted.Off[0], shareTolerance, "it is the distance that is there")
	sound(t, m, fitted)
}

func TestStatementThatCannotBeMetSaysSo(t *testing.T) {
	t.Parallel()
	m := Model{Causes: []Cause{{"a", 0.01}, {"b", 0.01}, {"never", 0}}, Shows: []Link{{"a", "s", 0.5}, {"b", "s", 0.5}}}
	for _, c := range []struct {
		name   string
		shares []Share
		off    float64
	}{
		{"a cause that the model does not know", []Share{{"a", 0.5}, {"unheard of", 0.5}}, 0.5},
		{"a cause that never occurs", []Share{{"a", 0.5}, {"never", 0.5}}, 0.5},
		{"shares of more than both can have", []Share{{"a", 1}, {"b", 1}}, 0.3},
	} {
		fitted := Fit(m, []Statement{{"s", c.shares}})
		assert.GreaterOrEqual(t, fitted.Off[0], c.off-shareTolerance, c.name)
		sound(t, m, fitted)
	}
}

func TestStatementAboutNothingIsOffByAllOfIt(t *testing.T) {
	t.Parallel()
	m := Model{Causes: []Cause{{"never", 0}}, Leak: map[ID]float64{"s": 0}}
	fitted := Fit(m, []Statement{{"s", []Share{{"never", 0.7}}}})
	assert.InDelta(t, 0.7, fitted.Off[0], near)

	fitted = Fit(Model{}, []Statement{{"s", []Share{{"a", 0.4}}}, {"s", nil}})
	assert.InDeltaSlice(t, []float64{0.4, 0}, fitted.Off, near)
	assert.Empty(t, fitted.Model.Causes)
	assert.Empty(t, Fit(Model{}, nil).Off)
}

func TestFitLeavesAloneWhatNoStatementIsAbout(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := truth(t)
		m.Causes = append(m.Causes, Cause{"apart", 0.7}, Cause{"below", 0.5})
		m.Shows = append(m.Shows, Link{"apart", "elsewhere", 0.999}, Link{"apart", "nowhere", 0})
		m.Leads = []Link{{"apart", "below", 0.3}}
		m.Leak["elsewhere"] = 0.3
		said := statements(truth(t))
		fitted := Fit(m, said)

		want, got := m.network(), fitted.Model.network()
		assert.InDelta(t, 0.7, rateOf(fitted.Model, "apart"), 0)
		assert.Equal(t, want.shows["apart"], got.shows["apart"])
		assert.Equal(t, m.Leads, fitted.Model.Leads)
		assert.InDelta(t, 0.3, fitted.Model.Leak["elsewhere"], 0)
		assert.Equal(t, m, Fit(m, nil).inOrderOf(m), "no statement, no change")
	})
}

// inOrderOf is the fitted model with its links in the order of another's.
func (f Fitted) inOrderOf(m Model) Model {
	n := f.Model.network()
	out := f.Model
	out.Shows = nil
	for _, l := range m.Shows {
		out.Shows = append(out.Shows, Link{l.From, l.To, n.shows[l.From][l.To]})
	}
	return out
}

func rateOf(m Model, id ID) float64 {
	for _, c := range m.Causes {
		if c.ID == id {
			return c.Rate
		}
	}
	return math.NaN()
}

// sound checks what holds after every fit, whatever was stated.
func sound(t require.TestingT, before Model, fitted Fitted) {
	in := func(p, low, high float64, what string) {
		assert.True(t, p >= low && p <= high, "%s is %v, should be from %v to %v", what, p, low, high)
	}
	for _, off := range fitted.Off {
		in(off, 0, 1, "off")
	}
	require.Len(t, fitted.Model.Causes, len(before.Causes))
	for i, c := range fitted.Model.Causes {
		assert.Equal(t, before.Causes[i].ID, c.ID)
		in(c.Rate, 0, max(highestRate, before.Causes[i].Rate), "rate")
	}
	for _, l := range fitted.Model.Shows {
		in(l.Strength, 0, 1, "strength")
	}
	for symptom, leak := range fitted.Model.Leak {
		in(leak, 0, max(highestLeak, before.Leak[symptom], DefaultLeak), "leak")
	}
}

func TestFitStaysWithinBoundsWhateverIsSaid(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := drawSmall(t).Model
		causes := []ID{"unheard of"}
		for _, c := range m.Causes {
			causes = append(causes, c.ID)
		}
		var said []Statement
		for range rapid.IntRange(1, 3).Draw(t, "statements") {
			s := Statement{Symptom: rapid.SampledFrom([]ID{"x", "y", "z", "new"}).Draw(t, "symptom")}
			for _, c := range rapid.SliceOfNDistinct(rapid.SampledFrom(causes), 0, len(causes), rapid.ID).Draw(t, "shares of") {
				part := rapid.OneOf(rapid.Float64Range(0, 1), rapid.SampledFrom([]float64{0, 1})).Draw(t, "part")
				s.Shares = append(s.Shares, Share{c, part})
			}
			said = append(said, s)
		}
		fitted := Fit(m, said)
		sound(t, m, fitted)
		assert.Equal(t, fitted, Fit(m, said), "the same notes give the same library")
	})
}
