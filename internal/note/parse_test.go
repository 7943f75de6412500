package note_test

import (
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/note"
	"kg/internal/place"
	"kg/internal/signal"
)

// figure is what a likelihood reads as.
func figure(t *testing.T, text string) note.Likelihood {
	t.Helper()
	l, err := note.ParseRate(text)
	require.NoError(t, err)
	return l
}

func TestEveryKindIsReadWithAllItsFields(t *testing.T) {
	t.Parallel()
	likely, certain := figure(t, "likely"), figure(t, "virtually certain")
	work := note.Work{
		Minutes: 15, Who: note.All(note.HeatingEngineer), Isolation: "supply off", Prepare: []note.Preparation{"case-off", "cold"},
		Tools: []string{"multimeter"}, Steps: []string{"Look.", "Measure."},
	}
	const workText = "minutes: 15\nwho: heating engineer\nisolation: supply off\nprepare: [case-off, cold]\n" +
		"tools: multimeter\nsteps:\n  - Look.\n  - Measure.\n"
	head := func(k note.Kind) note.Header {
		return note.Header{
			Kind: k, ID: "it", Name: "A name", Also: []string{"another"}, Caveats: []note.ID{"hot-water"},
			Source: "common practice", Body: "Prose.\n\nMore of it.",
		}
	}

	cases := map[string]struct {
		fields string
		want   note.Entry
	}{
		"appliance": {
			"maker: Invented\nis-a: [combi]\nhas: [pump]\ncodes:\n  B14: no-heat\n  7: [no-heat, pump-stuck]\n",
			&note.Appliance{
				Header: head(note.KindAppliance), Maker: "Invented", IsA: []note.ID{"combi"}, Has: []note.ID{"pump"},
				Codes: []note.Code{{Shown: "B14", Means: []note.ID{"no-heat"}}, {Shown: "7", Means: []note.ID{"no-heat", "pump-stuck"}}},
			},
		},
		"component": {
			"is-a: [rotating-machine]\nhas: [rotor]\nfitted: 3 in 10\nsafety: Combustion\nwho: unvented-qualified\nwho-on: {gravity: [apprentice, electrician]}\n",
			&note.Component{
				Header: head(note.KindComponent), IsA: []note.ID{"rotating-machine"}, Has: []note.ID{"rotor"},
				Fitted: figure(t, "3 in 10"), Safety: note.Combustion, Who: note.All(note.UnventedQualified),
				WhoOn: []note.Elsewhere{{On: "gravity", Who: note.Who{{note.Apprentice}, {note.Electrician}}}},
			},
		},
		"mode": {
			"component: pump\noccurs: 12 per 1000 call-outs\nshows: {no-heat: likely}\nleads-to: {burnt-coil: likely}\n" +
				"if-left: It burns out.\nsettled-by: [spin-test]\nrepair: [new-pump]\nstop-gap: [tap-it]\non: [combi]\n",
			&note.Mode{
				Header: head(note.KindMode), Component: "pump", Occurs: figure(t, "12 per 1000 call-outs"),
				Shows: []note.Link{{To: "no-heat", Figure: likely}}, LeadsTo: []note.Link{{To: "burnt-coil", Figure: likely}},
				IfLeft: "It burns out.", SettledBy: []note.ID{"spin-test"}, Repair: []note.ID{"new-pump"},
				StopGap: []note.ID{"tap-it"}, On: []note.ID{"combi"},
			},
		},
		"symptom": {
			"usual-causes: {pump-stuck: 6 in 10}\nstop-work: [Get out., Ring from outside.]\nleak: 1 in 1000\n",
			&note.Symptom{
				Header: head(note.KindSymptom), UsualCauses: []note.Link{{To: "pump-stuck", Figure: figure(t, "6 in 10")}},
				StopWork: []string{"Get out.", "Ring from outside."}, Leak: figure(t, "1 in 1000"),
			},
		},
		"test": {
			workText + "results:\n  turns:\n    seen-with: {pump-stuck: virtually certain}\n    otherwise: likely\n" +
				"    means: It is sound.\n    reads: below 20 ohm\n  does not turn:\n",
			&note.Test{Header: head(note.KindTest), Work: work, Results: []note.Result{
				{
					Name: "turns", SeenWith: []note.Link{{To: "pump-stuck", Figure: certain}}, Otherwise: likely,
					Means: "It is sound.", Reads: "below 20 ohm",
				},
				{Name: "does not turn"},
			}},
		},
		"remedy": {
			"remedy: stop-gap\n" + workText + "uses: [pump]\nchecks: [tight]\nlimits: [for a day]\n",
			&note.Remedy{
				Header: head(note.KindRemedy), Work: work, Measure: note.StopGap, Uses: []note.ID{"pump"},
				Checks: []string{"tight"}, Limits: []string{"for a day"},
			},
		},
		"part": {
			"number: INV-1\nmaker: Invented\ntype: pump\nattributes: {thread: G 1/2, head: 6 m}\nfits: [combi]\n" +
				"supersedes: [inv-0]\ninterchanges-with: [inv-2]\nstatus: Current\nserials: 1000..1999\nneeds: [a harness]\n" +
				"contains: [inv-5]\ninterchange:\n  inv-3: {grade: with-adapter, source: bench, needs: a reducer, both-ways: yes}\n" +
				"  inv-4: {grade: Identical, approved: yes}\nsafety: gas\nprice: 60\nspace: 2\ndate: 2026-01-31\n",
			&note.Part{
				Header: head(note.KindPart), Number: "INV-1", Maker: "Invented", Type: "pump",
				Attributes: map[string]string{"thread": "G 1/2", "head": "6 m"}, Fits: []note.ID{"combi"},
				Supersedes: []note.ID{"inv-0"}, InterchangesWith: []note.ID{"inv-2"}, Status: "current",
				Serials: "1000..1999", Needs: []string{"a harness"}, Contains: []note.ID{"inv-5"},
				Interchange: []note.Interchange{
					{With: "inv-3", Grade: "with-adapter", Source: "bench", Needs: "a reducer", BothWays: true},
					{With: "inv-4", Grade: "identical", Approved: true},
				},
				Safety: "gas", Price: 60, Space: 2, Date: "2026-01-31",
			},
		},
		"job": {
			"appliance: combi\ndate: 2026-01-31\nwords: it is cold\nsymptoms: [no-heat]\ntests: {spin-test: turns}\n" +
				"found: [pump-stuck]\ndid: [new-pump]\nminutes: 40\nwho: A. N.\n",
			&note.Job{
				Header: head(note.KindJob), Appliance: "combi", Date: "2026-01-31", Words: "it is cold",
				Symptoms: []note.ID{"no-heat"}, Tests: []note.TestResult{{Test: "spin-test", Result: "turns"}},
				Found: []note.ID{"pump-stuck"}, Did: []note.ID{"new-pump"}, Minutes: 40, Who: "A. N.",
			},
		},
		"remark": {
			"about: [pump, no-heat]\n",
			&note.Remark{Header: head(note.KindRemark), About: []note.ID{"pump", "no-heat"}},
		},
	}
	for kind, c := range cases {
		t.Run(kind, func(t *testing.T) {
			t.Parallel()
			text := "---\nname: A name\nalso: [another]\ncaveats: [hot-water]\nsource: common practice\n" + c.fields +
				"---\n\nProse.\n\nMore of it.\n"
			n, problems := note.Parse("notes/"+kind+"/it.md", []byte(text))
			require.Empty(t, problems)
			assert.Equal(t, c.want, n.Entry)
			assert.Equal(t, text, string(n.Text))
			assert.Equal(t, "notes/"+kind+"/it.md", n.Path)
			assert.Equal(t, note.ID("it"), n.ID())
			assert.Equal(t, note.Kind(kind), n.Kind())
			assert.Equal(t, "A name", n.Name())
		})
	}

	// A caveat has no caveats of its own, a synonym set no other names.
	t.Run("caveat", func(t *testing.T) {
		t.Parallel()
		n, problems := note.Parse("caveat/hot.md",
			[]byte("---\nname: Hot\nlevel: warning\ntext: It burns.\napplies-to: [pump]\nsource: common practice\n---\n"))
		require.Empty(t, problems)
		assert.Equal(t, &note.Caveat{
			Header: note.Header{Kind: note.KindCaveat, ID: "hot", Name: "Hot", Source: "common practice"},
			Level:  signal.Warning, Text: "It burns.", AppliesTo: []note.ID{"pump"},
		}, n.Entry)
	})
	t.Run("synonym", func(t *testing.T) {
		t.Parallel()
		n, problems := note.Parse("synonym/pump.md", []byte("---\nname: Pump\nwords: [pump, circulator]\n---\n"))
		require.Empty(t, problems)
		assert.Equal(t, &note.Synonym{
			Header: note.Header{Kind: note.KindSynonym, ID: "pump", Name: "Pump"}, Words: []string{"pump", "circulator"},
		}, n.Entry)
	})
}

