package advise

import (
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/hear"
	"kg/internal/library"
	"kg/internal/library/librarytest"
	"kg/internal/note"
)

// gasHouse is a boiler that may have a dirty burner, in a house where gas may escape.
func gasHouse(t *testing.T) *library.Library {
	t.Helper()
	notes := fstest.MapFS{}
	add := func(path, text string) {
		notes[path+".md"] = &fstest.MapFile{Data: []byte("---\n" + strings.TrimSpace(text) + "\nsource: common practice, no source\n---\n")}
	}
	add("component/boiler", "name: Boiler")
	add("component/stove", "name: Stove")
	add("component/gas-pipe", "name: Gas pipe")
	add("appliance/gas-boiler", "name: Gas boiler\nhas: [boiler, gas-pipe]")
	add("symptom/gas-smell", `
name: Smell of gas
also: [i can smell gas]
stop-work: [No flame, Out with everybody]
proved-gone-by: [dip-the-tank, hear-it-hiss, tightness, sniff]`)
	add("symptom/wet-wiring", "name: Wet wiring\nstop-work: [Switch off]")
	add("symptom/hissing-pipe", "name: Hissing pipe\nimplies: [gas-smell]")
	add("symptom/whistling-pipe", "name: Whistling pipe\nimplies: [gas-smell]")
	add("symptom/no-heat", "name: No heat\nusual-causes: {burner-dirty: 6 in 10, hose-worn: 3 in 10}")
	add("mode/burner-dirty", `
name: Dirty
component: boiler
occurs: 40 per 1000 call-outs
shows: {no-heat: very likely, hissing-pipe: more likely than not, whistling-pipe: likely}
if-left: It stops.
settled-by: [watch-it-light, look-at-burner]
repair: [clean-and-light, change-burner]
stop-gap: [press-reset]`)
	add("mode/hose-worn", "name: Worn\ncomponent: boiler\noccurs: 30 per 1000 call-outs\nshows: {no-heat: likely, hissing-pipe: likely}\nif-left: It drips.\nrepair: [change-hose]")
	add("mode/pipe-leaks", "name: Leaks\ncomponent: gas-pipe\noccurs: 90 per 1000 call-outs\nshows: {gas-smell: very likely, whistling-pipe: very likely}\nif-left: It goes on.\nsettled-by: [tightness]\nrepair: [remake-joint]")
	add("mode/stove-leaks", "name: Leaks\ncomponent: stove\nshows: {no-heat: unlikely}\nif-left: It goes on.\nsettled-by: [dip-the-tank]\nrepair: [remake-joint]")
	test := func(id, more, bad, good, mode string, minutes string) {
		add("test/"+id, "name: Test "+id+"\nminutes: "+minutes+"\nsteps: [Do it.]\n"+more+"\nresults:\n  "+bad+":\n    seen-with: {"+mode+": very likely}\n    otherwise: very unlikely\n    means: That is bad.\n  "+good+":\n")
	}
	test("dip-the-tank", "who: apprentice\nhealthy: [full]", "empty", "full", "stove-leaks", "1")
	test("hear-it-hiss", "who: apprentice", "hisses", "is still", "pipe-leaks", "1")
	test("tightness", "who: gas-licensed\nhealthy: [holds]", "falls", "holds", "pipe-leaks", "10")
	test("sniff", "who: apprentice\nhealthy: [nothing]", "smells", "nothing", "pipe-leaks", "5")
	test("watch-it-light", "who: apprentice\ndoes: [lights]\nnot-when: [gas-smell, wet-wiring]", "spits", "burns", "burner-dirty", "1")
	test("look-at-burner", "who: apprentice", "is dirty", "is clean", "burner-dirty", "10")
	remedy := func(id, more string) {
		add("remedy/"+id, "name: "+id+"\nminutes: 40\nwho: apprentice\nsteps: [Do it.]\n"+more)
	}
	remedy("clean-and-light", "remedy: repair\nuses: [boiler]\nchecks: [It burns.]\ndoes: [lights]\nnot-when: [gas-smell]")
	remedy("change-burner", "remedy: repair\nuses: [boiler]\nchecks: [It burns.]")
	remedy("press-reset", "remedy: stop-gap\nlimits: [Once.]\ndoes: [lights]\nnot-when: [gas-smell]")
	remedy("change-hose", "remedy: repair\nuses: [boiler]\nchecks: [It is dry.]")
	remedy("remake-joint", "remedy: repair\nuses: [gas-pipe]\nchecks: [It holds.]")
	return librarytest.InMemory(t, notes)
}

