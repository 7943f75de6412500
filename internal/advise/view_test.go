package advise

import (
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/ingest"
	"kg/internal/ingest/pack"
	"kg/internal/library"
	"kg/internal/link"
	"kg/internal/note"
)

// pumpHouse has a pump that a customer can hear and an engineer can test, a sensor whose
// figure says nothing while the pump stands, and a burner that locks out.
func pumpHouse(t *testing.T) *library.Library {
	t.Helper()
	notes := fstest.MapFS{}
	add := func(path, text string) {
		notes[path+".md"] = &fstest.MapFile{Data: []byte("---\n" + strings.TrimSpace(text) + "\nsource: common practice, no source\n---\n")}
	}
	add("component/pump", "name: Pump")
	add("component/sensor", "name: Sensor")
	add("component/burner", "name: Burner")
	add("symptom/shaft-still", "name: Pump hums and its shaft stands\nleaves: [powered, not circulating]")
	add("symptom/no-rise", "name: Pressure does not rise\nwhile: [circulating]")
	add("symptom/locked", "name: Red lamp of the lockout\nleaves: [locked out]")
	add("symptom/trips", "name: Breaker trips\nleaves: [tripped]")
	add("mode/pump-seized", "name: Seized\ncomponent: pump\noccurs: 9 per 1000 call-outs\nshows: {shaft-still: likely, no-rise: likely}\nif-left: It burns.\nsettled-by: [turn-it, look-at-lamp]\nrepair: [change-pump]")
	add("mode/pump-burnt", "name: Burnt\ncomponent: pump\noccurs: 3 per 1000 call-outs\nshows: {shaft-still: likely, trips: likely}\nif-left: It stays so.\nsettled-by: [look-at-lamp, smell-it]\nrepair: [change-pump]")
	add("mode/pump-blocked", "name: Blocked\ncomponent: pump\noccurs: 2 per 1000 call-outs\nshows: {shaft-still: 4 in 10}\nif-left: It stays so.\nsettled-by: [look-at-lamp]\nrepair: [change-pump]")
	add("mode/sensor-dead", "name: Dead\ncomponent: sensor\noccurs: 9 per 1000 call-outs\nshows: {no-rise: very likely}\nif-left: It stays so.\nsettled-by: [read-sensor]\nrepair: [change-sensor]")
	add("mode/burner-dirty", "name: Dirty\ncomponent: burner\noccurs: 9 per 1000 call-outs\nshows: {locked: very likely}\nif-left: It stays so.\nsettled-by: [watch-flame]\nrepair: [clean-burner]")
	add("mode/igniter-dead", "name: Dead\ncomponent: burner\noccurs: 9 per 1000 call-outs\nshows: {locked: very likely}\nif-left: It stays so.\nrepair: [change-igniter]")
	test := func(id, text string) {
		add("test/"+id, "name: Test "+id+"\nminutes: 3\nwho: apprentice\nsteps: [Do it.]\n"+text)
	}
	test("turn-it", "results:\n  stands:\n    seen-with: {pump-seized: 9 in 10}\n    otherwise: 1 in 100\n    same-as: [shaft-still]\n  turns:\n    leaves: [circulating]")
	test("look-at-lamp", "needs: [powered]\nresults:\n  red:\n    seen-with: {pump-seized: 7 in 10, pump-burnt: 1 in 10, pump-blocked: 1 in 10}\n    otherwise: 3 in 10\n  green:")
	test("smell-it", "results:\n  burnt:\n    seen-with: {pump-burnt: 8 in 10}\n    otherwise: 1 in 100\n  nothing:")
	test("read-sensor", "results:\n  dead:\n    seen-with: {sensor-dead: 9 in 10}\n    otherwise: 1 in 100\n  alive:")
	test("watch-flame", "prepare: [running]\nresults:\n  yellow:\n    seen-with: {burner-dirty: 9 in 10}\n    otherwise: 1 in 100\n  blue:")
	for _, r := range []string{"change-pump", "change-sensor", "clean-burner", "change-igniter"} {
		add("remedy/"+r, "name: Do "+r+"\nremedy: repair\nminutes: 40\nwho: apprentice\nsteps: [Do it.]\nchecks: [It works.]")
	}
	b, _, err := pack.Notes(t.Context(), []ingest.Source{{Name: "house", Root: "house", FS: notes}})
	require.NoError(t, err)
	l, err := b.Open()
	require.NoError(t, err)
	return l
}