func TestJobAndPartWithoutNameAreNamedByWhatTheyHold(t *testing.T) {
	t.Parallel()
	n, problems := note.Parse("job/j.md", []byte("---\nappliance: combi\ndate: 2026-01-31\nwords: it drips\n---\n"))
	require.Empty(t, problems)
	assert.Equal(t, "2026-01-31 it drips", n.Name())

	n, problems = note.Parse("part/p.md", []byte("---\nnumber: INV-1\nmaker: Invented\ntype: pump\n---\n"))
	require.Empty(t, problems)
	assert.Equal(t, "Invented INV-1", n.Name())
}

// mark stands in a text where a problem is expected; it is taken out before the
// text is read.
const mark = "‸"

// marked returns a text without its mark, and the line and column of the mark,
// both from 1, the column in characters. They are 0 if there is no mark.
func marked(text string) (clean string, line, column int) {
	before, _, found := strings.Cut(text, mark)
	if !found {
		return text, 0, 0
	}
	before = strings.TrimPrefix(before, "\ufeff")
	line = 1 + strings.Count(before, "\n")
	column = 1 + utf8.RuneCountInString(before[strings.LastIndex(before, "\n")+1:])
	return strings.Replace(text, mark, "", 1), line, column
}

// Fields with which a mode lacks nothing and a test nothing but its results.
const (
	completeMode = "name: Stuck\ncomponent: pump\nshows: {no-heat: likely}\nsettled-by: [spin-test]\nrepair: [new-pump]\n"
	completeTest = "name: Spin\nminutes: 5\nwho: apprentice\nisolation: none needed\nsteps: [Look.]\n"
)