// madeSafe is a job at which gas was smelt and made safe.
func madeSafe(results ...Tested) Question {
	return Question{Text: "smell of gas", More: []string{"no heat"}, Safe: 1, Work: 1, Appliance: "gas-boiler", Results: results, Who: []note.Competence{note.GasLicensed}}
}

func TestWhatWasMadeSafeIsProvedGoneFirst(t *testing.T) {
	t.Parallel()
	l := gasHouse(t)
	a := askFor(t, l, madeSafe())
	require.NotNil(t, a.Next)
	assert.Equal(t, StepTest, a.Next.Kind)
	assert.Equal(t, note.ID("tightness"), a.Next.ID, "the first one that suits the appliance and has a healthy result")
	assert.Contains(t, a.Next.Why, "Smell of gas")
	assert.Equal(t, &Proof{Symptom: "gas-smell", Name: "Smell of gas", Test: "tightness", Of: "Test tightness"}, a.Proof)
	require.Len(t, a.Next.Results, 2)
	assert.Equal(t, "That is bad.", a.Next.Results[0].Means)
	assert.NotEmpty(t, a.Causes, "the causes are shown all the same")
	assert.Nil(t, a.Stop)

	q := madeSafe()
	q.Appliance = ""
	assert.Equal(t, note.ID("dip-the-tank"), askFor(t, l, q).Next.ID, "for any appliance as the note has them")
	q = madeSafe()
	q.Who = []note.Competence{note.Apprentice}
	assert.Equal(t, note.ID("sniff"), askFor(t, l, q).Next.ID, "rather one that the asker may do")
	q.Who = []note.Competence{note.Householder}
	n := askFor(t, l, q).Next
	assert.Equal(t, StepCall, n.Kind)
	assert.Equal(t, "Have someone come who may do it: Test tightness", n.Name)
	assert.Empty(t, n.Steps, "what somebody else has to do is not spelt out")
}

func TestAHealthyProofLetsTheWorkGoOn(t *testing.T) {
	t.Parallel()
	l := gasHouse(t)
	a := askFor(t, l, madeSafe(Tested{Test: "tightness", Result: "holds", Said: 2}))
	assert.Nil(t, a.Stop)
	assert.Nil(t, a.Proof)
	assert.Equal(t, note.ID("watch-it-light"), a.Next.ID, "what was forbidden is the best step now")

	// One that is older than the words proves nothing of them, nor does a test that
	// is no proof.
	for _, r := range []Tested{{Test: "tightness", Result: "holds"}, {Test: "look-at-burner", Result: "is clean", Said: 2}, {Test: "hear-it-hiss", Result: "is still", Said: 2}} {
		a = askFor(t, l, madeSafe(r))
		require.NotNil(t, a.Proof, r.Test)
		assert.Equal(t, note.ID("tightness"), a.Next.ID, r.Test)
	}
	// Said again, it has to be proved again.
	q := madeSafe(Tested{Test: "tightness", Result: "holds", Said: 2})
	q.More, q.Safe = append(q.More, "smell of gas"), 3
	assert.NotNil(t, askFor(t, l, q).Proof)
}

func TestABadProofKeepsTheWorkStopped(t *testing.T) {
	t.Parallel()
	l := gasHouse(t)
	falls := Tested{Test: "tightness", Result: "falls", Said: 2}
	a := askFor(t, l, madeSafe(falls))
	require.NotNil(t, a.Stop)
	assert.True(t, a.Stop.Sure)
	assert.Equal(t, note.ID("gas-smell"), a.Stop.Symptom)
	assert.Equal(t, []string{"No flame", "Out with everybody"}, a.Stop.First)
	assert.Equal(t, StepStop, a.Next.Kind)
	assert.Empty(t, a.Causes)
	assert.Equal(t, &Proof{Symptom: "gas-smell", Name: "Smell of gas", Test: "tightness", Of: "Test tightness", Found: "falls", Means: "That is bad."}, a.Proof)

	// Another proof does not outvote it.
	assert.NotNil(t, askFor(t, l, madeSafe(falls, Tested{Test: "sniff", Result: "nothing", Said: 2})).Stop)
	assert.NotNil(t, askFor(t, l, madeSafe(Tested{Test: "sniff", Result: "nothing", Said: 2}, falls)).Stop)

	// Made safe again, it is tested again.
	falls.Stale = true
	a = askFor(t, l, madeSafe(falls))
	assert.Nil(t, a.Stop)
	assert.Equal(t, note.ID("tightness"), a.Next.ID)
	assert.Empty(t, a.Proof.Found)
}

