package hear

import (
	"maps"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"kg/internal/classify"
	"kg/internal/classify/fit"
	"kg/internal/note"
	"kg/internal/term"
)

// taughtBy makes what is learned of a few lessons, each said ten times.
func taughtBy(t *testing.T, lessons map[string]Meaning) *Learned {
	t.Helper()
	var classes []string
	number := map[string]int{}
	var examples, tones []fit.Example
	for range 10 {
		for _, text := range sorted(lessons) {
			class := lessons[text].Class()
			if _, known := number[class]; !known {
				number[class] = len(classes)
				classes = append(classes, class)
			}
			x := fit.Example{Features: Features(text, term.Tokens(text), nil), Class: number[class]}
			examples = append(examples, x)
			if x.Class = int(lessons[text].Says); lessons[text].ID == "gas-smell" {
				x.Class = int(GraveTone)
			}
			tones = append(tones, x)
		}
	}
	course := fit.Course{Rounds: 20, Rate: 2, AtLeast: 2, Seed: 1}
	meanings, err := fit.Fit(examples, len(classes), course).Encode(classes, 0, classify.Digest{})
	require.NoError(t, err)
	toned, err := fit.Fit(tones, len(Tones()), course).Encode(Tones(), 0, classify.Digest{})
	require.NoError(t, err)
	l, err := Decode(meanings, toned)
	require.NoError(t, err)
	return l
}

var lessons = map[string]Meaning{
	"pressure never moves at the start":    {Says: ThereSaid, ID: "no-rise"},
	"pressure goes up with the heat":       {Says: ThereSaid, ID: "climbs"},
	"radiator is cold at the top":          {Says: ThereSaid, ID: "cold"},
	"radiators are hot right to the top":   {Says: AbsentSaid, ID: "cold"},
	"it smells of gas in the hall":         {Says: ThereSaid, ID: "gas-smell"},
	"the shaft turns freely by hand":       {Says: ResultSaid, ID: "turns", Result: "turns"},
	"the shaft does not move at all":       {Says: ResultSaid, ID: "turns", Result: "still"},
	"good morning and happy birthday":      {},
	"the thing that is not in these notes": {Says: ThereSaid, ID: "left-out"},
}

// listen hears words with what the lessons taught.
func listen(t *testing.T, w Words) Heard {
	t.Helper()
	h, err := Hearing{Learned: taughtBy(t, lessons)}.Listen(t.Context(), small(t).Library, w, nil)
	require.NoError(t, err)
	return h
}

func TestWhatWasTaughtIsHeard(t *testing.T) {
	t.Parallel()
	h := listen(t, Words{Text: "pressure goes up with the heat"})
	require.Len(t, h.Findings, 1)
	assert.True(t, h.Findings[0].Present)
	assert.Equal(t, note.ID("climbs"), h.Findings[0].Senses[0].ID)
	assert.Nil(t, h.Danger)

	h = listen(t, Words{Text: "radiators are hot right to the top"})
	require.Len(t, h.Findings, 1)
	assert.False(t, h.Findings[0].Present)
	assert.Equal(t, note.ID("cold"), h.Findings[0].Senses[0].ID)

	h = listen(t, Words{Text: "it smells of gas in the hall"})
	require.NotNil(t, h.Danger)
	assert.Equal(t, note.ID("gas-smell"), h.Danger.Symptom)
}

func TestEachOfSeveralFindingsIsHeard(t *testing.T) {
	t.Parallel()
	h := listen(t, Words{Text: "pressure goes up with the heat. radiators are hot right to the top"})
	require.Len(t, h.Findings, 2)
	assert.Equal(t, note.ID("climbs"), h.Findings[0].Senses[0].ID)
	assert.True(t, h.Findings[0].Present)
	assert.Equal(t, note.ID("cold"), h.Findings[1].Senses[0].ID)
	assert.False(t, h.Findings[1].Present)
}

func TestSmallTalkIsNothing(t *testing.T) {
	t.Parallel()
	h := listen(t, Words{Text: "good morning and happy birthday"})
	assert.Empty(t, h.Findings)
	assert.Empty(t, h.Told)
	assert.Nil(t, h.Danger)
}

func TestWhatATestHasFoundIsTold(t *testing.T) {
	t.Parallel()
	h := listen(t, Words{Text: "the shaft turns freely by hand"})
	assert.Empty(t, h.Findings)
	require.Len(t, h.Told, 1)
	assert.Equal(t, note.ID("turns"), h.Told[0].Test)
	assert.Equal(t, "turns", h.Told[0].Results[0].Result)
}