func TestProblemsAreReportedWhereTheyAre(t *testing.T) {
	t.Parallel()
	type problem struct {
		name, file, text string // the place expected carries the mark
		rule, message    string // the message holds this
	}
	mode := func(extra string) string { return "---\n" + completeMode + extra + "---\n" }
	test := func(extra string) string { return "---\n" + completeTest + extra + "---\n" }
	part := func(extra string) string { return "---\nnumber: A-1\nmaker: M\ntype: pump\n" + extra + "---\n" }
	job := func(extra string) string { return "---\nappliance: combi\nwords: cold\n" + extra + "---\n" }

	for _, c := range []problem{
		// Keys.
		{"unknown key names the nearest", "component/p.md", "---\nname: P\n‸fittd: 1 in 2\n---\n", "unknown-key", `"fittd": did you mean "fitted"?`},
		{"unknown key with nothing near lists the valid ones", "component/p.md", "---\nname: P\n‸zzz: 1\n---\n", "unknown-key", `"zzz"; valid here: name, also, is-a, has, fitted, nominal, price, safety, who, who-on, caveats, source`},
		{"unknown key in a result", "test/p.md", test("results:\n  turns:\n    ‸seenwith: {stuck: likely}\n"), "unknown-key", `did you mean "seen-with"?`},
		{"key of another kind", "remark/r.md", "---\nname: R\nabout: pump\n‸steps: [a]\n---\n", "unknown-key", `"steps"`},
		{"key twice", "component/p.md", "---\nname: P\n‸name: Q\n---\n", "twice", `"name" stands here twice`},
		{"symptom twice", "mode/m.md", "---\nname: M\ncomponent: pump\nshows:\n  no-heat: likely\n  ‸no-heat: unlikely\nsettled-by: [s]\nrepair: [r]\n---\n", "twice", `"no-heat"`},
		{"key that is a list", "mode/m.md", mode("leads-to: {‸[a]: likely}\n"), "wrong-shape", "key that is not a word"},
		{"key that is empty", "appliance/a.md", "---\nname: A\ncodes: {‸\"\": no-heat}\n---\n", "wrong-shape", "key that is not a word"},

		// Empty values.
		{"empty text", "component/p.md", "---\nname: ‸\"  \"\n---\n", "empty-value", "name is empty"},
		{"empty id", "mode/m.md", mode("on: [combi, ‸~]\n"), "empty-value", "on is empty"},
		{"empty list", "component/p.md", "---\nname: P\nhas: ‸~\n---\n", "empty-value", "write a list like [a, b]"},
		{"empty figure", "component/p.md", "---\nname: P\nfitted: ‸''\n---\n", "empty-value", "fitted is empty"},
		{"needed list without items", "remark/r.md", "---\nname: R\n‸about: []\n---\n", "missing-about", "a remark needs about"},
		{"needed map without items", "test/t.md", test("‸results: {}\n"), "missing-results", "a test needs results"},

		// Shapes.
		{"list for a text", "component/p.md", "---\nname: ‸[a, b]\n---\n", "wrong-shape", "name takes one value here, not a list"},
		{"map for a text", "component/p.md", "---\nname: ‸{a: b}\n---\n", "wrong-shape", "name takes one value here, not a map"},
		{"map for a list", "component/p.md", "---\nname: P\nhas: ‸{rotor: likely}\n---\n", "wrong-shape", "has takes a list like [a, b], not a map"},
		{"list for a map", "mode/m.md", mode("leads-to: ‸[burnt]\n"), "wrong-shape", "leads-to takes a map like {this: that}, not a list"},
		{"text for a map", "appliance/a.md", "---\nname: A\ncodes: ‸B14\n---\n", "wrong-shape", "not a single value"},
		{"list in a list", "component/p.md", "---\nname: P\nalso: [a, ‸[b]]\n---\n", "wrong-shape", "also takes one value here, not a list"},
		{"text for a result", "test/t.md", test("results:\n  turns: ‸always\n"), "wrong-shape", "results takes a map"},

		// Ids.
		{"id with capitals", "component/p.md", "---\nname: P\nhas: [‸Rotor Blade]\n---\n", "bad-id", `"Rotor Blade" is not a valid id: ids are written like "rotor-blade"`},
		{"id of more than 60 characters", "component/p.md", "---\nname: P\nhas: [‸" + strings.Repeat("a", 61) + "]\n---\n", "bad-id", "is not a valid id"},
		{"id as a key", "mode/m.md", mode("leads-to: {ok: likely, ‸Burnt_coil: likely}\n"), "bad-id", `"burnt-coil"`},
		{"code for no id", "appliance/a.md", "---\nname: A\ncodes:\n  B14: [no-heat, ‸No heat]\n---\n", "bad-id", `"no-heat"`},

		// Figures.
		{"word off the scale", "component/p.md", "---\nname: P\nfitted: ‸often\n---\n", "bad-figure", `"often" is not a figure: write a likelihood word such as "very likely"`},
		{"share above 1", "mode/m.md", mode("leads-to: {burnt: ‸11 in 10}\n"), "bad-figure", `"11 in 10" is outside its range`},
		{"per cent above 100", "mode/m.md", mode("leads-to: {burnt: ‸150 %}\n"), "bad-figure", "outside its range"},
		{"figure below 0", "component/p.md", "---\nname: P\nfitted: ‸-0.1\n---\n", "bad-figure", "outside its range"},
		{"figure that is not a number", "component/p.md", "---\nname: P\nfitted: ‸nan\n---\n", "bad-figure", "outside its range"},
		{"share of nothing", "component/p.md", "---\nname: P\nfitted: ‸1 in 0\n---\n", "bad-figure", "not a figure"},
		{"share with two points", "component/p.md", "---\nname: P\nfitted: ‸1.2.3 in 9\n---\n", "bad-figure", "not a figure"},
		{"rate where a figure stands", "component/p.md", "---\nname: P\nfitted: ‸3 per 1000 call-outs\n---\n", "bad-figure", "not a figure"},
		{"rate above 1", "mode/m.md", mode("occurs: ‸1001 per 1000 call-outs\n"), "bad-figure", "outside its range"},
		{"rate of another thing", "mode/m.md", mode("occurs: ‸4 per 1000 boilers\n"), "bad-figure", "not a figure"},
		{"figure of a result", "test/t.md", test("results:\n  turns:\n    otherwise: ‸2\n"), "bad-figure", "outside its range"},

		// Minutes, dates, choices.
		{"minutes with a unit", "job/j.md", job("date: 2026-01-31\nminutes: ‸5 min\n"), "bad-minutes", "whole number from 1 to 1440"},
		{"no minutes", "job/j.md", job("date: 2026-01-31\nminutes: ‸0\n"), "bad-minutes", `"0"`},
		{"minutes beyond a day", "job/j.md", job("date: 2026-01-31\nminutes: ‸1441\n"), "bad-minutes", `"1441"`},
		{"half a minute", "job/j.md", job("date: 2026-01-31\nminutes: ‸0.5\n"), "bad-minutes", `"0.5"`},
		{"date in another order", "job/j.md", job("date: ‸31.01.2026\n"), "bad-date", "write it like 2026-01-31"},
		{"day that does not exist", "job/j.md", job("date: ‸2026-02-30\n"), "bad-date", `"2026-02-30"`},
		{"date with a time", "job/j.md", job("date: ‸2026-01-31T10:00:00Z\n"), "bad-date", "is not a date"},
		{"person who does not exist", "test/t.md", "---\nname: T\nminutes: 5\nwho: ‸plumber\nisolation: none\nsteps: [a]\nresults: {a: {otherwise: likely}}\n---\n", "bad-choice", "who: \"plumber\" is not a competence: choose from householder, apprentice"},
		{"one of several persons who does not exist", "test/t.md", "---\nname: T\nminutes: 5\nwho: [electrician, ‸gas and plumber]\nisolation: none\nsteps: [a]\nresults: {a: {otherwise: likely}}\n---\n", "bad-choice", "\"plumber\""},
		{"nobody on an appliance", "test/t.md", test("results: {a: }\nwho-on: {combi: ‸[]}\n"), "empty-value", "write who may do it"},
		{"person on no id", "test/t.md", test("results: {a: }\nwho-on: {‸Some combi: electrician}\n"), "bad-id", "\"some-combi\""},
		{"half from outside", "test/t.md", test("results: {a: }\nfrom-outside: ‸half\n"), "bad-choice", "choose from yes, no"},
		{"state that does not exist", "test/t.md", test("results: {a: }\nprepare: [cold, ‸warm]\n"), "bad-choice", "prepare cannot be \"warm\""},
		{"no range of serial numbers", "part/p.md", part("serials: ‸from 1000\n"), "bad-serials", "1000..1999"},
		{"claim without a grade", "part/p.md", part("interchange: {‸inv-2: {source: bench}}\n"), "missing-grade", "one of identical, with-adapter, by-attributes"},
		{"grade that does not exist", "part/p.md", part("interchange: {inv-2: {grade: ‸similar}}\n"), "bad-choice", "interchange cannot be \"similar\""},
		{"key of a claim", "part/p.md", part("interchange: {inv-2: {grade: identical, ‸by: me}}\n"), "unknown-key", "approved"},
		{"safety that does not exist", "part/p.md", part("safety: ‸looks\n"), "bad-choice", "temperature-limit"},
		{"space", "part/p.md", part("space: ‸0\n"), "bad-space", "slots"},
		{"level that does not exist", "caveat/c.md", "---\nname: C\nlevel: ‸peril\ntext: Hot.\n---\n", "bad-choice", "danger, warning, caution, notice"},

		// Missing keys.
		{"name", "component/p.md", "‸---\nalso: [a]\n---\n", "missing-name", "add a line like `name: The trade's plain term`"},
		{"article of a vowel", "appliance/a.md", "‸---\nalso: [a]\n---\n", "missing-name", "an appliance needs name"},
		{"component of a mode", "mode/m.md", "‸---\nname: M\nshows: {a: likely}\nsettled-by: [s]\nrepair: [r]\n---\n", "missing-component", "a mode needs component"},
		{"results of a test", "test/t.md", "‸---\n" + completeTest + "---\n", "missing-results", "a test needs results"},

		// Anchors and aliases.
		{"anchor", "component/p.md", "---\nname: ‸&n P\n---\n", "alias", "write the value out"},
		{"alias of an anchor", "component/p.md", "---\nname: ‸&n P\nalso: [*n]\n---\n", "alias", "write the value out"},
		{"alias of nothing", "component/p.md", "---\nname: P\nalso: [a,\n‸  *n]\n---\n", "bad-yaml", "unknown anchor 'n'"},

		// YAML.
		{"colon in a value", "component/p.md", "---\nname: P\n‸source: IEC: 1\n---\n", "bad-yaml", "mapping values are not allowed"},
		{"bracket without its fellow", "component/p.md", "---\nname: P\n‸also: [a, b\nsource: x\n---\n", "bad-yaml", "expected ',' or ']'"},
		{"bracket out of nowhere", "component/p.md", "---\nname: P\n‸also: ]\n---\n", "bad-yaml", "expected node content"},
		{"item among keys", "component/p.md", "---\nname: P\n‸- a\n---\n", "bad-yaml", "expected key"},
		{"tab before a key", "component/p.md", "---\nname: P\n‸\talso: a\n---\n", "bad-yaml", "tab"},
		{"list for a front matter", "component/p.md", "---\n‸- name\n---\n", "wrong-shape", "the front matter takes a map"},

		// The file.
		{"no front matter", "component/p.md", "‸# A pump\n", "no-front-matter", `starts with a line "---"`},
		{"front matter without end", "component/p.md", "‸---\nname: P\n", "no-front-matter", `a second line "---"`},
		{"empty file", "component/p.md", "‸", "no-front-matter", "starts with"},
		{"not UTF-8", "component/p.md", "---\nname: P\n‸source: Stra\xdfe\n---\n", "not-utf8", "save it as UTF-8"},
		{"too large", "component/p.md", "---\nname: P\n---\n" + strings.Repeat("a", 1<<20), "too-large", "at most 1048576"},
		{"folder that is not a kind", "gadget/p.md", "---\nname: P\n---\n", "unknown-kind", `"gadget" is not a kind of note: use one of appliance, component`},
		{"no folder", "p.md", "---\nname: P\n---\n", "unknown-kind", "is not a kind"},
		{"file name that is not a valid id", "component/The Pump.md", "---\nname: P\n---\n", "bad-id", `name it like "the-pump.md"`},

		// What shifts positions in the text and must not shift them in the report.
		{"CRLF", "component/p.md", "---\r\nname: P\r\nhas:\r\n  - rotor\r\n  - ‸The Shaft\r\n---\r\n", "bad-id", `"the-shaft"`},
		{"CRLF and bad YAML", "component/p.md", "---\r\nname: P\r\n‸source: IEC: 1\r\n---\r\n", "bad-yaml", "mapping values"},
		{"byte order mark", "component/p.md", "\ufeff---\nname: P\nfitted: ‸often\n---\n", "bad-figure", `"often"`},
		{"byte order mark and CRLF", "component/p.md", "\ufeff---\r\nname: P\r\nfitted: ‸often\r\n---\r\n", "bad-figure", `"often"`},
		{"accents before the column", "component/p.md", "---\nname: P\nalso: [Kältepumpe, çà et là, 水泵, 🔧, ‸[x]]\n---\n", "wrong-shape", "also"},
		{"accents put together of two", "component/p.md", "---\n{name: Ka\u0308lte, has: [‸Ro tor]}\n---\n", "bad-id", `"ro-tor"`},
		{"comment and blank line before", "component/p.md", "---\n# A comment\n\nname: P\nfitted: ‸often\n---\n", "bad-figure", `"often"`},
		{"a lone carriage return is not a line", "component/p.md", "---\nname: P\rQ\nfitted: ‸often\n---\n", "bad-figure", `"often"`},
		{"a line separator is not a line", "component/p.md", "---\nname: P\u2028Q\u2029R\u0085S\nfitted: ‸often\n---\n", "bad-figure", `"often"`},
		{"value over two lines", "component/p.md", "---\nname: A long\n  name\nfitted: ‸often\n---\n", "bad-figure", `"often"`},
		{"block text before", "caveat/c.md", "---\nname: C\ntext: >\n  Hot\n  water.\nlevel: ‸peril\n---\n", "bad-choice", `"peril"`},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			text, line, column := marked(c.text)
			n, problems := note.Parse(c.file, []byte(text))
			assert.Nil(t, n, "a broken note is left out")
			p := theBroken(t, problems)
			assert.Equal(t, c.rule, p.Rule, p.Message)
			assert.Equal(t, place.Pos{File: c.file, Line: line, Column: column}, p.Pos, p.Message)
			assert.Contains(t, p.Message, c.message)
		})
	}
}

