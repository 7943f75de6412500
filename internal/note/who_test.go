package note_test

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"kg/internal/note"
)

func TestWhoIsReadAsItIsWritten(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]note.Who{
		"electrician":                             note.All(note.Electrician),
		"heating-engineer":                        note.All(note.HeatingEngineer),
		"gas-licensed and electrician":            note.All(note.GasLicensed, note.Electrician),
		"Oil":                                     note.All(note.OilQualified),
		"gas and gas-licensed":                    note.All(note.GasLicensed),
		"gas-licensed or oil-qualified":           {{note.GasLicensed}, {note.OilQualified}},
		"gas or oil or gas":                       {{note.GasLicensed}, {note.OilQualified}},
		"unvented and electrician or apprentice":  {{note.UnventedQualified, note.Electrician}, {note.Apprentice}},
		"heating engineer or heating engineer or": nil,
		"and electrician":                         nil,
		"electrician and":                         nil,
		"gas, oil":                                nil,
		"":                                        nil,
	} {
		got, err := note.ParseWho(text)
		assert.Equal(t, want, got, text)
		assert.Equal(t, want == nil, err != nil, text)
	}
}

// Several in a list are as good as several with "or" between them.
func TestAListNamesSeveralOfWhomOneWillDo(t *testing.T) {
	t.Parallel()
	read := func(who string) note.Work {
		n, problems := note.Parse("test/t.md", []byte("---\nname: T\nminutes: 5\nwho: "+who+"\nisolation: none\nsteps: [a]\nresults: {a: }\n---\n"))
		require.Empty(t, problems)
		return n.Entry.(*note.Test).Work
	}
	want := note.Who{{note.GasLicensed}, {note.OilQualified, note.Electrician}}
	assert.Equal(t, want, read("[gas-licensed, oil-qualified and electrician, gas-licensed]").Who)
	assert.Equal(t, want, read("gas-licensed or oil-qualified and electrician").Who)

	w := read("gas-licensed\nwho-on: {oil-boiler: oil-qualified, store: [electrician, unvented]}\nfrom-outside: yes")
	assert.Equal(t, []note.Elsewhere{{On: "oil-boiler", Who: note.All(note.OilQualified)}, {On: "store", Who: note.Who{{note.Electrician}, {note.UnventedQualified}}}}, w.WhoOn)
	assert.Equal(t, w.Who, w.WhoOf(nil), "no appliance is any")
	assert.Equal(t, w.Who, w.WhoOf([]note.ID{"combi"}))
	assert.Equal(t, note.All(note.OilQualified), w.WhoOf([]note.ID{"our-boiler", "store", "oil-boiler"}), "the first that the note names")
	assert.True(t, w.FromOutside)
}

func TestWhoMayDoWhat(t *testing.T) {
	t.Parallel()
	both := note.All(note.UnventedQualified, note.Electrician)
	assert.True(t, both.CoveredBy([]note.Competence{note.Electrician, note.UnventedQualified}))
	assert.False(t, both.CoveredBy([]note.Competence{note.UnventedQualified}))
	assert.False(t, both.CoveredBy([]note.Competence{note.HeatingEngineer, note.Electrician}), "a heating engineer does not do what guards an unvented store")
	either := note.Who{{note.GasLicensed}, {note.OilQualified}}
	assert.True(t, either.CoveredBy([]note.Competence{note.OilQualified}))
	assert.False(t, either.CoveredBy([]note.Competence{note.HeatingEngineer, note.RefrigerantLicensed}))
	assert.True(t, note.All(note.HeatingEngineer).CoveredBy([]note.Competence{note.OilQualified}))
	assert.False(t, note.All(note.HeatingEngineer).CoveredBy([]note.Competence{note.Electrician}))
	assert.False(t, note.All(note.Householder).CoveredBy(nil))

	assert.True(t, both.Within(note.All(note.UnventedQualified)), "who has both has one")
	assert.False(t, note.All(note.UnventedQualified).Within(both))
	assert.False(t, either.Within(note.All(note.GasLicensed)), "one of the two has not")
	assert.True(t, note.All(note.GasLicensed).Within(either))

	var anybody note.Who
	assert.True(t, anybody.CoveredBy(nil))
	assert.True(t, either.Within(anybody))
	assert.False(t, anybody.Within(either))
}

// anyWho draws who may do some work, the zero value too.
func anyWho() *rapid.Generator[note.Who] {
	return rapid.Custom(func(t *rapid.T) note.Who {
		all := rapid.SliceOfNDistinct(rapid.SampledFrom(note.Competences()), 1, 3, rapid.ID)
		return rapid.SliceOfNDistinct(all, 0, 3, func(c []note.Competence) string { return note.Who{c}.String() }).Draw(t, "who")
	})
}

func anyCompetences() *rapid.Generator[[]note.Competence] {
	return rapid.SliceOf(rapid.SampledFrom(note.Competences()))
}

func TestWhoComesBackFromItsText(t *testing.T) {
	t.Parallel()
	type holder struct {
		Who note.Who `json:"who,omitzero"`
	}
	rapid.Check(t, func(t *rapid.T) {
		want := anyWho().Draw(t, "want")
		if len(want) == 0 {
			want = nil
		}
		data, err := json.Marshal(holder{want})
		require.NoError(t, err)
		var got holder
		require.NoError(t, json.Unmarshal(data, &got))
		assert.Equal(t, want, got.Who, string(data))
	})
}

// Whoever learns more may do no less, and work that another's people may do asks for
// all that the other asks for.
func TestCompetenceOnlyAdds(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a, b := anyWho().Draw(t, "a"), anyWho().Draw(t, "b")
		have, more := anyCompetences().Draw(t, "have"), anyCompetences().Draw(t, "more")
		if a.CoveredBy(have) {
			assert.True(t, a.CoveredBy(append(have, more...)), "%s by %v, not with %v", a, have, more)
			if a.Within(b) {
				assert.True(t, b.CoveredBy(have), "%s within %s, by %v", a, b, have)
			}
		}
		assert.True(t, a.Within(a), "%s", a)
		for _, all := range a {
			assert.True(t, a.CoveredBy(all), "%s by %v", a, all)
		}
	})
}

func TestCoveringHasAnOrder(t *testing.T) {
	t.Parallel()
	for _, a := range note.Competences() {
		assert.True(t, a.Covers(a))
		for _, b := range note.Competences() {
			assert.True(t, a == b || !a.Covers(b) || !b.Covers(a), "%s and %s each cover the other", a, b)
			for _, c := range note.Competences() {
				assert.True(t, !a.Covers(b) || !b.Covers(c) || a.Covers(c), "%s, %s, %s", a, b, c)
			}
		}
	}
}

// FuzzParseWho states that whatever is read names somebody, and reads the same again
// from its own words.
func FuzzParseWho(f *testing.F) {
	for _, s := range []string{"gas-licensed and electrician", "gas or oil", "heating engineer", "or", "and and", "GAS\u00a0or oil", ""} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		who, err := note.ParseWho(s)
		if err != nil {
			if who != nil {
				t.Errorf("%q: an error and yet %s", s, who)
			}
			return
		}
		if len(who) == 0 || who.CoveredBy(nil) {
			t.Errorf("%q: anybody may", s)
		}
		again, err := note.ParseWho(who.String())
		if err != nil || again.String() != who.String() {
			t.Errorf("%q read as %s and then as %s, %v", s, who, again, err)
		}
	})
}