// A result that shows the danger stops the work also where the words left it open.
func TestABadProofMakesADoubtfulDangerSure(t *testing.T) {
	t.Parallel()
	l := adviser{gasHouse(t)}
	smell := dangerNamed(t, l, "gas-smell", 1)
	asked := &hear.Danger{Symptom: "gas-smell", Name: "Smell of gas"}
	stop := func(results ...Tested) *hear.Danger {
		r := l.recorded(Question{Text: "x", Results: results})
		require.NoError(t, r.wrong)
		return stopping(asked, []danger{smell}, stand([]danger{smell}, 0, r))
	}
	assert.Equal(t, asked, stop())
	assert.True(t, stop(Tested{Test: "tightness", Result: "falls", Said: 1}).Sure)
	assert.Nil(t, stop(Tested{Test: "tightness", Result: "holds", Said: 1}), "ruled out")
	assert.Nil(t, stopping(nil, nil, nil))
	sure := &hear.Danger{Symptom: "gas-smell", Sure: true}
	assert.Equal(t, sure, stopping(sure, []danger{smell}, nil), "what hearing is sure of stops")
	other := &hear.Danger{Symptom: "wet-wiring"}
	assert.Equal(t, other, stopping(other, []danger{smell}, nil), "ruling one out leaves the other")
}

func dangerNamed(t *testing.T, l adviser, id note.ID, said int) danger {
	t.Helper()
	rec, err := l.Get(id)
	require.NoError(t, err)
	d := danger{Symptom: rec.Entry.(*note.Symptom), path: rec.Path, said: said}
	d.proofs, err = l.proofs(d.Symptom, nil, nil)
	require.NoError(t, err)
	return d
}

func TestWhatADangerForbidsIsOffTheWorkbench(t *testing.T) {
	t.Parallel()
	l := gasHouse(t)
	// The pipe that hisses implies the smell, which nobody has said.
	a := askFor(t, l, Question{Text: "hissing pipe", Work: 1})
	require.NotEmpty(t, a.Causes)
	assert.Equal(t, note.ID("look-at-burner"), a.Next.ID)
	for _, i := range a.Next.Instead {
		assert.NotContains(t, []note.ID{"watch-it-light", "clean-and-light"}, i.ID)
	}
	i := slices.IndexFunc(a.Causes, func(c Cause) bool { return c.Mode == "burner-dirty" })
	require.GreaterOrEqual(t, i, 0)
	c := a.Causes[i]
	bar := []Bar{{Symptom: "gas-smell", Name: "Smell of gas", First: "No flame"}}
	assert.Equal(t, bar, c.Tests[0].Bars)
	assert.Empty(t, c.Tests[1].Bars)
	assert.Equal(t, bar, c.Repair.Bars)
	assert.Equal(t, bar, c.StopGap.Bars)

	// Once the test has been done the other repair is next, not the forbidden one.
	a = askFor(t, l, Question{Text: "hissing pipe", Work: 1, Results: []Tested{{Test: "look-at-burner", Result: "is dirty", Said: 1}}})
	assert.Equal(t, note.ID("change-burner"), a.Next.ID)
	// Ruled out, it forbids nothing.
	a = askFor(t, l, Question{Text: "hissing pipe", Work: 1, Results: []Tested{{Test: "tightness", Result: "holds", Said: 1}}})
	assert.Equal(t, note.ID("watch-it-light"), a.Next.ID)
}

func TestAChartHasNothingThatADangerForbids(t *testing.T) {
	t.Parallel()
	l := gasHouse(t)
	steps := func(symptom note.ID) []note.ID {
		c, err := Draw(t.Context(), l, symptom, Question{}, 6)
		require.NoError(t, err)
		var out []note.ID
		var walk func(*ChartStep)
		walk = func(s *ChartStep) {
			out = append(out, s.ID)
			for _, b := range s.Branches {
				walk(b.Step)
			}
		}
		walk(c.Start)
		return out
	}
	assert.Contains(t, steps("no-heat"), note.ID("watch-it-light"))
	hissing := steps("hissing-pipe")
	assert.NotContains(t, hissing, note.ID("watch-it-light"))
	assert.NotContains(t, hissing, note.ID("clean-and-light"))
	assert.Contains(t, hissing, note.ID("look-at-burner"))
	assert.Contains(t, hissing, note.ID("change-burner"))

	// Proved gone on one branch, it forbids nothing there.
	lit := 0
	c, err := Draw(t.Context(), l, "whistling-pipe", Question{}, 6)
	require.NoError(t, err)
	var walk func(s *ChartStep, proved bool)
	walk = func(s *ChartStep, proved bool) {
		if s.ID == "watch-it-light" {
			assert.True(t, proved, "lit before the pipes were proved tight")
			lit++
		}
		for _, b := range s.Branches {
			walk(b.Step, proved || s.ID == "tightness" && b.Result == "holds")
		}
	}
	walk(c.Start, false)
	assert.NotZero(t, lit)
}

