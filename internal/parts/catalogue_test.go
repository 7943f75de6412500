package parts

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"kg/internal/note"
	"kg/internal/place"
)

// readAll reads a catalogue: its parts, and the problems of the other rows.
func readAll(t testing.TB, text string) ([]*Part, []place.Problem) {
	t.Helper()
	rows, err := NewRows(strings.NewReader(text), Reading{File: "list.csv"})
	require.NoError(t, err)
	var list []*Part
	var problems []place.Problem
	for {
		p, err := rows.Next()
		var problem *place.Problem
		switch {
		case err == io.EOF:
			return list, problems
		case errors.As(err, &problem):
			problems = append(problems, *problem)
		default:
			require.NoError(t, err)
			list = append(list, p)
		}
	}
}

func TestARowWithEverything(t *testing.T) {
	t.Parallel()
	list := listOf(t, `number,maker,type,name,status,fits,attributes,superseded-by,interchange,safety,contains,price,space,date,source
"SF-1","Tarn & Thole",pump,"Pump, small",,skerry-c24 | skerry-s18 [serial 1000..1999],thread: G 1 | voltage: 230 V,SF-2 [serial ..1999] | SF-3 + 2 x SF-4 [serial 2000..; needs harness SF-9; needs software 3],identical to Hollin Works: 60 417 22 [source bench; both ways; approved],relief,A-1 + 3 x A-2,60,2,2026-01-31,list of January
`)
	require.Len(t, list, 1)
	p := list[0]
	assert.Equal(t, ID("tarnthole/SF1"), p.ID)
	assert.Equal(t, note.Superseded, p.Status, "what is superseded is, whether it says so or not")
	assert.Equal(t, []Fit{{"skerry-c24", Range{}}, {"skerry-s18", Range{"1000", "1999"}}}, p.Fits)
	assert.Equal(t, []Attribute{{"thread", "G 1"}, {"voltage", "230 V"}}, p.Attributes)
	at := place.Pos{File: "list.csv", Line: 2}
	assert.Equal(t, []Succession{
		{By: []Item{{"tarnthole/SF2", "SF-2", 1}}, Serials: Range{"", "1999"}, Where: at},
		{By: []Item{{"tarnthole/SF3", "SF-3", 1}, {"tarnthole/SF4", "SF-4", 2}}, Serials: Range{"2000", ""}, Needs: []string{"harness SF-9", "software 3"}, Where: at},
	}, p.By)
	assert.Equal(t, []Claim{{By: "hollinworks/6041722", Maker: "Hollin Works", Number: "60 417 22", Grade: note.Identical, Source: "bench", Both: true, Approved: true, Where: at}}, p.Claims)
	assert.Equal(t, []Item{{"tarnthole/A1", "A-1", 1}, {"tarnthole/A2", "A-2", 3}}, p.Contains)
	assert.Equal(t, []any{60, 2, "2026-01-31", note.Relief}, []any{p.Price, p.Space, p.Date, p.Safety})
}

