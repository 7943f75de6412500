package data_test

import (
	"context"
	"io/fs"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/data"
	"kg/internal/ingest"
	"kg/internal/lint"
	"kg/internal/note"
)

// reviewed are the shipped notes after all checks.
var reviewed = sync.OnceValues(func() (lint.Verdict, error) {
	v, _, err := ingest.Review(context.Background(), []ingest.Source{{Name: "shipped", Root: "shipped", FS: data.Notes}})
	return v, err
})

func shipped(t *testing.T) lint.Verdict {
	t.Helper()
	v, err := reviewed()
	require.NoError(t, err)
	return v
}

func TestEveryShippedNoteIsSound(t *testing.T) {
	t.Parallel()
	v := shipped(t)
	problems := map[string][]string{}
	for _, p := range v.Problems {
		problems[p.File] = append(problems[p.File], p.Error())
	}
	files, err := fs.Glob(data.Notes, "*/*.md")
	require.NoError(t, err)
	for _, f := range files {
		t.Run(f, func(t *testing.T) {
			assert.Empty(t, problems["shipped/"+f])
		})
	}
	assert.Len(t, v.Kept, len(files))
}

func TestTheLibraryIsAsBroadAsPromised(t *testing.T) {
	t.Parallel()
	count := map[note.Kind]int{}
	demo := 0
	for _, n := range shipped(t).Kept {
		count[n.Kind()]++
		if a, ok := n.Entry.(*note.Appliance); ok && a.Maker != "" {
			demo++
		}
	}
	for kind, least := range map[note.Kind]int{
		note.KindAppliance: 14 + 12, note.KindComponent: 85, note.KindMode: 260, note.KindSymptom: 170,
		note.KindTest: 150, note.KindRemedy: 120, note.KindCaveat: 90, note.KindJob: 60,
	} {
		assert.GreaterOrEqual(t, count[kind], least, kind)
	}
	assert.GreaterOrEqual(t, demo, 12, "demo appliances of invented makers")
}

func TestEverySymptomHasFourOtherSayings(t *testing.T) {
	t.Parallel()
	for _, n := range shipped(t).Kept {
		if s, ok := n.Entry.(*note.Symptom); ok {
			assert.GreaterOrEqual(t, len(s.Also), 4, n.Path)
		}
	}
}

func TestEveryModeCanBeProvedAndMended(t *testing.T) {
	t.Parallel()
	for _, n := range shipped(t).Kept {
		if m, ok := n.Entry.(*note.Mode); ok {
			assert.NotEmpty(t, m.Shows, n.Path)
			assert.NotEmpty(t, m.SettledBy, n.Path)
			assert.NotEmpty(t, m.Repair, n.Path)
			assert.True(t, m.Occurs.Given(), n.Path)
		}
	}
}

func TestJobsReportResultsThatTheirTestsHave(t *testing.T) {
	t.Parallel()
	results := map[note.ID]map[string]bool{}
	for _, n := range shipped(t).Kept {
		if e, ok := n.Entry.(*note.Test); ok {
			results[e.ID] = map[string]bool{}
			for _, r := range e.Results {
				results[e.ID][r.Name] = true
			}
		}
	}
	for _, n := range shipped(t).Kept {
		if j, ok := n.Entry.(*note.Job); ok {
			for _, r := range j.Tests {
				assert.True(t, results[r.Test][r.Result], "%s: %s has no result %q", n.Path, r.Test, r.Result)
			}
		}
	}
}

// figure is a published value, and where notes speak of it.
type figure struct {
	name, source string
	// mention finds the figure in the text of a note; each group is a number.
	mention *regexp.Regexp
	// right says which numbers are.
	right func(got []float64) bool
}

func exactly(want ...float64) func([]float64) bool {
	return func(got []float64) bool {
		for i, w := range want {
			if got[i] != w {
				return false
			}
		}
		return true
	}
}

