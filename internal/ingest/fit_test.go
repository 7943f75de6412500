package ingest

import (
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/diagnose"
	"kg/internal/link"
	"kg/internal/note"
)

// met is how far the share of a cause may be from the one that the notes state:
// one percentage point. Source: the statement of Fit.Missed.
const met = 0.01

// posterior is what the figures of a library say when a symptom is all that is
// known.
func posterior(t *testing.T, edges []link.Edge, rates []link.Rate, symptom note.ID) map[note.ID]float64 {
	m := diagnose.Model{Leak: map[diagnose.ID]float64{}}
	modes := map[note.ID]bool{}
	for _, e := range edges {
		l := diagnose.Link{From: e.From, To: e.To, Strength: e.Figure.Used}
		switch e.Link {
		case link.Shows:
			m.Shows = append(m.Shows, l)
			modes[e.From] = true
		case link.LeadsTo:
			m.Leads = append(m.Leads, l)
			modes[e.From], modes[e.To] = true, true
		}
	}
	for _, r := range rates {
		if modes[r.Of] {
			m.Causes = append(m.Causes, diagnose.Cause{ID: r.Of, Rate: r.Figure.Used})
		} else {
			m.Leak[r.Of] = r.Figure.Used
		}
	}
	seen := diagnose.Finding{Label: string(symptom), Senses: []diagnose.Sense{{ID: symptom, Weight: 1}}}
	b, err := m.Posterior(diagnose.Evidence{Findings: []diagnose.Finding{seen}})
	require.NoError(t, err)
	out := map[note.ID]float64{}
	for _, c := range b.Causes {
		out[c.ID] = c.Probability
	}
	return out
}

func mode(name, rest string) *fstest.MapFile {
	return &fstest.MapFile{Data: []byte("---\nname: " + name + "\ncomponent: pump\nif-left: It stays so.\nsettled-by: [test-turns]\n" +
		"repair: [replace-pump]\nsource: common practice\n" + rest + "\n---\n")}
}

func symptom(name, causes string) *fstest.MapFile {
	return &fstest.MapFile{Data: []byte("---\nname: " + name + "\nusual-causes: {" + causes + "}\nsource: common practice\n---\n")}
}

// Two symptoms that share causes, against rates that point the other way; the
// shares of the second leave a part to others. All figures are made up.
func TestStatedUsualCausesAreMetAgainstTheStatedRates(t *testing.T) {
	t.Parallel()
	v, _, err := Review(t.Context(), []Source{small(fstest.MapFS{
		"mode/pump-seized.md": mode("Seized", "occurs: 1 per 1000\nshows: {no-flow: very likely, noise: unlikely}"),
		"mode/pump-burnt.md":  mode("Burnt", "occurs: 50 per 1000\nshows: {no-flow: very likely}"),
		"mode/pump-worn.md":   mode("Worn", "shows: {noise: likely}"),
		"mode/pump-airy.md":   mode("Full of air", "occurs: 30 per 1000\nshows: {noise: very likely, no-flow: unlikely}"),
		"symptom/no-flow.md":  symptom("No flow", "pump-seized: 0.7, pump-burnt: 0.2, pump-airy: 0.1"),
		"symptom/noise.md":    symptom("Noise", "pump-worn: 0.5, pump-airy: 0.2, pump-seized: 0.1"),
	})})
	require.NoError(t, err)
	require.Len(t, v.Kept, 11)
	edges, rates, fit := Figures(v.Kept)
	assert.Equal(t, 2, fit.Statements)
	assert.Empty(t, fit.Missed)

	noFlow := posterior(t, edges, rates, "no-flow")
	assert.InDelta(t, 0.7, noFlow["pump-seized"], met)
	assert.InDelta(t, 0.2, noFlow["pump-burnt"], met)
	assert.InDelta(t, 0.1, noFlow["pump-airy"], met)
	noise := posterior(t, edges, rates, "noise")
	assert.InDelta(t, 0.5, noise["pump-worn"], met)
	assert.InDelta(t, 0.2, noise["pump-airy"], met)
	assert.InDelta(t, 0.1, noise["pump-seized"], met)
}

