package measure

import (
	"bufio"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// lines reads a table of the testdata folder.
func lines(t *testing.T, name string, columns int) [][]string {
	t.Helper()
	f, err := os.Open(filepath.Join("testdata", name))
	require.NoError(t, err)
	defer f.Close()
	var out [][]string
	for s := bufio.NewScanner(f); s.Scan(); {
		if strings.HasPrefix(s.Text(), "#") {
			continue
		}
		cells := strings.Split(s.Text(), "\t")
		require.Len(t, cells, columns, s.Text())
		out = append(out, cells)
	}
	return out
}

// given makes a case of "key=value key=value"; a word without "=" belongs to the
// value before it.
func given(model, keys string) (*Given, error) {
	g, err := New(model)
	if err != nil {
		return nil, err
	}
	var pairs [][2]string
	for word := range strings.FieldsSeq(keys) {
		if key, value, ok := strings.Cut(word, "="); ok && key != "k" {
			pairs = append(pairs, [2]string{key, value})
		} else {
			pairs[len(pairs)-1][1] += " " + word
		}
	}
	for _, p := range pairs {
		if err := g.Set(p[0], p[1]); err != nil {
			return nil, err
		}
	}
	return g, nil
}

func judge(t testing.TB, model, keys string) Judgement {
	t.Helper()
	g, err := given(model, keys)
	require.NoError(t, err, "%s %s", model, keys)
	j, err := g.Judge()
	require.NoError(t, err, "%s %s", model, keys)
	return j
}

// figureOf gets a figure of an answer in its printed unit.
func figureOf(t *testing.T, j Judgement, what string) (float64, string) {
	t.Helper()
	switch what {
	case "expected":
		return j.In(j.Expected), j.Unit()
	case "low":
		return j.In(j.Low), j.Unit()
	case "high":
		return j.In(j.High), j.Unit()
	case "probability":
		return j.Probability, "-"
	}
	parts := strings.Split(what, ":")
	require.Len(t, parts, 3, what)
	for _, d := range j.Details() {
		if d.Name == parts[1] && d.Unit == parts[2] {
			return d.Value, d.Unit
		}
	}
	t.Fatalf("no detail %q", what)
	return math.NaN(), ""
}

func TestPublishedValues(t *testing.T) {
	t.Parallel()
	for _, row := range lines(t, "handbook.tsv", 8) {
		t.Run(row[0], func(t *testing.T) {
			t.Parallel()
			want, err := strconv.ParseFloat(row[4], 64)
			require.NoError(t, err)
			tolerance, err := strconv.ParseFloat(row[5], 64)
			require.NoError(t, err)
			assert.NotEmpty(t, row[7], "a source")
			j := judge(t, row[1], row[2])
			got, unit := figureOf(t, j, row[3])
			assert.InDelta(t, want, got, tolerance, "%s %s, by %s", row[1], row[2], row[7])
			if printed := map[string]string{"bar abs": "bara", "bar/m": "bar", "kJ/(l K)": "kJ/(l K)", "ohm/km": "ohm", "—": "", "": ""}; row[6] != unit {
				assert.Equal(t, printed[row[6]], strings.TrimSuffix(unit, "-"), "unit of %s", row[0])
			}
		})
	}
}

func TestPublishedValuesThatNoModelAnswersHaveAReason(t *testing.T) {
	t.Parallel()
	for _, row := range lines(t, "uncovered.tsv", 3) {
		assert.NotEmpty(t, row[1], row[0])
	}
}
