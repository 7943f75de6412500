package job

import (
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"kg/internal/advise"
	"kg/internal/note"
)

var noon = time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)

func drawEntry(t *rapid.T) Entry {
	e := Entry{At: noon.Add(time.Duration(rapid.IntRange(0, 1e6).Draw(t, "seconds")) * time.Second)}
	id := note.ID(rapid.StringMatching(`[a-z][a-z0-9]{0,8}(-[a-z0-9]{1,8}){0,3}`).Draw(t, "of"))
	switch e.Kind = rapid.SampledFrom([]Kind{Said, Tested, Read, Did, Safe, Means, Not, Undone}).Draw(t, "kind"); e.Kind {
	case Means, Not:
		e.These = []note.ID{id, "another-one"}[:rapid.IntRange(1, 2).Draw(t, "these")]
	case Said, Safe:
		e.Words = rapid.String().Draw(t, "words")
	case Tested, Read:
		e.Of, e.Result = id, rapid.String().Draw(t, "result")
	case Did:
		e.Of, e.Helped = id, rapid.Bool().Draw(t, "helped")
	}
	return e
}

func TestWhatIsWrittenIsReadBack(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		entries := rapid.SliceOfN(rapid.Custom(drawEntry), 0, 12).Draw(t, "entries")
		text := heading + "\nappliance some-boiler\n"
		for _, e := range entries {
			line := e.line()
			assert.NotContains(t, line, "\n", "an entry is one line")
			text += line + "\n"
		}
		j, problems := parse("job.txt", text)
		assert.Empty(t, problems)
		assert.Equal(t, note.ID("some-boiler"), j.Appliance)
		assert.Len(t, j.Entries, len(entries))
		for i, e := range entries {
			assert.Equal(t, e, j.Entries[i])
		}
	})
}

// Wherever a file is cut, all whole lines before the cut are read.
func TestACutFileKeepsWhatIsWhole(t *testing.T) {
	t.Parallel()
	entries := []Entry{
		{At: noon, Kind: Said, Words: "no hot water"},
		{At: noon, Kind: Tested, Of: "test-flow", Result: "reads zero"},
		{At: noon, Kind: Did, Of: "replace-sensor"},
	}
	text := heading + "\n"
	for _, e := range entries {
		text += e.line() + "\n"
	}
	for cut := range len(text) {
		j, problems := parse("job.txt", text[:cut])
		whole := max(0, strings.Count(text[:cut], "\n")-1)
		require.GreaterOrEqual(t, len(j.Entries), whole)
		for i, e := range entries[:whole] {
			assert.Equal(t, e, j.Entries[i])
		}
		if len(j.Entries) == whole && cut > len(heading) && text[cut-1] != '\n' {
			assert.NotEmpty(t, problems, "the rest is said to be unreadable: %q", text[:cut])
		}
	}
}

func TestUndoingTakesBackTheLastEntryThatCounts(t *testing.T) {
	t.Parallel()
	say := func(words string) Entry { return Entry{Kind: Said, Words: words} }
	undo := Entry{Kind: Undone}
	j := Job{Entries: []Entry{undo, say("a"), say("b"), undo, say("c"), undo, undo}}
	assert.Empty(t, j.Standing(), "and with nothing left there is nothing to take back")
	j.Entries = append(j.Entries, undo, say("d"))
	assert.Equal(t, []Entry{say("d")}, j.Standing())
}

func TestAJobAsAQuestion(t *testing.T) {
	t.Parallel()
	j := Job{Appliance: "boiler", Entries: []Entry{
		{Kind: Said, Words: "no hot water"},
		{Kind: Tested, Of: "test-flow", Result: "reads zero"},
		{Kind: Did, Of: "clean-sensor"},
		{Kind: Said, Words: "heating is fine"},
		{Kind: Tested, Of: "test-flow", Result: "reads right"},
		{Kind: Read, Of: "test-ohms", Result: "10.4k at=24C"},
		{Kind: Did, Of: "replace-sensor", Helped: true},
	}}
	assert.Equal(t, advise.Question{
		Appliance: "boiler", Text: "no hot water", More: []string{"heating is fine"},
		Results: []advise.Tested{{Test: "test-flow", Result: "reads right", After: []note.ID{"clean-sensor"}, Said: 2}}, Mended: []note.ID{"clean-sensor"},
		Readings: []advise.Read{{Test: "test-ohms", Figures: "10.4k at=24C", Said: 2}},
	}, j.Question())
	assert.True(t, j.Solved())
	j.Entries = append(j.Entries, Entry{Kind: Undone})
	assert.False(t, j.Solved())
}