func within(low, high float64) func([]float64) bool {
	return func(got []float64) bool {
		for _, g := range got {
			if g < low || g > high {
				return false
			}
		}
		return true
	}
}

// A figure in a note that contradicts its standard fails. Where a source says
// "from memory" the value was recalled and not looked up.
func TestFiguresInNotesAgreeWithTheirStandards(t *testing.T) {
	t.Parallel()
	for _, f := range []figure{
		{"mains voltage", "230 V +10 %, -6 %: ESQCR 2002 regulation 27",
			regexp.MustCompile(`(216(?:\.\d)?) (?:to|and|V to) (25\d(?:\.\d)?) ?V`), exactly(216.2, 253)},
		{"insulation of mains circuits", "at least 1 Mohm at 500 V d.c.: BS 7671:2018 regulation 643.3.2",
			regexp.MustCompile(`(?i)(?:below|above|least|under|over) ([\d.]+) Mohm`), within(0.5, 1)},
		{"temperature relief of unvented stores", "90 to 95 degrees C: EN 1490",
			regexp.MustCompile(`(?:opens|relief) at (\d+) to (\d+) C`), exactly(90, 95)},
		{"platinum sensor of 1000 ohm at 50 degrees C", "1193.97 ohm: IEC 60751:2022",
			regexp.MustCompile(`(119\d) ohm`), within(1193.5, 1194.5)},
		{"CO alarm at 50 ppm", "sounds between 60 and 90 minutes: EN 50291-1",
			regexp.MustCompile(`(\d+)\s+and\s+(\d+)\s+minutes\s+at\s+50\s+ppm`), exactly(60, 90)},
		{"CO alarm at 300 ppm", "sounds within 3 minutes: EN 50291-1",
			regexp.MustCompile(`within (\d+) minutes\s+at\s+300 ppm`), exactly(3)},
		{"safety valve of a heating system", "3 bar: EN 12828, from memory",
			regexp.MustCompile(`usually set at (\d+(?:\.\d)?) bar in houses`), exactly(3)},
		{"blended bath water", "44 degrees C at the most, 46 for an assisted bath: NHS Model Engineering Specification D08",
			regexp.MustCompile(`bath (\d+) C, assisted bath (\d+) C`), exactly(44, 46)},
		{"scalding at 51 degrees C", "2 and 4.2 minutes to a second and third degree burn: Moritz and Henriques 1947",
			regexp.MustCompile(`(\d+(?:\.\d)?) min and (\d+(?:\.\d)?) min at 51 C`), exactly(2, 4.2)},
		{"boiler spur fuse", "3 A: BS 1362 and practice, from memory",
			regexp.MustCompile(`(?i)(\d+) ?A (?:cartridge )?fuse`), func(got []float64) bool { return got[0] == 3 || got[0] == 5 || got[0] == 13 }},
	} {
		t.Run(f.name, func(t *testing.T) {
			t.Parallel()
			found := 0
			for _, n := range shipped(t).Kept {
				for _, m := range f.mention.FindAllStringSubmatch(string(n.Text), -1) {
					found++
					var got []float64
					for _, g := range m[1:] {
						if g == "" {
							continue
						}
						x, err := strconv.ParseFloat(g, 64)
						require.NoError(t, err)
						got = append(got, x)
					}
					assert.True(t, f.right(got), "%s says %q; %s", n.Path, m[0], f.source)
				}
			}
			assert.Positive(t, found, "no note gives this figure any more: the check checks nothing")
		})
	}
}

// The allowed drop of 4 mbar was superseded; limits now go by the volume of the
// installation (IGEM/UP/1B, edition in force).
func TestNoNoteGivesTheOldTightnessLimit(t *testing.T) {
	t.Parallel()
	old := regexp.MustCompile(`(?i)\b4 ?mbar`)
	for _, n := range shipped(t).Kept {
		if strings.Contains(strings.ToLower(string(n.Text)), "tight") {
			assert.False(t, old.Match(n.Text), n.Path)
		}
	}
}