// probabilities are those of the causes of an answer, by mode.
func probabilities(a Answer) map[note.ID]float64 {
	out := map[note.ID]float64{}
	for _, c := range a.Causes {
		out[c.Mode] = c.Probability
	}
	return out
}

// steps are the tests and repairs that an answer names as its next step or instead of it.
func steps(a Answer) []note.ID {
	if a.Next == nil {
		return nil
	}
	out := []note.ID{a.Next.ID}
	for _, i := range a.Next.Instead {
		out = append(out, i.ID)
	}
	return out
}

func TestATestThatSeesWhatWasSaidIsNotOffered(t *testing.T) {
	t.Parallel()
	l := pumpHouse(t)
	a := askFor(t, l, Question{Symptoms: []note.ID{"shaft-still"}})
	assert.NotContains(t, steps(a), note.ID("turn-it"))
	assert.Contains(t, steps(a), note.ID("look-at-lamp"))
	// What says it is not there tells of no result: the test is offered.
	a = askFor(t, l, Question{Symptoms: []note.ID{"no-rise"}})
	assert.Contains(t, steps(a), note.ID("turn-it"))
}

// A view of what is known for certain by a test changes nothing, and what the test does not
// name shows what its result is the same as.
func TestWhatWasTestedCountsOnce(t *testing.T) {
	t.Parallel()
	l := pumpHouse(t)
	tested := []Tested{{Test: "turn-it", Result: "stands"}}
	alone := askFor(t, l, Question{Results: tested})
	both := askFor(t, l, Question{Symptoms: []note.ID{"shaft-still"}, Results: tested})
	require.NotEmpty(t, alone.Causes)
	assert.Equal(t, probabilities(alone), probabilities(both))
	assert.Equal(t, alone.Next, both.Next)
	assert.Empty(t, both.Remarks)
	assert.Greater(t, probabilities(alone)["pump-blocked"], 0.02, "the test does not name it, and it shows the symptom")
	assert.Greater(t, probabilities(alone)["pump-seized"], probabilities(alone)["pump-blocked"])
}

func TestATestThatFoundOtherwiseCountsAndSaysSo(t *testing.T) {
	t.Parallel()
	l := pumpHouse(t)
	tested := []Tested{{Test: "turn-it", Result: "turns"}}
	a := askFor(t, l, Question{Symptoms: []note.ID{"shaft-still", "no-rise"}, Results: tested})
	require.Len(t, a.Remarks, 1)
	assert.Contains(t, a.Remarks[0], `turn-it found "turns": the test counts`)
	assert.Equal(t, note.ID("sensor-dead"), a.Causes[0].Mode)
}

// A symptom that needs the pump to run says nothing while it stands, and says it again
// once the pump was found to run.
func TestASymptomHoldsInAState(t *testing.T) {
	t.Parallel()
	l := pumpHouse(t)
	a := askFor(t, l, Question{Symptoms: []note.ID{"no-rise"}})
	assert.Equal(t, note.ID("sensor-dead"), a.Causes[0].Mode)
	a = askFor(t, l, Question{Symptoms: []note.ID{"no-rise", "shaft-still"}})
	assert.Equal(t, note.ID("pump-seized"), a.Causes[0].Mode)
	assert.NotContains(t, probabilities(a), note.ID("sensor-dead"))
	require.Len(t, a.Remarks, 1)
	assert.Contains(t, a.Remarks[0], "says little while it is not circulating")
	assert.Len(t, a.Findings, 2, "it was understood all the same")
	a = askFor(t, l, Question{Symptoms: []note.ID{"no-rise", "shaft-still"}, Results: []Tested{{Test: "turn-it", Result: "turns"}}})
	assert.Contains(t, probabilities(a), note.ID("sensor-dead"))
}