// What is waited for is likelier to be told.
func TestAResultThatIsWaitedForIsLikelier(t *testing.T) {
	t.Parallel()
	of := func(w Words) float64 {
		e := small(t)
		e.learned, e.waited = taughtBy(t, lessons), w.Waited
		u, err := e.guess(listened{text: w.Text, nearest: true})
		require.NoError(t, err)
		return u.meaning.of(Meaning{Says: ResultSaid, ID: "turns", Result: "turns"})
	}
	plain, waited := of(Words{Text: "turns, top"}), of(Words{Text: "turns, top", Waited: []note.ID{"turns"}})
	assert.Greater(t, waited, plain)
	assert.LessOrEqual(t, waited, 1.0)
}

// What nothing was taught of is heard by its own sayings.
func TestATeamsOwnSymptomIsHeardByItsSayings(t *testing.T) {
	t.Parallel()
	few := map[string]Meaning{}
	for text, m := range lessons {
		if m.ID != "climbs" {
			few[text] = m
		}
	}
	h, err := Hearing{Learned: taughtBy(t, few)}.Listen(t.Context(), small(t).Library, Words{Text: "pressure too high when hot"}, nil)
	require.NoError(t, err)
	require.NotEmpty(t, h.Findings)
	assert.Equal(t, note.ID("climbs"), h.Findings[0].Senses[0].ID)
}

// What is not meant is not heard again, and the others share what it had.
func TestWhatIsNotMeantIsNotHeard(t *testing.T) {
	t.Parallel()
	h := listen(t, Words{Text: "it smells of gas in the hall", Not: []note.ID{"gas-smell"}})
	assert.Nil(t, h.Danger)
	for _, f := range h.Findings {
		assert.NotEqual(t, note.ID("gas-smell"), f.Senses[0].ID)
	}
}

// What was made safe no longer stops the work; what is said later does.
func TestWhatWasMadeSafeNoLongerStops(t *testing.T) {
	t.Parallel()
	gas := "it smells of gas in the hall"
	assert.Nil(t, listen(t, Words{Text: gas, Safe: 1}).Danger)
	assert.NotNil(t, listen(t, Words{Text: gas, More: []string{gas}, Safe: 1}).Danger)
	assert.NotNil(t, listen(t, Words{Text: "radiator is cold at the top", Symptoms: []note.ID{"gas-smell"}}).Danger)
	assert.Nil(t, listen(t, Words{Text: "radiator is cold at the top", Symptoms: []note.ID{"gas-smell"}, SafeSymptoms: 1}).Danger)
}

func TestEachWordsPartIsExplained(t *testing.T) {
	t.Parallel()
	h := listen(t, Words{Text: "radiator is cold at the top", Explain: true})
	require.Len(t, h.Findings, 1)
	words := h.Findings[0].Words
	require.Len(t, words, 6)
	assert.Equal(t, "radiator", words[0].Word)
	assert.Greater(t, words[2].Decibans, words[1].Decibans, `"cold" says more than "is"`)
}

// A sense's weight is its probability without what was expected of it beforehand.
func TestWhatWasTaughtOftenIsNotLikelierForIt(t *testing.T) {
	t.Parallel()
	f := Finding{Senses: []Sense{{ID: "often", Score: 0.4, prior: 0.02}, {ID: "seldom", Score: 0.2, prior: 0.01}, {ID: "own", Score: 0.2}}}
	f.weigh()
	assert.InDelta(t, f.Senses[0].Weight, f.Senses[1].Weight, 1e-12, "twice as probable, and twice as often taught")
	sum := 0.0
	for _, s := range f.Senses {
		sum += s.Weight
	}
	assert.InDelta(t, 1, sum, 1e-12)
}

func TestTheNameOfAMeaningReadsBack(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := Meaning{Says: rapid.SampledFrom([]Says{NothingKnown, ThereSaid, AbsentSaid, ResultSaid, SeveralSaid}).Draw(t, "says")}
		if m.Says != NothingKnown && m.Says != SeveralSaid {
			m.ID = note.ID(rapid.StringMatching(`[a-z]([a-z0-9-]{0,20})`).Draw(t, "id"))
		}
		if m.Says == ResultSaid {
			m.Result = rapid.StringMatching(`[ -~]{1,40}`).Draw(t, "result")
		}
		if got := meaningOf(m.Class()); got != m {
			t.Fatalf("%q reads as %+v, not as %+v", m.Class(), got, m)
		}
	})
}

