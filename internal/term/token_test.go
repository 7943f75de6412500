package term

import (
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
)

// reads is the terms of a text, without those for what a Negation is about.
func reads(text string) string {
	var out []string
	for _, t := range Tokens(text) {
		if !strings.HasPrefix(t.Term, Denied) {
			out = append(out, t.Term)
		}
	}
	return strings.Join(out, " ")
}

func TestNegationIsKeptInEveryForm(t *testing.T) {
	t.Parallel()
	for _, text := range []string{
		"pressure not rising", "pressure isn't rising", "pressure isn’t rising", "pressure never rising", "no pressure rising",
		"pressure won't rise", "pressure doesnt rise", "without pressure rising", "pressure cannot rise", "none of the pressure rising",
	} {
		assert.Contains(t, reads(text), Negation, text)
		assert.NotEqual(t, reads("pressure rising"), reads(text), text)
	}
}

func TestANegationIsBoundToWhatItDenies(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{
		"no hot water, heating works": "not -hot -water hot water heating work",
		"no heating, hot water works": "not -heating heating hot water work",
		"heating not working":         "heating not -heating work",
		"pump won't start":            "pump not -pump start",
	} {
		assert.Equal(t, want, Terms(Tokens(text)), text)
	}
}

func TestOneSpellingForCodesAndQuantities(t *testing.T) {
	t.Parallel()
	for _, same := range [][]string{
		{"P.04", "p 04", "P04", "p-04", "p:04"},
		{"1.5bar", "1.5 bar", "1,5 bar", "1.5 bars"},
		{"3 bar", "three bar", "3bar"},
		{"65 degrees", "65°C", "65 °C", "65 c", "65 deg"},
		{"230V", "230 volts"},
		{"10 kohm", "10k", "10 kilohms"},
	} {
		for _, s := range same {
			assert.Equal(t, reads(same[0]), reads(s), s)
			assert.Len(t, strings.Fields(reads(s)), 1, s)
		}
	}
	assert.NotEqual(t, reads("1.5 bar"), reads("2 bar"))
	assert.Equal(t, "B14", CodeKey("b. 14"))
}

func TestInflectionsAndSpellingsMeet(t *testing.T) {
	t.Parallel()
	for _, same := range [][]string{
		{"leak", "leaks", "leaking", "leaked", "leaky", "leakage"},
		{"frozen", "freezes", "freezing", "froze"},
		{"noise", "noises", "noisy"},
		{"odour", "odor", "odours"},
		{"discoloured", "discolored"},
		{"pressurise", "pressurize", "pressurising"},
		{"radiator", "radiators"},
		{"works", "working", "fine", "ok", "okay", "normal"},
		{"café", "cafe"},
	} {
		for _, s := range same {
			assert.Equal(t, reads(same[0]), reads(s), s)
		}
	}
	assert.NotEqual(t, reads("heating"), reads("heat"), "the heating is a thing, to heat is not")
}

func TestWordsOfPlaceAndDirectionAreKept(t *testing.T) {
	t.Parallel()
	assert.NotEqual(t, reads("radiator cold at the top"), reads("radiator cold at the bottom"))
	assert.NotEqual(t, reads("comes on"), reads("comes off"))
}

func TestWordsThatMeanNothingByThemselvesAreLeftOut(t *testing.T) {
	t.Parallel()
	assert.Empty(t, Tokens("it is the and of a"))
	assert.Empty(t, Tokens(""))
	assert.Empty(t, Tokens("?! ... ,;"))
}

// FuzzTokens: whatever is typed, every token lies within the text, on the borders
// of characters, after the one before it or for the same words.
func FuzzTokens(f *testing.F) {
	for _, s := range []string{
		"pressure not rising on pump start", "P.04 shows, 1.5 bar", "won’t light", "isn't", "'''", "10 k 3 four bar", "🔥 h2o ½ bar",
		"\u202eabc\u202c", "a\x00b", "no no no not", "ＦＵＬＬ width", strings.Repeat("not ", 200), "e\u0301", "\xff\xfe", "6.5.4.3.2", "H.", ".5 bar",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		last := 0
		for _, token := range Tokens(s) {
			if token.Start < 0 || token.End > len(s) || token.Start >= token.End {
				t.Fatalf("%q lies at %d to %d of %d bytes", token.Term, token.Start, token.End, len(s))
			}
			if !strings.HasPrefix(token.Term, Denied) {
				if token.Start < last {
					t.Fatalf("%q at %d comes after one that ends at %d", token.Term, token.Start, last)
				}
				last = token.End
			}
			if utf8.ValidString(s) && !utf8.ValidString(s[token.Start:token.End]) {
				t.Fatalf("%q cuts a character", token.Term)
			}
			if strings.ContainsAny(token.Term, " \n\t") {
				t.Fatalf("%q would be split in the index", token.Term)
			}
		}
		Clauses(s)
	})
}