// What needs a supply is not offered where there is none; a lockout is reset first, which
// costs time and is said.
func TestWhatTheStateForbidsIsNotOffered(t *testing.T) {
	t.Parallel()
	l := pumpHouse(t)
	a := askFor(t, l, Question{Symptoms: []note.ID{"trips"}})
	assert.NotContains(t, steps(a), note.ID("look-at-lamp"))
	assert.Contains(t, steps(a), note.ID("smell-it"))
	a = askFor(t, l, Question{Symptoms: []note.ID{"locked"}})
	require.Equal(t, note.ID("watch-flame"), a.Next.ID)
	assert.Equal(t, []note.Preparation{note.Reset}, a.Next.First)
}

func TestAStateFollowsWhatIsFound(t *testing.T) {
	t.Parallel()
	is := state{}.found([]note.Condition{{State: note.Tripped}})
	_, no := is.denies([]note.Condition{{State: note.Circulating}})
	assert.True(t, no, "what is tripped has no supply, and moves no water")
	is = is.found([]note.Condition{{State: note.Tripped, Not: true}})
	_, no = is.denies([]note.Condition{{State: note.Circulating}})
	assert.False(t, no, "what was found later counts")
	for _, c := range []struct {
		is       state
		needs    note.Condition
		first    []note.Preparation
		possible bool
	}{
		{nil, note.Condition{State: note.Firing}, nil, true},
		{state{{State: note.LockedOut}}, note.Condition{State: note.Firing}, []note.Preparation{note.Reset}, true},
		{state{{State: note.Demanded, Not: true}}, note.Condition{State: note.Firing}, []note.Preparation{note.Running}, true},
		{state{{State: note.LockedOut}, {State: note.Powered, Not: true}}, note.Condition{State: note.Firing}, nil, false},
		{state{{State: note.Powered}}, note.Condition{State: note.Powered, Not: true}, nil, false},
		{state{{State: note.LockedOut}}, note.Condition{State: note.Powered}, nil, true},
	} {
		first, possible := c.is.reach([]note.Condition{c.needs})
		assert.Equal(t, c.possible, possible, c)
		assert.Equal(t, c.first, first, c)
	}
}

// A remedy that was tried may have changed what the appliance is: what was found before it
// forbids nothing any more.
func TestAStateDoesNotOutliveARepair(t *testing.T) {
	t.Parallel()
	l := pumpHouse(t)
	a := askFor(t, l, Question{Symptoms: []note.ID{"trips"}, Mended: []note.ID{"change-sensor"}})
	assert.Contains(t, steps(a), note.ID("look-at-lamp"))
}

// A mode that a test does not name has what it does not show as often as is usual.
func TestWhatATestDoesNotNameIsSharedOutAsUsual(t *testing.T) {
	t.Parallel()
	test := &note.Test{Results: []note.Result{
		{Name: "stands", SameAs: []note.ID{"still"}, Otherwise: note.Likelihood{P: 0.2, Text: "2 in 10"}},
		{Name: "turns", Otherwise: note.Likelihood{P: 0.6, Text: "6 in 10"}},
		{Name: "creeps"},
	}}
	got := completed(test, [][]link.Edge{{{From: "blocked", Figure: link.Figure{Used: 0.4}}}, nil, nil}).Results
	assert.InDelta(t, 0.4, got[0].Given["blocked"], 1e-9)
	assert.InDelta(t, 0.45, got[1].Given["blocked"], 1e-9)
	assert.InDelta(t, 0.15, got[2].Given["blocked"], 1e-9)
}
