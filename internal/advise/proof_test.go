package advise

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/hear"
	"kg/internal/library/librarytest"
	"kg/internal/note"
)

// A danger that nothing can prove gone is gone once it was made safe; until then it
// stands. So does one whose proofs do not say when all is well.
func TestADangerWithoutProofIsGoneOnceMadeSafe(t *testing.T) {
	t.Parallel()
	l := adviser{gasHouse(t)}
	wet := dangerNamed(t, l, "wet-wiring", 2)
	for safe, stands := range map[int]int{0: 1, 1: 1, 2: 0, 3: 0} {
		assert.Len(t, stand([]danger{wet}, safe, record{}), stands, "safe %d", safe)
	}
	assert.Nil(t, unproved([]standing{{danger: wet}}), "what was not made safe is not proved gone")
}

// Of two dangers that were made safe the one is proved gone first that the other
// does not forbid proving.
func TestAProofThatNothingForbidsComesFirst(t *testing.T) {
	t.Parallel()
	named := func(id note.ID, notWhen ...note.ID) standing {
		s := &note.Symptom{Header: note.Header{ID: id}}
		return standing{danger: danger{Symptom: s, proofs: []*note.Test{{Work: note.Work{NotWhen: notWhen}}}}, safe: true}
	}
	shock, gas := named("shock", "gas"), named("gas")
	shock.StopWork, gas.StopWork = []string{"Off"}, []string{"Out"}
	assert.Equal(t, note.ID("gas"), unproved([]standing{shock, gas}).ID)
	assert.Equal(t, note.ID("gas"), unproved([]standing{gas, shock}).ID)
	gas.proofs[0].NotWhen = []note.ID{"shock"}
	assert.Equal(t, note.ID("shock"), unproved([]standing{shock, gas}).ID, "in a circle the first said comes first")
}

func TestDangersAreThoseOfWordsOfTheirImplicationsAndOfLikelySenses(t *testing.T) {
	t.Parallel()
	l := adviser{gasHouse(t)}
	sense := func(id note.ID, w float64) hear.Sense {
		return hear.Sense{ID: id, Kind: note.KindSymptom, Weight: w, Score: 0.55}
	}
	ids := func(h hear.Heard) []note.ID {
		in, err := l.dangersIn(h)
		require.NoError(t, err)
		var out []note.ID
		for _, d := range in {
			out = append(out, d.ID)
		}
		return out
	}
	finding := func(present bool, senses ...hear.Sense) hear.Heard {
		return hear.Heard{Findings: []hear.Finding{{Present: present, Senses: senses}}}
	}
	assert.Empty(t, ids(finding(true, sense("no-heat", 1))))
	assert.Equal(t, []note.ID{"gas-smell"}, ids(finding(true, sense("hissing-pipe", 1))))
	assert.Empty(t, ids(finding(false, sense("gas-smell", 1))))
	assert.Equal(t, []note.ID{"wet-wiring"}, ids(finding(true, sense("no-heat", 0.6), sense("wet-wiring", 0.4))))
	assert.Empty(t, ids(finding(true, sense("no-heat", 0.7), sense("wet-wiring", 0.3))))
	faint := sense("gas-smell", 1)
	faint.Score = 0.54
	assert.Empty(t, ids(finding(true, faint)), "too little like it")
	h := finding(true, sense("gas-smell", 1))
	h.Danger = &hear.Danger{Symptom: "gas-smell", Sure: true}
	assert.Equal(t, []note.ID{"gas-smell"}, ids(h))
	h.Danger = &hear.Danger{Symptom: "wet-wiring"}
	assert.Equal(t, []note.ID{"wet-wiring", "gas-smell"}, ids(h))
}

// A figure on a meter proves as a result does; one that is off counts until
// something was made safe after it.
func TestAReadingProvesAsAResultDoes(t *testing.T) {
	t.Parallel()
	l := adviser{librarytest.Shipped(t)}
	rec, err := l.Get("test-sensor-resistance")
	require.NoError(t, err)
	test := rec.Entry.(*note.Test)
	read := func(figures string, said int, stale bool) Read {
		return Read{Test: test.ID, Figures: figures + " at=25C", Said: said, Stale: stale}
	}
	for name, c := range map[string]struct {
		readings              []Read
		found, healthy, stale bool
	}{
		"none":                   {nil, false, false, false},
		"right":                  {[]Read{read("10k", 1, false)}, true, true, false},
		"off":                    {[]Read{read("5k", 1, false)}, true, false, false},
		"before it was said":     {[]Read{read("10k", 0, false)}, false, false, false},
		"one off of two":         {[]Read{read("5k", 1, false), read("10k", 1, false)}, true, false, false},
		"off later":              {[]Read{read("10k", 1, false), read("5k", 1, false)}, true, false, false},
		"off, mended, right":     {[]Read{read("5k", 1, true), read("10k", 1, false)}, true, true, false},
		"off, mended, not again": {[]Read{read("5k", 1, true)}, true, false, true},
	} {
		r := l.recorded(Question{Readings: c.readings})
		require.NoError(t, r.wrong)
		got := r.since(test.ID, 1)
		assert.Equal(t, c.found, got.found != "", name)
		assert.Equal(t, c.healthy, got.healthy, name)
		assert.Equal(t, c.stale, got.stale, name)
	}
}

// Whatever danger of the shipped notes was made safe: if a test proves it gone, one
// is next.
func TestEveryShippedDangerIsProvedGoneByItsTest(t *testing.T) {
	t.Parallel()
	l := librarytest.Shipped(t)
	symptoms, err := l.List(note.KindSymptom)
	require.NoError(t, err)
	proved := 0
	for _, s := range symptoms {
		rec, err := l.Entry(s.ID)
		require.NoError(t, err)
		e := rec.Entry.(*note.Symptom)
		if len(e.StopWork) == 0 || len(e.ProvedGoneBy) == 0 {
			continue
		}
		proved++
		a := askFor(t, l, Question{Text: e.Name, Safe: 1, Work: 1, Most: 1})
		require.NotNil(t, a.Proof, e.ID)
		assert.Equal(t, a.Proof.Test, a.Next.ID, e.ID)
		assert.Nil(t, a.Stop, e.ID)
	}
	assert.Greater(t, proved, 30)
}