// A result rules out only what had been said before it, and is stale once something
// was made safe after it. Making safe what nobody has said yet makes nothing safe.
func TestAJobKnowsWhatWasSaidBeforeAResult(t *testing.T) {
	t.Parallel()
	j := Job{Entries: []Entry{
		{Kind: Safe, Words: "nothing yet"},
		{Kind: Tested, Of: "test-early", Result: "tight"},
		{Kind: Said, Words: "smell of gas"},
		{Kind: Tested, Of: "test-tight", Result: "falls"},
		{Kind: Read, Of: "test-ohms", Result: "7k"},
	}}
	q := j.Question()
	assert.Zero(t, q.Safe)
	j.Entries = append(j.Entries,
		Entry{Kind: Safe, Words: "joint renewed"},
		Entry{Kind: Read, Of: "test-ohms", Result: "10k"},
		Entry{Kind: Said, Words: "it hums"},
		Entry{Kind: Tested, Of: "test-late", Result: "turns"})
	q = j.Question()
	assert.Equal(t, 1, q.Safe)
	assert.Equal(t, []advise.Tested{
		{Test: "test-early", Result: "tight", Said: 0, Stale: true},
		{Test: "test-tight", Result: "falls", Said: 1, Stale: true},
		{Test: "test-late", Result: "turns", Said: 2},
	}, q.Results)
	assert.Equal(t, []advise.Read{
		{Test: "test-ohms", Figures: "7k", Said: 1, Stale: true},
		{Test: "test-ohms", Figures: "10k", Said: 1},
	}, q.Readings)
}

func TestWhatIsKnownBeforehandIsKept(t *testing.T) {
	t.Parallel()
	f := Folder{t.TempDir()}
	q := advise.Question{Text: "no heat", Appliance: "boiler", Given: []note.Context{note.Frost, note.OldAppliance}, WorkedOn: []note.ID{"pump", "fan"}}
	id, err := f.Start(noon, q)
	require.NoError(t, err)
	j, problems, err := f.Read(id)
	require.NoError(t, err)
	assert.Empty(t, problems)
	assert.Equal(t, q, j.Question())
}

func TestJobsBegunAtOnceAreDifferentJobs(t *testing.T) {
	t.Parallel()
	f := Folder{t.TempDir()}
	var all sync.Map
	var wait sync.WaitGroup
	for range 20 {
		wait.Go(func() {
			id, err := f.Start(noon, advise.Question{Text: "no heat", Appliance: "boiler"})
			assert.NoError(t, err)
			_, taken := all.LoadOrStore(id, true)
			assert.False(t, taken)
		})
	}
	wait.Wait()
	ids, err := f.List()
	require.NoError(t, err)
	require.Len(t, ids, 20)
	assert.Equal(t, ID("2026-11-25-1"), ids[0])
	assert.Equal(t, ID("2026-11-25-20"), ids[19], "by number, not by letter")
}

func TestEntriesOfTwoAtOnceDoNotMix(t *testing.T) {
	t.Parallel()
	f := Folder{t.TempDir()}
	id, err := f.Start(noon, advise.Question{Text: "no heat"})
	require.NoError(t, err)
	var wait sync.WaitGroup
	for range 8 {
		wait.Go(func() {
			for range 10 {
				assert.NoError(t, f.Add(id, Entry{At: noon, Kind: Said, Words: strings.Repeat("long words ", 100)}))
			}
		})
	}
	wait.Wait()
	j, problems, err := f.Read(Last)
	require.NoError(t, err)
	assert.Empty(t, problems)
	assert.Len(t, j.Entries, 81)
}

