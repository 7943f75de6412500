package parts

import (
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestANumberIsTheSameInAnySpelling(t *testing.T) {
	t.Parallel()
	for name, spellings := range map[string][]string{
		"separators":         {"SF-0412-30", "sf 0412 30", "SF.0412/30", "SF041230", " sf–0412—30 ", "SF_0412_30"},
		"leading zeros":      {"0041722", "41722", "41 722", "000-41722"},
		"zeros after letter": {"TT.007", "TT7", "tt-07"},
		"full width":         {"ＳＦ－４１２", "SF-412"},
		"zero itself":        {"0", "000", "0-0"},
		"no-break spaces":    {"60\u00a0417\u202f22", "60 417 22"},
	} {
		for _, s := range spellings {
			assert.Equal(t, KeyOf(spellings[0]), KeyOf(s), "%s: %q", name, s)
		}
	}
}

func TestNumbersThatDifferStayApart(t *testing.T) {
	t.Parallel()
	for _, pair := range [][2]string{{"SF-100", "SF-1000"}, {"SF-10", "SF-1"}, {"A1B", "AB1"}, {"1A0", "1A"}, {"SF-O1", "SF-01"}, {"Ä1", "A1"}} {
		assert.NotEqual(t, KeyOf(pair[0]), KeyOf(pair[1]), "%v", pair)
	}
}

func TestZerosThatBeginAGroupMayBeLeftOut(t *testing.T) {
	t.Parallel()
	for typed, listed := range map[string]string{"SF-4155-3": "SF-4155-03", "sf 41 007": "SF-041-7", "60.4.1": "60 004 01"} {
		assert.Equal(t, Grouped(listed), Grouped(typed))
	}
	assert.Equal(t, Grouped("SF-4155-03"), KeyOf("SF41553"), "with no separator at all")
}

func TestLettersTakenForDigitsAreAlike(t *testing.T) {
	t.Parallel()
	for _, pair := range [][2]string{{"SF-O412", "SF-0412"}, {"TT.I18", "TT.118"}, {"l18", "118"}, {"60 4I7 2Z", "60 417 22"}, {"B5", "8S"}} {
		assert.Equal(t, Alike(pair[0]), Alike(pair[1]), "%v", pair)
		assert.NotEqual(t, KeyOf(pair[0]), KeyOf(pair[1]), "%v", pair)
	}
}

func TestWhatHasNoLetterOrDigitIsNoNumber(t *testing.T) {
	t.Parallel()
	for _, s := range []string{"", " ", "--.", "/", "\x00", "½"} {
		assert.Empty(t, KeyOf(s), "%q", s)
		assert.Empty(t, IDOf("Skerryfold", s), "%q", s)
	}
	assert.Empty(t, IDOf("&", "1"))
	assert.Equal(t, ID("tarnthole/TT118204"), IDOf("Tarn & Thole", "TT.118.204"))
	assert.Equal(t, Key("TT118204"), IDOf("Tarn & Thole", "TT.118.204").Key())
}

func TestTheNormalFormIsItsOwnAndKnowsNoSeparators(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.String().Draw(t, "number")
		key := KeyOf(s)
		require.Equal(t, key, KeyOf(string(key)))
		var spread strings.Builder
		for _, r := range s {
			spread.WriteRune(r)
			spread.WriteString(rapid.SampledFrom([]string{"", " ", "-", ".", "/"}).Draw(t, "separator"))
		}
		require.Equal(t, key, KeyOf(spread.String()))
		require.Equal(t, Alike(s), Alike(string(key)), "what has one key is alike")
		require.False(t, strings.ContainsFunc(string(key), unicode.IsSpace))
	})
}

func TestSerialNumbersCompareAsOnPlates(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		a, b string
		want int
	}{
		{"999", "1000", -1}, {"1000", "999", 1}, {"0999", "999", 0}, {"12-034", "12034", 0},
		{"A900", "B100", -1}, {"a900", "A900", 0}, {"A9", "A10", -1}, {"", "1", -1},
	} {
		assert.Equal(t, c.want, Serial(c.a).compare(Serial(c.b)), "%q %q", c.a, c.b)
	}
}

func TestRangesOfSerialNumbers(t *testing.T) {
	t.Parallel()
	r, err := ParseRange("1000..1999")
	require.NoError(t, err)
	for serial, in := range map[Serial]bool{"999": false, "1000": true, "1-500": true, "1999": true, "2000": false} {
		assert.Equal(t, in, r.Has(serial), serial)
	}
	open, err := ParseRange("2000..")
	require.NoError(t, err)
	assert.True(t, open.Has("123456"))
	_, some := r.and(open)
	assert.False(t, some)
	common, some := r.and(Range{From: "1500"})
	assert.True(t, some)
	assert.Equal(t, "1500..1999", common.String())
	assert.True(t, Range{}.Has("7"))
	for text, why := range map[string]string{"1000": "is not a range", "..": "no serial", "": "is not a range", "2..1": "ends before", "1..2..3": "more than one", "-..5": "no serial"} {
		_, err := ParseRange(text)
		assert.ErrorContains(t, err, why, text)
	}
}
