package measure

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// digits prints a figure to six digits: enough to see that it has changed, few enough
// that the rounding of a machine is not seen.
func digits(x float64) string {
	if math.Abs(x) < 1e-9 {
		return "0"
	}
	return fmt.Sprintf("%.6g", x)
}

// answer writes all that is said about a case down, a line for each part of it.
func answer(b *strings.Builder, model, keys string, j Judgement) {
	fmt.Fprintf(b, "%s %s\n", model, keys)
	line := func(what string, args ...any) { fmt.Fprintf(b, "\t"+what+"\n", args...) }
	line("%s %s from %s to %s, standard %s, tolerance %s, expanded %s", digits(j.In(j.Expected)), j.Unit(), digits(j.In(j.Low)), digits(j.In(j.High)),
		digits(j.Width(j.Standard)), digits(j.Width(j.Tolerance)), digits(j.Width(j.Expanded)))
	if q, read := j.Reads(); read {
		line("reads %s %s: %s, %s %s", digits(q.Value), j.ReadsUnit(), j.Verdict, digits(j.Probability), j.Why)
	}
	if j.SolvedName() != "" {
		line("solved for %s", j.SolvedName())
	}
	if name, x, unit, ok := j.Means(); ok {
		line("means %s = %s %s", name, digits(x), unit)
	}
	for _, p := range j.Parts() {
		line("from %s %.3f, assumed %v, usual %v", p.Name, p.Share, p.Assumed, p.Usual)
	}
	line("missing %q, assumed %q, usual %q", j.Missing(), j.Assumed(), j.Usual())
	line("formula %s", j.Formula())
	line("details %+v", j.Details())
	line("remark %s", j.Remark())
}

// All that each model says: its keys with their ranges, its answer in a typical case,
// without the reading and with readings far off to both sides, and its card. The
// figures were worked out by the program itself: they are no proof that it is right
// (the tables of handbook.tsv, of the standards and of the guides are), but any of the
// some thousand constants and signs that changes is seen here, to be looked at before
// -update writes the file anew.
func TestEveryAnswerIsTheOneThatIsWrittenDown(t *testing.T) {
	t.Parallel()
	var b strings.Builder
	for _, m := range Models() {
		fmt.Fprintf(&b, "# %s, %s, %s\n", m.Name, m.Kind, m.Unit)
		for _, k := range m.Keys {
			fmt.Fprintf(&b, "\t%s: %s to %s, default %s, %s; %s\n", k.Name, digits(k.Low), digits(k.High), digits(k.Default), k.Unit, k.Explain())
		}
		keys := typical[m.Name]
		answer(&b, m.Name, keys, judge(t, m.Name, keys))
		without := keys
		if at := strings.Index(keys, "reads="); at >= 0 {
			without = strings.TrimSpace(keys[:at])
		}
		for _, more := range []string{"", " reads=0.001", " reads=9000", " reads=OL", " reads=short"} {
			g, err := given(m.Name, strings.TrimSpace(without+more))
			if err == nil {
				var j Judgement
				if j, err = g.Judge(); err == nil {
					answer(&b, m.Name, without+more, j)
				}
			}
			if err != nil {
				fmt.Fprintf(&b, "%s%s\n\t%v\n", without, more, err)
			}
		}
		// What a reading means where the key that it tells is not given.
		for _, k := range strings.Fields(without) {
			name, _, _ := strings.Cut(k, "=")
			rest := strings.Join(strings.Fields(strings.Replace(keys, k, "", 1)), " ")
			g, err := given(m.Name, rest)
			if err != nil {
				continue
			}
			if j, err := g.Judge(); err != nil {
				fmt.Fprintf(&b, "without %s\n\t%v\n", name, err)
			} else {
				answer(&b, "without "+name+":", rest, j)
			}
		}
		if m.HasCard() {
			g, err := given(m.Name, without)
			require.NoError(t, err, m.Name)
			c, err := g.Card("", "", "")
			require.NoError(t, err, m.Name)
			fmt.Fprintf(&b, "card of %s in %s, %s, assumed %q\n", c.Key, c.KeyUnit, c.Unit, c.Assumed)
			for _, r := range c.Rows {
				fmt.Fprintf(&b, "\t%s: %s from %s to %s\n", digits(r.At), digits(r.Expected), digits(r.Low), digits(r.High))
			}
		}
	}
	file := filepath.Join("testdata", "answers.txt")
	if *update {
		require.NoError(t, os.WriteFile(file, []byte(b.String()), 0o644))
	}
	content, err := os.ReadFile(file)
	require.NoError(t, err)
	want, got := strings.Split(string(content), "\n"), strings.Split(b.String(), "\n")
	for i := range min(len(want), len(got)) {
		if !assert.Equal(t, want[i], got[i], "line %d of %s", i+1, file) {
			return
		}
	}
	assert.Len(t, got, len(want))
}