// Each case is one row that is left out, with the place and the rule; the rows
// before and after it stay.
func TestRowsThatCannotBeUsed(t *testing.T) {
	t.Parallel()
	const header = "number,maker,type,status,fits,attributes,superseded-by,interchange,price,date\n"
	const good = "A-1,Ferrow,pump,,,,,,,\n"
	for _, c := range []struct{ row, place, rule, says string }{
		{"A-2,Ferrow,pump\n", "list.csv:3", "row-length", "has 3 cells, the header has 10"},
		{"./,Ferrow,pump,,,,,,,\n", "list.csv:3:1", "bad-number", "no letter or digit"},
		{",Ferrow,pump,,,,,,,\n", "list.csv:3:1", "bad-number", "no letter or digit"},
		{"A|2,Ferrow,pump,,,,,,,\n", "list.csv:3:1", "bad-number", "leave out"},
		{"A-2,,pump,,,,,,,\n", "list.csv:3:5", "bad-maker", "name the maker"},
		{"A-2,Ferrow,Big Pump,,,,,,,\n", "list.csv:3:12", "bad-type", "kg list components"},
		{"A-2,Ferrow,pump,new,,,,,,\n", "list.csv:3:17", "bad-status", "choose from"},
		{"A-2,Ferrow,pump,,Skerry C24,,,,,\n", "list.csv:3:18", "bad-fits", "kg list appliances"},
		{"A-2,Ferrow,pump,,skerry [serial 9..1],,,,,\n", "list.csv:3:18", "bad-fits", "turn it round"},
		{"A-2,Ferrow,pump,,,thread: G 9,,,,\n", "list.csv:3:19", "bad-attributes", "not a size of pipe thread"},
		{"A-2,Ferrow,pump,,,thread G 1,,,,\n", "list.csv:3:19", "bad-attributes", "is not an attribute"},
		{"A-2,Ferrow,pump,,,length: 1 mm | Length: 2 mm,,,,\n", "list.csv:3:19", "bad-attributes", "twice"},
		{"A-2,Ferrow,pump,,,,A-3 [from 2000],,,\n", "list.csv:3:20", "bad-superseded-by", "in brackets stand"},
		{"A-2,Ferrow,pump,,,,A-3 + A-3,,,\n", "list.csv:3:20", "bad-superseded-by", "write 2 x A-3"},
		{"A-2,Ferrow,pump,,,,A-3 [serial 1..,,,\n", "list.csv:3:20", "bad-superseded-by", "do not close"},
		{"A-2,Ferrow,pump,,,,,like Lunt: 7,,\n", "list.csv:3:21", "bad-interchange", "is not a claim"},
		{"A-2,Ferrow,pump,,,,,identical to Lunt 7,,\n", "list.csv:3:21", "bad-interchange", "is not a claim"},
		{"A-2,Ferrow,pump,,,,,,-5,\n", "list.csv:3:22", "bad-price", "whole number from 1"},
		{"A-2,Ferrow,pump,,,,,,,31.1.2026\n", "list.csv:3:23", "bad-date", "2026-01-31"},
		{"A-2,Ferrow,pump,,,,,,,2026-02-30\n", "list.csv:3:23", "bad-date", "2026-01-31"},
		{"Ä-2,Fërröw,pump,new,,,,,,\n", "list.csv:3:17", "bad-status", "choose from"},
		{"=1+1,Ferrow,pump,,,,,,,\n", "list.csv:3:1", "formula", "a spreadsheet would run"},
		{"A-2,@SUM(A1),pump,,,,,,,\n", "list.csv:3:5", "formula", "a spreadsheet would run"},
		{"A-2,\"+cmd|' /c calc'!A0\",pump,,,,,,,\n", "list.csv:3:5", "formula", "a spreadsheet would run"},
		{"A-2,-1+1,pump,,,,,,,\n", "list.csv:3:5", "formula", "a spreadsheet would run"},
		{"A-2,\"\t=1\",pump,,,,,,,\n", "list.csv:3:5", "formula", "a spreadsheet would run"},
		{"A-2,\"Fer\nrow\",pump,,,,,,,\n", "list.csv:3:5", "line-break", "on one line"},
		{"A-2,Ferr\xf6w,pump,,,,,,,\n", "list.csv:3:5", "not-utf8", "--encoding windows-1252"},
		{"A-2,Fer\x00row,pump,,,,,,,\n", "list.csv:3:5", "control-character", "take it out"},
		{"A-2,Ferrow " + strings.Repeat("x", 10_000) + ",pump,,,,,,,\n", "list.csv:3:5", "long-cell", "is a quote missing"},
		{"A-2,Fer\"row,pump,,,,,,,\n", "list.csv:3", "bad-quote", "double those within"},
	} {
		list, problems := readAll(t, header+good+c.row+"A-9,Ferrow,pump,,,,,,,\n")
		require.Len(t, problems, 1, "%q", c.row)
		assert.Equal(t, c.place, problems[0].Pos.String(), "%q", c.row)
		assert.Equal(t, c.rule, problems[0].Rule, "%q", c.row)
		assert.Contains(t, problems[0].Message, c.says, "%q", c.row)
		assert.Len(t, list, 2, "%q: the others stay", c.row)
	}
}

