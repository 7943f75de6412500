package hear

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/archive"
	"kg/internal/classify"
	"kg/internal/library"
	"kg/internal/note"
	"kg/internal/term"
)

// The features of a text are these, and no others: what was learned rests on them.
func TestTheFeaturesOfAText(t *testing.T) {
	t.Parallel()
	var want []classify.Feature
	for _, name := range []string{
		"t:no", "t:ab", // as terms; here they are given
		"T:no ab",
		"w:no", "W:^ no", "c:n", "C:^ n", "s:no",
		"w:ab", "W:no ab", "c:b", "C:n b", "s:ab",
		"W:ab $",
		"l: no", "l:no ", "l:o a", "l: ab", "l:ab ",
		"l: no ", "l:no a", "l:o ab", "l: ab ",
		"l: no a", "l:no ab", "l:o ab ",
	} {
		want = append(want, classify.Named(name))
	}
	assert.ElementsMatch(t, want, Features("No, ab!", []term.Token{{Term: "no"}, {Term: "ab"}}, nil))
}

func TestWordsWithoutVowelsKeepSomething(t *testing.T) {
	t.Parallel()
	assert.Equal(t, "bttl", consonants("bottle"))
	assert.Equal(t, "a", consonants("a"))
	assert.Equal(t, sortedLetters("boiler"), sortedLetters("boielr"))
	assert.Equal(t, "on", sortedLetters("on"), "two letters have no inner ones")
}

// scoped is an appliance of a name.
func scoped(id note.ID) *library.Scope {
	return &library.Scope{ID: id, Name: "Demo", Families: []note.ID{id}}
}

func TestACodeIsReadOnTheChosenApplianceFirst(t *testing.T) {
	t.Parallel()
	e := small(t)
	rest, found, remarks, err := e.codes("it shows B14 on the display", scoped("demo"))
	require.NoError(t, err)
	assert.Empty(t, rest, "nothing but the code was said")
	require.Len(t, found, 1)
	assert.Equal(t, "B14", found[0].Code)
	require.Len(t, found[0].Senses, 1)
	assert.Equal(t, note.ID("no-rise"), found[0].Senses[0].ID)
	assert.Empty(t, remarks, "it is a code of that appliance")

	// On any appliance it is what all of them mean by it, and they are named.
	_, found, remarks, err = e.codes("B14", nil)
	require.NoError(t, err)
	require.Len(t, found, 1)
	assert.Len(t, found[0].Senses, 2)
	assert.InDelta(t, 0.5, found[0].Senses[0].Weight, 1e-12)
	assert.Len(t, remarks, 2)

	// One that the chosen appliance has not got is read as others have it, and said.
	_, found, remarks, err = e.codes("P04", scoped("demo"))
	require.NoError(t, err)
	require.Len(t, found, 1)
	require.NotEmpty(t, remarks)
	assert.Contains(t, remarks[0], "is not a code of Demo")

	// What else was said stays, and what is not a code is left alone.
	rest, found, _, err = e.codes("B14 and R32 in the circuit, pump seized", scoped("demo"))
	require.NoError(t, err)
	assert.Len(t, found, 1)
	assert.Contains(t, rest, "R32")
	assert.Contains(t, rest, "pump seized")

	// One that nobody knows is said to be unknown.
	_, found, remarks, err = e.codes("code 999", scoped("demo"))
	require.NoError(t, err)
	assert.Empty(t, found)
	require.Len(t, remarks, 1)
	assert.Contains(t, remarks[0], "is not known: Demo does not have it")
}

// What was learned and what is nearest share out one, and the screen leaves the nearest
// out where something was learned.
func TestWhatWasLearnedAndWhatIsNearestAreMixed(t *testing.T) {
	t.Parallel()
	e := small(t)
	e.learned = &Learned{known: map[note.ID]bool{"cold": true, "climbs": true}}
	taught := guesses{there("cold", 0.6), there("climbs", 0.3)}
	near := guesses{there("climbs", 0.5), there("no-rise", 0.2)} // 0.3 is unclear

	screened := e.mixed(taught, 0, near, 0)
	// Nothing was learned of no-rise, so that it counts whole: of 1 + 0.2.
	assert.InDelta(t, 0.6/1.2, screened.of(there("cold", 0).Meaning), 1e-12)
	assert.InDelta(t, 0.3/1.2, screened.of(there("climbs", 0).Meaning), 1e-12)
	assert.InDelta(t, 0.2/1.2, screened.of(there("no-rise", 0).Meaning), 1e-12)
	assert.InDelta(t, 0.1/1.2, screened.nothing(), 1e-12)

	meaning := e.mixed(taught, 0, near, 0.2)
	// 0.8 learned, 0.2 nearest (0.5 of it climbs, 0.3 unclear), and no-rise whole.
	total := 0.8 + 0.2*0.5 + 0.2 + 0.2*0.3
	assert.InDelta(t, 0.8*0.6/total, meaning.of(there("cold", 0).Meaning), 1e-12)
	assert.InDelta(t, (0.8*0.3+0.2*0.5)/total, meaning.of(there("climbs", 0).Meaning), 1e-12)
	assert.InDelta(t, 0.2/total, meaning.of(there("no-rise", 0).Meaning), 1e-12)
	assert.Equal(t, note.ID("cold"), meaning[0].ID, "the likeliest first")

	// Half of what was learned is not in the library: the rest has twice the share.
	part := e.mixed(guesses{there("cold", 0.3)}, 0.4, nil, 0)
	assert.InDelta(t, 0.5, part.of(there("cold", 0).Meaning), 1e-12)
	// Where most of it is not, what was learned is of another world.
	assert.Empty(t, e.mixed(guesses{there("cold", 0.3)}, 0.6, nil, 0))
	assert.InDelta(t, 0.5, e.mixed(guesses{there("cold", 0.3)}, 0.6, near, 0).of(there("climbs", 0).Meaning), 1e-12)

	e.not = []note.ID{"cold"}
	not := e.mixed(taught, 0, nil, 0)
	assert.Zero(t, not.of(there("cold", 0).Meaning))
	assert.InDelta(t, 0.3/0.4, not.of(there("climbs", 0).Meaning), 1e-12, "of what is left")
}

