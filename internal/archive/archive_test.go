package archive_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"kg/internal/archive"
	"kg/internal/bucket/memory"
	"kg/internal/note"
	"kg/internal/signal"
)

// stored writes records into buckets in memory, which is how a page carries them; a
// file holds the same (see package bolt).
func stored(t testing.TB, records ...archive.Record) *archive.Entries {
	t.Helper()
	var m memory.Buckets
	require.NoError(t, archive.Write(t.Context(), &m, records))
	return archive.In(&m)
}

func head(k note.Kind, id note.ID, name string) note.Header {
	return note.Header{Kind: k, ID: id, Name: name}
}

// full returns one entry of each kind in which every field holds something, so
// that a field which does not survive shows.
func full() []note.Entry {
	certain := note.Likelihood{P: 0.995, Text: "virtually certain"}
	work := note.Work{
		Steps: []string{"First.", "Then: the \"next\"."}, Minutes: 15, Who: note.Who{{note.GasLicensed, note.Electrician}, {note.OilQualified}}, Isolation: "gas off",
		WhoOn: []note.Elsewhere{{On: "boiler", Who: note.All(note.HeatingEngineer)}}, FromOutside: true,
		Prepare: []note.Preparation{"case-off", "cold"}, Tools: []string{"gauge"},
	}
	h := func(k note.Kind) note.Header {
		return note.Header{
			Kind: k, ID: note.ID("one-" + string(k)), Name: "A name, 20 °C", Also: []string{"another", "çà"},
			Caveats: []note.ID{"scald"}, Source: "common practice", Body: "Prose.\n\nMore of it.",
		}
	}
	return []note.Entry{
		&note.Appliance{Header: h(note.KindAppliance), Maker: "Invented", IsA: []note.ID{"boiler"}, Has: []note.ID{"pump"},
			Codes: []note.Code{{Shown: "B14", Means: []note.ID{"no-heat", "noise"}}}},
		&note.Component{Header: h(note.KindComponent), IsA: []note.ID{"pump"}, Has: []note.ID{"rotor"}, Who: note.All(note.UnventedQualified)},
		&note.Mode{Header: h(note.KindMode), Component: "one-component", Occurs: note.Likelihood{P: 0.04, Text: "40 per 1000"},
			Shows: []note.Link{{To: "no-heat", Figure: certain}}, LeadsTo: []note.Link{{To: "burst", Figure: certain}},
			IfLeft: "It gets worse.", SettledBy: []note.ID{"look"}, Repair: []note.ID{"mend"}, StopGap: []note.ID{"tap"}, On: []note.ID{"boiler"}},
		&note.Symptom{Header: h(note.KindSymptom), UsualCauses: []note.Link{{To: "stuck", Figure: note.Likelihood{P: 0.6, Text: "6 in 10"}}},
			StopWork: []string{"Get out."}, Leak: note.Likelihood{P: 0.001, Text: "1 in 1000"}},
		&note.Test{Header: h(note.KindTest), Work: work, Results: []note.Result{
			{Name: "it moves", SeenWith: []note.Link{{To: "stuck", Figure: certain}}, Otherwise: certain, Means: "Sound.", Reads: "0 to 0.2 bar"},
			{Name: "it does not"}}},
		&note.Remedy{Header: h(note.KindRemedy), Work: work, Measure: note.StopGap, Uses: []note.ID{"pump"}, Checks: []string{"tight"}, Limits: []string{"a day"}},
		&note.Part{Header: h(note.KindPart), Number: "INV-1", Maker: "Invented", Type: "pump", Attributes: map[string]string{"thread": "G 1/2", "a": "b"},
			Fits: []note.ID{"boiler"}, Supersedes: []note.ID{"old"}, InterchangesWith: []note.ID{"like"}, Status: "current"},
		&note.Caveat{Header: h(note.KindCaveat), Level: signal.Words()[0], Text: "Hot.", AppliesTo: []note.ID{"mend"}},
		&note.Job{Header: h(note.KindJob), Appliance: "boiler", Date: "2026-01-31", Words: "it's cold", Symptoms: []note.ID{"no-heat"},
			Tests: []note.TestResult{{Test: "look", Result: "it moves"}}, Found: []note.ID{"stuck"}, Did: []note.ID{"mend"}, Minutes: 40, Who: "A. N."},
		&note.Remark{Header: h(note.KindRemark), About: []note.ID{"stuck"}},
		&note.Synonym{Header: h(note.KindSynonym), Words: []string{"pump", "circulator"}},
	}
}

func TestEveryKindOfEntryComesBackAsItWasWritten(t *testing.T) {
	t.Parallel()
	var records []archive.Record
	kinds := map[note.Kind]bool{}
	for _, e := range full() {
		kinds[e.Head().Kind] = true
		records = append(records, archive.Record{
			Entry: e, Path: "notes/" + string(e.Head().ID) + ".md", Source: "team", Replaces: "shipped/x.md",
			Caveats: []note.ID{"scald", "gas-escape"}, Text: "---\nas written\n---\n",
		})
	}
	require.Len(t, kinds, len(note.Kinds()), "a kind is missing from this test")

	a := stored(t, records...)
	for _, want := range records {
		id := want.Entry.Head().ID
		text, err := a.Text(id)
		require.NoError(t, err)
		assert.Equal(t, want.Text, text)
		want.Text = "" // comes by itself
		for range 2 {  // from the file, then from memory
			got, err := a.Get(id)
			require.NoError(t, err)
			assert.Equal(t, want, got)
		}
	}
}