func TestHeaders(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ text, says string }{
		{"", "the file is empty"},
		{"number,maker\n", "has no column type"},
		{"number,maker,type,colour\n", `has a column "colour" that is unknown`},
		{"number,maker,type,supersed\n", "did you mean superseded-by?"},
		{"number,maker,type,number\n", "the column number twice"},
	} {
		_, err := NewRows(strings.NewReader(c.text), Reading{File: "list.csv"})
		require.ErrorIs(t, err, errHeader)
		assert.ErrorContains(t, err, c.says)
	}
	rows, err := NewRows(strings.NewReader("\ufeffPart No;Colour;Art\nA-1;red;pump\n"),
		Reading{Map: map[string]Column{"part no": columnNumber, "ART": columnType}, Foreign: true, Defaults: map[Column]string{columnMaker: "Ferrow"}})
	require.NoError(t, err, "a list of others, with semicolons and a byte order mark")
	p, err := rows.Next()
	require.NoError(t, err)
	assert.Equal(t, ferrow("A-1"), p.ID)
	_, err = NewRows(strings.NewReader("Part No,maker,type\n"), Reading{Map: map[string]Column{"Part Nr": columnNumber}, Foreign: true})
	assert.ErrorContains(t, err, `no column "Part Nr" to map: it has "Part No"`)
}

func TestOfTwoMistakesInAMappingTheSameIsToldEveryTime(t *testing.T) {
	t.Parallel()
	for range 50 { // a map is ranged over in another order every time
		_, err := NewRows(strings.NewReader("number,maker,type\n"), Reading{Map: map[string]Column{"c": columnNumber, "a": columnMaker, "b": columnType}})
		require.ErrorContains(t, err, `no column "a" to map`)
		_, err = NewRows(strings.NewReader("number,maker,type\n"), Reading{Map: map[string]Column{"c": "z", "a": "x", "b": "y"}})
		require.ErrorContains(t, err, `no column "x" to map "a" to`)
	}
}

// A quote that nothing closes swallows the rest: nothing after it can be trusted.
func TestAQuoteThatIsNotClosedEndsTheFile(t *testing.T) {
	t.Parallel()
	rows, err := NewRows(strings.NewReader("number,maker,type\nA-1,Ferrow,pump\n\"A-2,Ferrow,pump\nA-3,Ferrow,pump\n"), Reading{File: "list.csv"})
	require.NoError(t, err)
	_, err = rows.Next()
	require.NoError(t, err)
	_, err = rows.Next()
	require.Error(t, err)
	var problem *place.Problem
	assert.False(t, errors.As(err, &problem), "it is no matter of one row")
	assert.ErrorContains(t, err, "list.csv:3")
}