func TestNoIDLeadsOutOfTheFolder(t *testing.T) {
	t.Parallel()
	f := Folder{t.TempDir()}
	for _, id := range []ID{"", "../x", "a/b", "/etc/passwd", ".", "x.txt", "A"} {
		_, _, err := f.Read(id)
		var missing *Missing
		assert.ErrorAs(t, err, &missing, id)
		assert.ErrorAs(t, f.Add(id, Entry{Kind: Undone}), &missing, id)
	}
	_, _, err := f.Read(Last)
	assert.ErrorContains(t, err, "begins one")
}

func TestAFolderThatCannotBeReadIsSaid(t *testing.T) {
	t.Parallel()
	file := t.TempDir() + "/file"
	require.NoError(t, os.WriteFile(file, nil, 0o644))
	_, err := Folder{file}.List()
	assert.ErrorContains(t, err, "listing the jobs")
	_, err = Folder{file}.Start(noon, advise.Question{Text: "no heat"})
	assert.ErrorContains(t, err, "making the folder of jobs")
}

func FuzzParse(f *testing.F) {
	f.Add(heading + "\nappliance b\n2026-11-25T08:00:00Z said \"no heat\"\n2026-11-25T08:00:00Z tested t \"x\"\n2026-11-25T08:00:00Z did r, helped\n2026-11-25T08:00:00Z undone\n")
	f.Add("")
	f.Add("kg job, format 2\n\n# a\r\nx y z")
	f.Add(heading + "\n2026-11-25T08:00:00Z said \"\\x\"\n2026-11-25T08:00:00Z did ,\n2026-11-25T08:00:00Z tested")
	f.Fuzz(func(t *testing.T, text string) {
		j, problems := parse("job.txt", text)
		for _, p := range problems {
			if p.Line < 1 || p.Column < 1 || p.Message == "" {
				t.Errorf("a problem without a place or a word: %+v", p)
			}
		}
		again := heading + "\n"
		for _, e := range j.Entries {
			again += e.line() + "\n"
		}
		back, problems := parse("job.txt", again)
		if len(problems) > 0 || len(back.Entries) != len(j.Entries) {
			t.Errorf("what was read cannot be written: %v in %q", problems, again)
		}
		j.Question()
	})
}

// A number that was given once is not given again: what was noted of the one must
// not read as noted of the other.
func TestANumberIsNotGivenTwiceEvenAfterItsJobWasDeleted(t *testing.T) {
	t.Parallel()
	f := Folder{Path: t.TempDir()}
	now := time.Date(2026, 11, 25, 8, 0, 0, 0, time.UTC)
	first, err := f.Start(now, advise.Question{Text: "no heat"})
	require.NoError(t, err)
	second, err := f.Start(now, advise.Question{Text: "no heat"})
	require.NoError(t, err)
	require.NoError(t, os.Remove(f.File(second)))
	third, err := f.Start(now, advise.Question{Text: "no heat"})
	require.NoError(t, err)
	assert.Equal(t, []ID{"2026-11-25-1", "2026-11-25-2", "2026-11-25-3"}, []ID{first, second, third})
	all, err := f.List()
	require.NoError(t, err)
	assert.Equal(t, []ID{first, third}, all, "what holds the numbers is not a job")
}

// What was said up to then no longer stops the work, what is said later does: one
// text too few and the job stays stopped for ever, one too many and a new danger is
// not heard.
func TestSafeCountsTheTextsThatWereSaidBefore(t *testing.T) {
	t.Parallel()
	var j Job
	say := func(k Kind, words string) { j.Entries = append(j.Entries, Entry{Kind: k, Words: words}) }
	say(Said, "smell of gas")
	assert.Equal(t, 0, j.Question().Safe)
	say(Safe, "network's engineer")
	assert.Equal(t, 1, j.Question().Safe)
	say(Said, "no heat")
	assert.Equal(t, 1, j.Question().Safe, "what is said later counts")
	say(Said, "smell of gas again")
	say(Safe, "network's engineer")
	q := j.Question()
	assert.Equal(t, 3, q.Safe)
	assert.Len(t, q.More, 2)
	j.Entries = append(j.Entries, Entry{Kind: Undone})
	assert.Equal(t, 1, j.Question().Safe, "taken back")
}