func TestAnEntryWithNothingButWhatItNeedsComesBack(t *testing.T) {
	t.Parallel()
	for _, k := range note.Kinds() {
		e := note.New(k)
		e.Head().ID, e.Head().Name = "bare", "Bare"
		got, err := stored(t, archive.Record{Entry: e}).Get("bare")
		require.NoError(t, err, k)
		assert.Equal(t, archive.Record{Entry: e}, got)
	}
}

// A name may hold whatever YAML can write, control characters too.
func TestAnyNameComesBack(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		text := rapid.OneOf(rapid.String(), rapid.SampledFrom([]string{"", "\x00", "a\x00b", "\x00\x00\x00", "a/b", " "}))
		mode := &note.Mode{Header: head(note.KindMode, "stuck", text.Draw(rt, "name")), Component: "valve"}
		mode.Body = text.Draw(rt, "body")
		valve := &note.Component{Header: head(note.KindComponent, "valve", text.Draw(rt, "component"))}
		want := archive.Record{Entry: mode, Path: "mode/stuck.md", Source: "team"}
		var m memory.Buckets
		require.NoError(rt, archive.Write(t.Context(), &m, []archive.Record{want, {Entry: valve}}))
		a := archive.In(&m)
		got, err := a.Get("stuck")
		require.NoError(rt, err)
		require.Equal(rt, want, got)
		titles, err := a.List(note.KindMode)
		require.NoError(rt, err)
		require.Equal(rt, []archive.Title{{ID: "stuck", Kind: note.KindMode, Name: mode.Name, Full: valve.Name + ": " + mode.Name}}, titles)
	})
}

func TestTheFullNameOfAModeSaysWhoseItIs(t *testing.T) {
	t.Parallel()
	a := stored(t,
		archive.Record{Entry: &note.Mode{Header: head(note.KindMode, "stuck", "Stuck open"), Component: "valve"}},
		archive.Record{Entry: &note.Mode{Header: head(note.KindMode, "orphan", "Blocked"), Component: "left-out"}},
		archive.Record{Entry: &note.Component{Header: head(note.KindComponent, "valve", "Diverter valve")}})
	for id, want := range map[note.ID]archive.Title{
		"stuck": {ID: "stuck", Kind: note.KindMode, Name: "Stuck open", Full: "Diverter valve: Stuck open"},
		"valve": {ID: "valve", Kind: note.KindComponent, Name: "Diverter valve", Full: "Diverter valve"},
		// The note of its component is broken: its id has to do.
		"orphan": {ID: "orphan", Kind: note.KindMode, Name: "Blocked", Full: "left-out: Blocked"},
	} {
		got, err := a.Title(id)
		require.NoError(t, err)
		assert.Equal(t, want, got)
	}
}

func TestWhatIsNotThereIsNotFound(t *testing.T) {
	t.Parallel()
	a := stored(t, archive.Record{Entry: &note.Remark{Header: head(note.KindRemark, "here", "Here")}})
	for _, id := range []note.ID{"nowhere", "her", "heree", ""} {
		_, err := a.Get(id)
		assert.ErrorIs(t, err, archive.ErrNotFound, "get %q", id)
		_, err = a.Text(id)
		assert.ErrorIs(t, err, archive.ErrNotFound, "text of %q", id)
		_, err = a.Title(id)
		assert.ErrorIs(t, err, archive.ErrNotFound, "title of %q", id)
	}
}

func TestAListIsInTheOrderOfIdsAndOfOneKindOnly(t *testing.T) {
	t.Parallel()
	var records []archive.Record
	for _, id := range []note.ID{"pump", "b-10", "b-2", "a", "pump-old"} {
		records = append(records, archive.Record{Entry: &note.Component{Header: head(note.KindComponent, id, "Name of "+string(id))}})
	}
	records = append(records, archive.Record{Entry: &note.Symptom{Header: head(note.KindSymptom, "a-symptom", "Noise")}})
	a := stored(t, records...)

	titles, err := a.List(note.KindComponent)
	require.NoError(t, err)
	var ids []note.ID
	for _, title := range titles {
		ids = append(ids, title.ID)
		assert.Equal(t, "Name of "+string(title.ID), title.Name)
		assert.Equal(t, note.KindComponent, title.Kind)
	}
	assert.Equal(t, []note.ID{"a", "b-10", "b-2", "pump", "pump-old"}, ids)

	none, err := a.List(note.KindPart)
	require.NoError(t, err)
	assert.Empty(t, none)
}

func TestAnEmptyArchiveListsNothing(t *testing.T) {
	t.Parallel()
	titles, err := stored(t).List(note.KindMode)
	require.NoError(t, err)
	assert.Empty(t, titles)
}

func TestACancelledWriteIsAnError(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	err := archive.Write(ctx, &memory.Buckets{},
		[]archive.Record{{Entry: &note.Remark{Header: head(note.KindRemark, "here", "Here")}}})
	assert.ErrorIs(t, err, context.Canceled)
}

func TestARecordThatCannotBeReadIsDamageAndNotAnEmptyEntry(t *testing.T) {
	t.Parallel()
	for name, value := range map[string]string{
		"cut short":    "mode\x00path",
		"unknown kind": "thing\x00p\x00s\x00\x00\x00\x00{}",
		"no JSON":      "mode\x00p\x00s\x00\x00\x00\x00{",
	} {
		var m memory.Buckets
		require.NoError(t, m.Fill(t.Context(), "entries", 1, func(int) string { return "a" }, func(int) ([]byte, error) { return []byte(value), nil }))
		_, err := archive.In(&m).Get("a")
		assert.ErrorIs(t, err, archive.ErrUnreadable, name)
	}
}