// A text is split where it is heard most clearly.
func TestATextIsSplitWhereItIsHeardMostClearly(t *testing.T) {
	t.Parallel()
	clauses := func(n int) []term.Clause { return make([]term.Clause, n) }
	of := func(text string, n int, p float64) window {
		return window{text: text, clauses: clauses(n), guesses: guesses{there("cold", p)}}
	}
	texts := func(ws []window) (out []string) {
		for _, w := range ws {
			out = append(out, w.text)
		}
		return out
	}
	whole := of("one two three four", 2, 0.9)
	assert.Equal(t, []string{"one two three four"}, texts(clearest([][]window{{of("one two", 1, 0.8), whole}, {of("three four", 1, 0.9)}})))
	whole.guesses[0].p = 0.6
	assert.Equal(t, []string{"one two", "three four"}, texts(clearest([][]window{{of("one two", 1, 0.8), whole}, {of("three four", 1, 0.9)}})))
}

// Where the words fit no saying well, what they mean is open.
func TestWhatIsLittleLikeAnySayingIsLeftOpen(t *testing.T) {
	t.Parallel()
	e := small(t)
	near, verbatim, err := e.nearest("top of the radiator is stone cold")
	require.NoError(t, err)
	assert.Equal(t, note.ID("cold"), verbatim)
	assert.Greater(t, near[0].p, 0.9)

	near, verbatim, err = e.nearest("the radiator is somehow strange and cold today we think")
	require.NoError(t, err)
	assert.Empty(t, verbatim)
	sum := 0.0
	for _, x := range near {
		sum += x.p
	}
	assert.Less(t, sum, 0.95)

	near, verbatim, err = e.nearest("quantum banana")
	require.NoError(t, err)
	assert.Empty(t, near)
	assert.Empty(t, verbatim)
}

// The entries that share most come first: more of the terms, and rarer ones.
func TestEntriesThatShareMoreComeFirst(t *testing.T) {
	t.Parallel()
	e := small(t)
	terms := term.List(e.Tokens("pressure climbs hot"))
	got, err := e.sharing(terms, 10, sayings)
	require.NoError(t, err)
	require.Greater(t, len(got), 1)
	first, err := e.Spoken(got[0].entry)
	require.NoError(t, err)
	assert.Equal(t, note.ID("climbs"), first.ID)
	assert.Equal(t, 3, got[0].terms)
	for i := 1; i < len(got); i++ {
		assert.LessOrEqual(t, got[i].score, got[i-1].score)
	}
	some, err := e.sharing(terms, 1, sayings)
	require.NoError(t, err)
	assert.Len(t, some, 1)

	// The two fields count what stands in them.
	assert.Equal(t, 2, sayings.count(archive.Posting{InSayings: 2, InNote: 5}))
	assert.Equal(t, 5, whole.count(archive.Posting{InSayings: 2, InNote: 5}))
	assert.Equal(t, 3, sayings.length(archive.Length{InSayings: 3, Note: 9}))
	assert.Equal(t, 9, whole.length(archive.Length{InSayings: 3, Note: 9}))
}

// Words in the same order are more like a phrase than the same words in another.
func TestOrderCounts(t *testing.T) {
	t.Parallel()
	a, b, c := "pump", "start", "rise"
	assert.InDelta(t, 1, order([]string{a, b, c}, []string{a, b, c}), 1e-12)
	assert.InDelta(t, 0.5, order([]string{a, b, c}, []string{a, b}), 1e-12, "one pair of two")
	assert.InDelta(t, 0.5, order([]string{a, b}, []string{a, b, c}), 1e-12)
	assert.Zero(t, order([]string{a, b}, []string{b, a}))
	assert.InDelta(t, 1, order([]string{a}, []string{a}), 1e-12)
}

// A slip of the finger is one letter in a short word, two in a long one, and never the
// first.
func TestSlipsOfTheFingerAreForgiven(t *testing.T) {
	t.Parallel()
	e := small(t)
	for said, meant := range map[string]string{
		"vesse":     "vessel",
		"radiatr":   "radiat",
		"presure":   "pressur",
		"zump":      "",
		"pressurqz": "pressur",
	} {
		got, err := e.near(said)
		require.NoError(t, err)
		assert.Equal(t, meant, got, said)
	}
	tokens, err := e.spelled([]term.Token{{Term: "vesse"}, {Term: "pump"}, {Term: "xy"}})
	require.NoError(t, err)
	assert.Equal(t, []string{"vessel", "pump", "xy"}, term.List(tokens))
}