// Words without vowels, and words with inner letters swapped, have features in common
// with the words that they stand for.
func TestWordsThatAreBadlyWrittenShareFeatures(t *testing.T) {
	t.Parallel()
	shared := func(a, b string) int {
		in := map[classify.Feature]bool{}
		for _, f := range Features(a, term.Tokens(a), nil) {
			in[f] = true
		}
		n := 0
		for _, f := range Features(b, term.Tokens(b), nil) {
			if in[f] {
				n++
			}
		}
		return n
	}
	assert.GreaterOrEqual(t, shared("smell of gas", "smll f gs"), 3, "consonants of the words, and of their pairs")
	assert.GreaterOrEqual(t, shared("radiator cold", "raditaor colld"), 2, "sorted letters")
	assert.Equal(t, shared("smell of gas", "smell of gas"), shared("smell of gas", "SMELL OF GAS"))
	assert.Zero(t, shared("smell", "brief"))
}

func sorted(of map[string]Meaning) []string {
	return slices.Sorted(maps.Keys(of))
}

// The very words of a saying of a danger stop the work, whatever was learned; the very
// words of a saying of something else hide none.
func TestTheWordsOfASayingItselfStopTheWork(t *testing.T) {
	t.Parallel()
	few := map[string]Meaning{"board is arcing": {}, "radiator is cold at the top": {Says: ThereSaid, ID: "cold"}}
	few["sparks fly from the plug"] = Meaning{Says: ThereSaid, ID: "sparks"}
	h, err := Hearing{Learned: taughtBy(t, few)}.Listen(t.Context(), small(t).Library, Words{Text: "board is arcing"}, nil)
	require.NoError(t, err)
	require.NotNil(t, h.Danger)
	assert.True(t, h.Danger.Sure)

	few["needle stays put when it kicks in"] = Meaning{Says: ThereSaid, ID: "gas-smell"} // also a saying of no-rise
	h, err = Hearing{Learned: taughtBy(t, few)}.Listen(t.Context(), small(t).Library, Words{Text: "needle stays put when it kicks in"}, nil)
	require.NoError(t, err)
	require.NotNil(t, h.Danger)
	assert.Equal(t, note.ID("gas-smell"), h.Danger.Symptom)
}

// Whoever was told to do a test speaks of it in the stated part of all cases: with two
// results that make up a fiftieth of what hearing was taught by, words that fit one of
// them no better than anything else tell of it in that part. Common practice, no source.
func TestResultsAreExpectedOfATestThatIsWaitedFor(t *testing.T) {
	t.Parallel()
	g := guesses{
		{Meaning: Meaning{Says: ThereSaid, ID: "cold"}, p: 0.58, prior: 0.5},
		{Meaning: Meaning{Says: ResultSaid, ID: "turns", Result: "turns"}, p: 0.015, prior: 0.015},
		{Meaning: Meaning{Says: ResultSaid, ID: "turns", Result: "still"}, p: 0.005, prior: 0.005},
		{Meaning: Meaning{Says: ResultSaid, ID: "other", Result: "any"}, p: 0.4, prior: 0.3},
	}
	w := g.waiting([]note.ID{"turns"}, waitedPart)
	assert.InDelta(t, waitedPart, w[1].p+w[2].p, 1e-9)
	assert.InDelta(t, 3, w[1].p/w[2].p, 1e-9, "which of them, the words decide")
	assert.InDelta(t, 0.58/0.4, w[0].p/w[3].p, 1e-9, "and of all else as well")
	assert.Equal(t, g, g.waiting(nil, waitedPart))
	assert.Equal(t, g, g.waiting([]note.ID{"turns"}, 0.01), "it is never expected less than usual")
	assert.Equal(t, g, g.waiting([]note.ID{"unheard-of"}, waitedPart))
}

// A part of a text has the tokens that the text has there, at their places in the part.
func TestAPartOfATextHasItsTokens(t *testing.T) {
	t.Parallel()
	text := "no heat, pump hums"
	all := term.Tokens(text)
	from := len("no heat, ")
	got := between(all, from, len(text))
	require.NotEmpty(t, got)
	for _, tok := range got {
		assert.Contains(t, []string{"pump", "hums"}, text[from:][tok.Start:tok.End])
	}
	assert.Empty(t, between(all, from, from))
}