func TestFittingKeepsWhatTheNotesStateBesideWhatIsUsed(t *testing.T) {
	t.Parallel()
	v, _, err := Review(t.Context(), []Source{small(fstest.MapFS{
		"mode/pump-burnt.md": mode("Burnt", "occurs: 50 per 1000\nshows: {no-flow: 0.9}"),
	})})
	require.NoError(t, err)
	edges, rates, _ := Figures(v.Kept)
	for _, e := range edges {
		if e.From == "pump-burnt" && e.Link == link.Shows {
			assert.InDelta(t, 0.9, e.Figure.Stated, 0)
			assert.NotEqual(t, e.Figure.Stated, e.Figure.Used, "the rarer cause is said to be the usual one")
		}
	}
	for _, r := range rates {
		if r.Of == "pump-burnt" {
			assert.InDelta(t, 0.05, r.Figure.Stated, 0)
			assert.Less(t, r.Figure.Used, 0.05)
		}
	}
}

func TestALinkThatOnlyASymptomKnowsIsSaidByItsNote(t *testing.T) {
	t.Parallel()
	v, _, err := Review(t.Context(), []Source{small(fstest.MapFS{
		"mode/pump-airy.md":  mode("Full of air", "occurs: 30 per 1000\nshows: {}"),
		"symptom/no-flow.md": symptom("No flow", "pump-seized: 0.5, pump-airy: 0.4"),
	})})
	require.NoError(t, err)
	edges, rates, _ := Figures(v.Kept)
	var implied []link.Edge
	for _, e := range edges {
		if e.From == "pump-airy" && e.Link == link.Shows {
			implied = append(implied, e)
		}
	}
	require.Len(t, implied, 1)
	assert.Equal(t, note.ID("no-flow"), implied[0].To)
	assert.Equal(t, "shipped/symptom/no-flow.md", implied[0].Note)
	assert.InDelta(t, 0.4, posterior(t, edges, rates, "no-flow")["pump-airy"], met)
}

// A symptom says of a mode that it is never the cause, although the mode is very
// common and shows the symptom nearly always.
func TestStatementsThatContradictTheNotesAreReportedWithTheirNote(t *testing.T) {
	t.Parallel()
	v, _, err := Review(t.Context(), []Source{small(fstest.MapFS{
		"symptom/no-flow.md": symptom("No flow", "pump-seized: 0.98, pump-burnt: 0.0"),
		"mode/pump-burnt.md": mode("Burnt", "occurs: 400 per 1000\nshows: {no-flow: virtually certain}"),
	})})
	require.NoError(t, err)
	_, _, fit := Figures(v.Kept)
	require.Len(t, fit.Missed, 1)
	assert.Equal(t, note.ID("no-flow"), fit.Missed[0].Symptom)
	assert.Equal(t, "shipped/symptom/no-flow.md", fit.Missed[0].Note)
	assert.Greater(t, fit.Missed[0].Off, met)
}

func TestAContradictionNamesTheNotesThatDisagree(t *testing.T) {
	t.Parallel()
	v, _, err := Review(t.Context(), []Source{small(fstest.MapFS{
		"symptom/no-flow.md": symptom("No flow", "pump-seized: 0.98, pump-burnt: 0.0"),
		"mode/pump-burnt.md": mode("Burnt", "occurs: 400 per 1000\nshows: {no-flow: virtually certain}"),
	})})
	require.NoError(t, err)
	problems := Contradictions(v.Kept)
	require.Len(t, problems, 1)
	assert.Equal(t, "shipped/symptom/no-flow.md:3:1", problems[0].Pos.String())
	assert.Regexp(t, `pump-burnt comes out at 0\.\d+ where 0.00 is stated: this disagrees with shipped/mode/pump-burnt.md; change one of them`, problems[0].Message)
}