// theBroken returns the one problem that breaks a note. Needed keys that are
// missing because the note never got so far count only when they are alone.
func theBroken(t *testing.T, problems []place.Problem) place.Problem {
	t.Helper()
	var all, others []place.Problem
	for _, p := range problems {
		if p.Grade != note.Broken {
			continue
		}
		all = append(all, p)
		if !strings.HasPrefix(p.Rule, "missing-") {
			others = append(others, p)
		}
	}
	if len(others) == 0 {
		others = all
	}
	require.Len(t, others, 1, "%v", problems)
	return others[0]
}

func TestEmptyValueIsReportedOnItsLine(t *testing.T) {
	t.Parallel()
	// The place is that after the colon, where the value is missing.
	_, problems := note.Parse("component/p.md", []byte("---\nname: P\nsource:\nfitted: likely\n---\n"))
	p := theBroken(t, problems)
	assert.Equal(t, "empty-value", p.Rule)
	assert.Equal(t, 3, p.Line)
	assert.Contains(t, p.Message, "source is empty: write a value, or take the line out")
}

func TestAllProblemsOfANoteAreReportedAtOnce(t *testing.T) {
	t.Parallel()
	n, problems := note.Parse("mode/m.md",
		[]byte("---\nname: M\ncolour: red\noccurs: often\nshows: {No Heat: very much}\n---\n"))
	assert.Nil(t, n)
	var rules []string
	for _, p := range problems {
		rules = append(rules, p.Rule)
	}
	assert.Equal(t, []string{
		"unknown-key", "bad-figure", "bad-id", "bad-figure", // in the order of the file
		"missing-component", "missing-settled-by", "missing-repair", // in the order of a scaffold
	}, rules)
}

func TestWantedKeysMakeANoteIncompleteAndKeepIt(t *testing.T) {
	t.Parallel()
	n, problems := note.Parse("mode/m.md", []byte("---\nname: M\ncomponent: pump\nrepair: []\n---\n"))
	require.NotNil(t, n)
	var got []string
	for _, p := range problems {
		assert.Equal(t, note.Incomplete, p.Grade)
		got = append(got, p.Pos.String()+" "+p.Rule)
	}
	assert.Equal(t, []string{"mode/m.md:1:1 missing-shows", "mode/m.md:1:1 missing-settled-by", "mode/m.md:4:1 missing-repair"}, got)
}