// What says more than one thing takes no part in which one is said: the others share
// what is left.
func TestSeveralThingsAtOnceAreNotOne(t *testing.T) {
	t.Parallel()
	p := []float64{0.2, 0.3, 0.5}
	assert.InDelta(t, 0.5, (&Learned{several: 2}).oneThing(p), 1e-12)
	assert.InDeltaSlice(t, []float64{0.4, 0.6, 0}, p, 1e-12)
	assert.Zero(t, (&Learned{several: -1}).oneThing(p))
	assert.InDeltaSlice(t, []float64{0.4, 0.6, 0}, p, 1e-12, "nothing is taken where it was not learned")
	p = []float64{0, 0, 1}
	(&Learned{several: 2}).oneThing(p)
	assert.InDeltaSlice(t, []float64{0, 0, 0}, p, 1e-12, "not even where it is all there is")

	clear := window{guesses: guesses{{p: 0.8}}}
	assert.InDelta(t, 0.8, clear.clarity(), 1e-12)
	clear.several = 0.25
	assert.InDelta(t, 0.6, clear.clarity(), 1e-12)
	unclear := window{guesses: guesses{{p: 0.3}}, several: 0.25}
	assert.InDelta(t, 0.525, unclear.clarity(), 1e-12, "nothing known is likelier")
}

// Parts of a text are listened to with what is told around them; the whole has nothing
// around it.
func TestAPartIsHeardWithWhatIsAroundIt(t *testing.T) {
	t.Parallel()
	e := small(t)
	e.learned = taughtBy(t, lessons)
	_, err := e.windows("the needle moves. it is cold")
	require.NoError(t, err)
	for part, around := range map[string]string{"the needle moves": " . it is cold", "it is cold": "the needle moves.  ", "the needle moves. it is cold": ""} {
		assert.Contains(t, e.guessed, listened{part, around, true})
	}
	assert.ElementsMatch(t, append(Features("it is cold", term.Tokens("it is cold"), nil), classify.Named("a:gas")),
		Features("it is cold", term.Tokens("it is cold"), term.Tokens("gas gas")), "each word around it once")
}

// What is told and says nothing is answered, so that nobody waits for what it might have
// said.
func TestWhatSaysNothingIsAnswered(t *testing.T) {
	t.Parallel()
	h := listen(t, Words{Text: "pressure goes up with the heat", More: []string{"good morning and happy birthday", "radiators are hot right to the top"}})
	require.Len(t, h.Remarks, 1)
	assert.Contains(t, h.Remarks[0], "happy birthday")
	assert.Empty(t, listen(t, Words{Text: "good morning and happy birthday"}).Remarks, "the answer itself says so of the first words")
}

// In a part the tone counts half by the part and half by the whole.
func TestTheToneOfAPartIsAmidItsOwnAndThatOfTheWhole(t *testing.T) {
	t.Parallel()
	assert.InDelta(t, 0.5, amid(0.1, 0.9), 1e-9)
	assert.InDelta(t, 0.3, amid(0.3, 0.3), 1e-9)
	assert.Greater(t, amid(0.01, 0.9), 0.2)
}

// What may be the result of one of several tests names them, the likeliest first, each
// with its results.
func TestWhatMayBeOfSeveralTestsNamesThem(t *testing.T) {
	t.Parallel()
	of := func(test note.ID, result string, p float64) guess {
		return guess{Meaning: Meaning{Says: ResultSaid, ID: test, Result: result}, p: p}
	}
	g := guesses{of("turns", "still", 0.4), {Meaning: Meaning{Says: ThereSaid, ID: "hums"}, p: 0.2}, of("lamp", "dark", 0.15), of("turns", "turns", 0.1), of("supply", "none", 0.06), of("fuse", "blown", 0.05), of("wire", "off", 0.01)}
	told := g.told("nothing")
	assert.Equal(t, note.ID("turns"), told.Test)
	assert.Equal(t, []Likely{{"still", 0.4}, {"turns", 0.1}}, told.Results)
	require.Len(t, told.Others, 2, "more would be a list, not a question")
	assert.Equal(t, note.ID("lamp"), told.Others[0].Test)
	assert.Equal(t, note.ID("supply"), told.Others[1].Test)
	assert.Equal(t, "nothing", told.Others[1].Text)
}