// What was made safe has to be proved gone, whatever was said of it later.
func TestWhatWasMadeSafeIsNotTalkedAway(t *testing.T) {
	t.Parallel()
	l := gasHouse(t)
	q := madeSafe()
	q.More = []string{"no smell of gas now", "no heat"}
	a := askFor(t, l, q)
	require.NotNil(t, a.Proof)
	assert.Equal(t, note.ID("gas-smell"), a.Proof.Symptom)

	// Also where the words only might have meant it.
	q.Text, q.More = "i can smell something", []string{"no heat"}
	assert.NotNil(t, askFor(t, l, q).Proof)
	// Nobody has said this.
	q.Text = "no smell of gas, no heat"
	assert.Nil(t, askFor(t, l, q).Proof)
}

// What no text says by itself counts as said with the last of them.
func TestADangerIsAsOldAsTheLastWordsThatSayIt(t *testing.T) {
	t.Parallel()
	l := adviser{gasHouse(t)}
	said := func(q Question) int {
		heard, err := hear.Listen(t.Context(), l.Library, q.words(), nil)
		require.NoError(t, err)
		all, err := l.dangers(q, heard, nil)
		require.NoError(t, err)
		require.Len(t, all, 1)
		return all[0].said
	}
	assert.Equal(t, 1, said(Question{Text: "smell of gas"}))
	assert.Equal(t, 1, said(Question{Text: "smell of gas", More: []string{"no heat"}}))
	assert.Equal(t, 2, said(Question{Text: "no heat", More: []string{"smell of gas", "no heat"}, Safe: 2}))
	assert.Equal(t, 3, said(Question{Text: "smell of gas", More: []string{"no heat", "smell of gas"}, Safe: 1}))
	assert.Equal(t, 2, said(Question{Text: "no heat", More: []string{"no heat"}, Symptoms: []note.ID{"gas-smell"}}))
}

func TestBarsSayWhichDangerAndWhatComesFirst(t *testing.T) {
	t.Parallel()
	l := gasHouse(t)
	bars := func(q Question, id note.ID) []Bar {
		b, err := Bars(t.Context(), l, q, id)
		require.NoError(t, err)
		return b
	}
	smelt := Question{Text: "smell of gas", More: []string{"no heat"}, Appliance: "gas-boiler"}
	assert.Equal(t, []Bar{{"gas-smell", "Smell of gas", "No flame", ""}}, bars(smelt, "watch-it-light"))
	assert.Equal(t, []Bar{{"gas-smell", "Smell of gas", "No flame", ""}}, bars(smelt, "clean-and-light"))
	assert.Empty(t, bars(smelt, "look-at-burner"))
	assert.Empty(t, bars(smelt, "change-burner"))
	assert.Equal(t, []Bar{{"gas-smell", "Smell of gas", "Test tightness", "tightness"}}, bars(madeSafe(), "watch-it-light"))
	assert.Empty(t, bars(madeSafe(Tested{Test: "tightness", Result: "holds", Said: 2}), "watch-it-light"))
	assert.Equal(t, []Bar{{"gas-smell", "Smell of gas", "No flame", ""}}, bars(madeSafe(Tested{Test: "tightness", Result: "falls", Said: 2}), "watch-it-light"))
	assert.Empty(t, bars(Question{Text: "no heat"}, "watch-it-light"))
	assert.Empty(t, bars(Question{Text: "no smell of gas, no heat"}, "watch-it-light"))

	_, err := Bars(t.Context(), l, smelt, "no-heat")
	require.ErrorContains(t, err, "looking for what forbids no-heat")
}

// A result that is misspelt, or of a test that is not there, silences no danger; without
// one it is refused.
func TestAWrongResultSilencesNoDanger(t *testing.T) {
	t.Parallel()
	l := gasHouse(t)
	for _, wrong := range []Tested{{Test: "tightness", Result: "sings"}, {Test: "unheard-of", Result: "holds"}} {
		a := askFor(t, l, Question{Text: "smell of gas", Results: []Tested{wrong}})
		require.NotNil(t, a.Stop)
		assert.True(t, a.Stop.Sure)
		_, err := Ask(t.Context(), l, Question{Text: "no heat", Results: []Tested{wrong}})
		assert.Error(t, err)
	}
}