// An answer to a question of the job counts until it is taken back.
func TestAnswersGoIntoTheQuestion(t *testing.T) {
	t.Parallel()
	var j Job
	say := func(e Entry) { e.At = noon; j.Entries = append(j.Entries, e) }
	say(Entry{Kind: Said, Words: "no heat, whiff of something"})
	say(Entry{Kind: Not, These: []note.ID{"gas-smell", "oil-leak"}})
	assert.Equal(t, []note.ID{"gas-smell", "oil-leak"}, j.Question().Not)
	say(Entry{Kind: Means, These: []note.ID{"scorching-smell"}})
	assert.Equal(t, []note.ID{"scorching-smell"}, j.Question().Symptoms)
	assert.Zero(t, j.Question().SafeSymptoms)
	say(Entry{Kind: Safe, Words: "isolated"})
	assert.Equal(t, 1, j.Question().SafeSymptoms)
	say(Entry{Kind: Undone})
	say(Entry{Kind: Undone})
	say(Entry{Kind: Undone})
	assert.Empty(t, j.Question().Not)
	assert.Empty(t, j.Question().Symptoms)
}

func TestWrongLinesSayWhatIsWrongAndWhere(t *testing.T) {
	t.Parallel()
	for line, want := range map[string]struct {
		column int
		says   string
	}{
		"2026-11-25T12:00:00Z not":                {25, "nothing is named: write `not ID`"},
		"2026-11-25T12:00:00Z means Two-Words ok": {28, `"Two-Words" is not a valid id`},
		"2026-11-25T12:00:00Z tested X \"fine\"":  {22, `"X" is not a valid id`},
		"2026-11-25T12:00:00Z undone twice":       {29, `nothing comes after "undone"`},
		"2026-11-25T12:00:00Z sang":               {22, `"sang" is not a kind of entry: one of said, tested, read, did, safe, means, not, undone`},
		"yesterday said \"x\"":                    {1, `"yesterday" is not a time`},
	} {
		_, problems := parse("job.txt", heading+"\n"+line+"\n")
		require.Len(t, problems, 1, line)
		assert.Contains(t, problems[0].Message, want.says)
		assert.Equal(t, 2, problems[0].Line)
		assert.Equal(t, want.column, problems[0].Column, line)
	}
	_, problems := parse("job.txt", "")
	require.Len(t, problems, 1)
	assert.Equal(t, 1, problems[0].Column)
}

// A heading holds what is known, and no line for what is not.
func TestAHeadingHoldsWhatIsKnown(t *testing.T) {
	t.Parallel()
	var b strings.Builder
	require.NoError(t, writeHeading(&b, advise.Question{Given: []note.Context{"frost"}, WorkedOn: []note.ID{"pump"}}))
	assert.Equal(t, heading+"\ngiven frost\nworked-on pump\n", b.String())
	b.Reset()
	require.NoError(t, writeHeading(&b, advise.Question{}))
	assert.Equal(t, heading+"\n", b.String())
}

// Only files that begin as a job does are jobs; lines for people may come first.
func TestOnlyJobsAreListed(t *testing.T) {
	t.Parallel()
	f := Folder{Path: t.TempDir()}
	write := func(name, text string) {
		require.NoError(t, os.WriteFile(filepath.Join(f.Path, name), []byte(text), 0o644))
	}
	write("2026-11-25-2.txt", "# about this one\n\n"+heading+"\n")
	write("2026-11-25-10.txt", heading+"\n")
	write("by-hand.txt", heading+"\n")
	write("notes.txt", "# nothing else\nsomething\n")
	write("Not Valid.txt", heading+"\n")
	write("other.md", heading+"\n")
	require.NoError(t, os.Mkdir(filepath.Join(f.Path, "folder.txt"), 0o755))
	got, err := f.List()
	require.NoError(t, err)
	assert.Equal(t, []ID{"by-hand", "2026-11-25-2", "2026-11-25-10"}, got)
}