// What is written is read as the same part.
func TestWhatIsWrittenIsReadAsTheSame(t *testing.T) {
	t.Parallel()
	numbers := rapid.StringMatching(`[A-Z]{1,2}[-. ]?[0-9]{1,5}`)
	words := rapid.StringMatching(`[a-zäöü0-9,"' ]{0,12}[a-z]`)
	rapid.Check(t, func(t *rapid.T) {
		maker := rapid.SampledFrom([]string{"Ferrow", "Tarn & Thole", "Büro \"Süd\""}).Draw(t, "maker")
		item := func(label string) Item {
			n := strings.TrimSpace(numbers.Draw(t, label))
			return Item{IDOf(maker, n), n, rapid.IntRange(1, 3).Draw(t, "count")}
		}
		p := &Part{Number: strings.TrimSpace(numbers.Draw(t, "number")), Maker: maker, Type: "pump", Name: strings.TrimSpace(words.Draw(t, "name")), Source: "list"}
		p.ID = IDOf(p.Maker, p.Number)
		for range rapid.IntRange(0, 2).Draw(t, "branches") {
			s := Succession{By: []Item{item("by")}}
			if rapid.Bool().Draw(t, "ranged") {
				s.Serials = Range{From: "100", To: "200"}
			}
			if rapid.Bool().Draw(t, "needs") {
				s.Needs = []string{"harness"}
			}
			p.By = append(p.By, s)
		}
		if len(p.By) > 0 {
			p.Status = note.Superseded
		}
		if rapid.Bool().Draw(t, "claimed") {
			it := item("claim")
			p.Claims = []Claim{{By: IDOf("Lunt", it.Number), Maker: "Lunt", Number: it.Number, Grade: rapid.SampledFrom(note.Grades()).Draw(t, "grade"), Source: "bench", Both: rapid.Bool().Draw(t, "both")}}
		}
		if rapid.Bool().Draw(t, "kit") {
			p.Contains = []Item{item("part")}
		}
		p.Fits = []Fit{{Appliance: "ferrow-20", Serials: Range{From: "7"}}}
		p.Attributes = []Attribute{{"thread", "G 1/2"}}
		var text bytes.Buffer
		w := csv.NewWriter(&text)
		require.NoError(t, w.Write(Header()))
		require.NoError(t, w.Write(p.Row()))
		w.Flush()
		rows, err := NewRows(&text, Reading{File: "list.csv"})
		require.NoError(t, err)
		got, err := rows.Next()
		if Formula(p.Name) {
			return
		}
		require.NoError(t, err)
		require.Equal(t, p.Row(), got.Row())
		require.True(t, p.same(got))
		for i := range got.By {
			got.By[i].Where = place.Pos{}
		}
		require.Equal(t, p.By, got.By)
	})
}

// FuzzCatalogue: no text makes the reader panic or read without end, and what it
// reads it writes so that it is read as the same.
func FuzzCatalogue(f *testing.F) {
	for _, s := range []string{
		"number,maker,type\nA-1,Ferrow,pump\n",
		"number;maker;type;superseded-by\nA-1;Ferrow;pump;A-2 [serial 1..2] | A-3 + 2 x A-4\n",
		"\ufeffnumber,maker,type,attributes\n\"A\"\"1\",Ferrow,pump,thread: G 1/2 | range: 0 to 4 bar ± 1 %\n",
		"number,maker,type,interchange\nA-1,Ferrow,pump,identical to Lunt: 7 [source x; both ways]\n",
		"number,maker,type\n\"A-1,Ferrow,pump\nA-2,Ferrow,pump\n",
		"number,maker,type\n=1,Ferrow,pump\n\xff,Ferrow,pump\n",
		"number,maker,type,fits,contains,price,space,date\nA-1,Ferrow,pump,a [serial 1..],2 x B-1,1,1,2026-01-01\n",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		rows, err := NewRows(strings.NewReader(text), Reading{File: "list.csv", Foreign: true, Defaults: map[Column]string{columnMaker: "Ferrow", columnType: "pump"}})
		if err != nil {
			return
		}
		for {
			p, err := rows.Next()
			if err == io.EOF {
				return
			}
			var problem *place.Problem
			if errors.As(err, &problem) {
				continue
			}
			if err != nil {
				return
			}
			var out bytes.Buffer
			w := csv.NewWriter(&out)
			w.Write(Header())
			w.Write(p.Row())
			w.Flush()
			again, err := NewRows(&out, Reading{File: "list.csv"})
			if err != nil {
				t.Fatal(err)
			}
			q, err := again.Next()
			if err != nil {
				t.Fatalf("%q is not read again: %v", p.Row(), err)
			}
			if !p.same(q) {
				t.Fatalf("%q became %q", p.Row(), q.Row())
			}
		}
	})
}
