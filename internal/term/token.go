// Package term owns how a text is taken apart: into clauses, and into the terms
// that notes and questions are compared by. Negation is kept, codes and quantities
// are one term each, trade synonyms are read as one. It is the same for what is
// indexed and for what is asked.
package term

import (
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/blevesearch/snowballstem"
	"github.com/blevesearch/snowballstem/english"
	"golang.org/x/text/unicode/norm"

	"kg/internal/units"
)

// Token is one term of a text and the bytes of the text that it stands for. The
// term is what is compared; the place is for showing the original words.
type Token struct {
	Term       string
	Start, End int
}

// Negation is the term that every way of saying no is read as.
const Negation = "not"

// negatives are the words, without apostrophes, that negate. The stock analysers
// drop them, which turns "pressure not rising" into its opposite.
var negatives = set("no not never none nothing without nor neither cannot cant wont dont doesnt didnt isnt arent wasnt werent " +
	"hasnt havent hadnt couldnt wouldnt shouldnt aint nowt nothings")

// stopWords carry no meaning of their own in a description of a fault. Words of
// place and direction (on, off, up, down, out, top) do, and are kept.
var stopWords = set("a an the of to at by from with for in into and or but so then than that this these those there here " +
	"is are was were be been being am it its i im ive we our you your he she they them my me mine us " +
	"has have had do does did will would can could should may might just also very really quite some any " +
	"when while if as which who what where how got get gets getting seem seems seemed like bit " +
	"please hi hello help think says said say thing kind sort even still")

// irregular maps inflected forms that no stemmer knows to their base form.
var irregular = map[string]string{
	"froze": "freeze", "frozen": "freeze", "ran": "run", "rose": "rise", "risen": "rise", "fell": "fall", "fallen": "fall",
	"went": "go", "gone": "go", "goes": "go", "lit": "light", "stuck": "stick", "broke": "break", "broken": "break",
	"blew": "blow", "blown": "blow", "heard": "hear", "came": "come", "lost": "lose", "losing": "lose", "burnt": "burn",
	"kept": "keep", "left": "leave", "shut": "shut", "span": "spin", "spun": "spin", "threw": "throw", "thrown": "throw",
	"took": "take", "taken": "take", "made": "make", "grew": "grow", "bled": "bleed", "fed": "feed", "leakage": "leak",
	"noisy": "noise", "noises": "noise", "smelly": "smell", "icy": "ice", "iced": "ice", "icing": "ice", "rusty": "rust",
	"leaky": "leak", "drippy": "drip", "smelt": "smell", "worn": "wear", "wore": "wear", "rang": "ring", "sprang": "spring",
	"colder": "cold", "hotter": "hot", "warmer": "warm", "slower": "slow", "higher": "high", "lower": "low",
	"fine": "work", "ok": "work", "okay": "work", "okey": "work", "alright": "work", "normal": "work", "normally": "work",
	"good": "work", "perfect": "work", "perfectly": "work", "worked": "work", "working": "work",
	"heating": "heating", "heater": "heater", // the heating is a thing; to heat is not
	"lukewarm": "lukewarm", "tepid": "lukewarm", "overheating": "overheat", "overheats": "overheat", "overheated": "overheat",
}

// american maps spellings to the British ones that the notes use.
var american = map[string]string{
	"odor": "odour", "color": "colour", "discolored": "discoloured", "vapor": "vapour", "gray": "grey", "mold": "mould",
	"center": "centre", "meter": "metre", "liter": "litre", "liters": "litres", "fiber": "fibre", "caliber": "calibre",
	"aluminum": "aluminium", "sulfur": "sulphur", "program": "programme", "plow": "plough", "tire": "tyre", "gauge": "gauge", "gage": "gauge",
	"faucet": "tap", "faucets": "taps", "furnace": "boiler", "programer": "programmer",
}

// unitsSaid are the units that people write after a number, in small letters, by
// what they are taken to measure in the mouth of people who speak of faults.
var unitsSaid = []struct {
	kind  units.Kind
	words string
}{
	{units.Pressure, "bar bars mbar psi kpa"},
	{units.Temperature, "c degc degrees degree deg celsius"},
	{units.Voltage, "v volt volts"},
	{units.Resistance, "ohm ohms kohm k kilohm kilohms"},
	{units.Current, "a amp amps ma ua µa"},
	{units.Length, "mm"},
	{units.Power, "kw w watts"},
	{units.Volume, "l litre litres"},
	{units.Share, "ppm"},
	{units.Frequency, "hz"},
}

// unitWords maps the ways a unit is written to one.
var unitWords = func() map[string]string {
	out := map[string]string{}
	for _, said := range unitsSaid {
		for word := range strings.FieldsSeq(said.words) {
			out[word] = strings.ToLower(units.Usual(said.kind, word).Name())
		}
	}
	return out
}()

var (
	quantity = regexp.MustCompile(`^(\d+(?:[.,]\d+)?) ?°? ?([a-zA-Zµ]+)\b`)
	code     = regexp.MustCompile(`^([a-zA-Z]{1,3})([ .:-]?)(\d{1,4})\b`)
	number   = regexp.MustCompile(`^\d+(?:[.,]\d+)?`)
	fraction = regexp.MustCompile(`^[.,]\d`)
)

// numberWords are the numbers that people spell out before a unit.
var numberWords = map[string]string{
	"one": "1", "two": "2", "three": "3", "four": "4", "five": "5", "six": "6", "seven": "7", "eight": "8", "nine": "9", "ten": "10",
}

var spelledOut = regexp.MustCompile(`(?i)^(one|two|three|four|five|six|seven|eight|nine|ten) ([a-z]+)\b`)

// notCodeLetters are short words that may stand before a number without making
// a code of it.
var notCodeLetters = set("a i an at in is it of on or to up so no we my me he if as do go be am us by off out for the and all has hit now top day")

// Tokens splits a text into terms: lower case, accents folded, Negation kept,
// codes ("H.27", "h 27") and quantities ("1.5 bar") as one term each, the rest
// stemmed, words without meaning of their own left out.
func Tokens(text string) []Token {
	var out []Token
	for pos := 0; pos < len(text); {
		r, size := utf8.DecodeRuneInString(text[pos:])
		if !unicode.IsLetter(r) && !unicode.IsDigit(r) {
			pos += size
			continue
		}
		if term, length, ok := special(text[pos:]); ok {
			out = append(out, Token{term, pos, pos + length})
			pos += length
			continue
		}
		end := pos + wordLength(text[pos:])
		if term := Term(text[pos:end]); term != "" {
			out = append(out, Token{term, pos, end})
		}
		pos = end
	}
	return bound(text, out)
}

// Denied begins the term for a thing that is said not to be, such as the hot
// water of "no hot water". It tells "no heating, hot water works" from its
// opposite, which has the same words.
const Denied = "-"

// reach is how many words a Negation is taken to be about.
const reach = 2

// bound adds a term for each word that a Negation is about: the words after it,
// or, in "heating not working" and "pump won't start", those before it, as far as
// they are in the same clause.
func bound(text string, tokens []Token) []Token {
	var out []Token
	for i, t := range tokens {
		out = append(out, t)
		if t.Term != Negation {
			continue
		}
		about := tokens[i+1 : min(i+1+reach, len(tokens))]
		if len(about) > 0 && functioning[about[0].Term] {
			about = tokens[max(0, i-reach):i]
		}
		for _, a := range about {
			if a.Term != Negation && !clauseBreak.MatchString(text[min(t.End, a.End):max(t.Start, a.Start)]) {
				out = append(out, Token{Denied + a.Term, a.Start, a.End})
			}
		}
	}
	return out
}

// functioning are the terms for doing what a thing is there to do.
var functioning = set("work start run come go fire turn respond")

// special recognises what has to stay one term although it is written with
// spaces or stops in it.
func special(s string) (term string, length int, ok bool) {
	if m := quantity.FindStringSubmatch(s); m != nil {
		if unit, known := unitWords[strings.ToLower(m[2])]; known {
			return strings.Replace(m[1], ",", ".", 1) + unit, len(m[0]), true
		}
	}
	if m := spelledOut.FindStringSubmatch(s); m != nil {
		if unit, known := unitWords[strings.ToLower(m[2])]; known {
			return numberWords[strings.ToLower(m[1])] + unit, len(m[0]), true
		}
	}
	if m := code.FindStringSubmatch(s); m != nil && isCode(m[1], m[2], s[len(m[0])-len(m[3]):], s[len(m[0]):]) {
		return strings.ToLower(m[1] + m[3]), len(m[0]), true
	}
	if m := number.FindString(s); m != "" && !letterFollows(s[len(m):]) {
		return strings.Replace(m, ",", ".", 1), len(m), true
	}
	return "", 0, false
}

// isCode tells "E 119" from "was 3 bar", "not 1.5 bar" and "set 60 degrees": after
// a space, a small word or a longer one before a quantity makes no code. From is
// the text from the digits on, rest that after them.
func isCode(letters, separator, from, rest string) bool {
	w := strings.ToLower(letters)
	switch {
	case notCodeLetters[w]:
		return false
	case separator != " ":
		return true
	case negatives[w], stopWords[w], fraction.MatchString(rest):
		return false
	case len(w) == 1:
		return true
	}
	m := quantity.FindStringSubmatch(from)
	return m == nil || unitWords[strings.ToLower(m[2])] == ""
}

func letterFollows(s string) bool {
	r, _ := utf8.DecodeRuneInString(s)
	return unicode.IsLetter(r)
}

// wordLength is the length in bytes of the word at the start of s: letters,
// digits and apostrophes between letters.
func wordLength(s string) int {
	n := 0
	for n < len(s) {
		r, size := utf8.DecodeRuneInString(s[n:])
		switch {
		case unicode.IsLetter(r), unicode.IsDigit(r), unicode.Is(unicode.Mn, r):
		case (r == '\'' || r == '’') && n > 0 && letterFollows(s[n+size:]):
		default:
			return n
		}
		n += size
	}
	return n
}

// Term turns one word into the term that stands for it; empty if the word
// carries no meaning.
func Term(word string) string {
	w := Fold(word)
	if negatives[w] {
		return Negation
	}
	if stopWords[w] {
		return ""
	}
	if british, ok := american[w]; ok {
		w = british
	}
	if base, ok := irregular[w]; ok {
		w = base
		if base == "heating" || base == "heater" || base == "lukewarm" {
			return base
		}
	}
	env := snowballstem.NewEnv(britishEnding.ReplaceAllString(w, "${1}z$2"))
	english.Stem(env)
	return env.Current()
}

// britishEnding is that of "pressurised" and "analyser", which the stemmer knows
// with a z only.
var britishEnding = regexp.MustCompile(`^(.{3,}i|.{3,}y)s(e|es|ed|er|ers|ing|ation|ations)$`)

// Fold lowers a word, drops accents and apostrophes, and the spaces that some
// letters are written out with.
func Fold(word string) string {
	ascii := true
	for i := 0; i < len(word); i++ {
		if word[i] >= utf8.RuneSelf {
			ascii = false
		}
	}
	if ascii {
		return strings.ReplaceAll(strings.ToLower(word), "'", "")
	}
	var b strings.Builder
	for _, r := range norm.NFKD.String(strings.ToLower(word)) {
		if r != '\'' && r != '’' && r != ' ' && !unicode.Is(unicode.Mn, r) {
			b.WriteRune(r)
		}
	}
	return b.String()
}

func set(words string) map[string]bool {
	out := map[string]bool{}
	for _, w := range strings.Fields(words) {
		out[w] = true
	}
	return out
}

// Terms returns the terms of tokens, joined by spaces.
func Terms(tokens []Token) string { return strings.Join(List(tokens), " ") }

// List returns only the terms of tokens.
func List(tokens []Token) []string {
	out := make([]string, len(tokens))
	for i, t := range tokens {
		out[i] = t.Term
	}
	return out
}

// CodeKey returns the spelling-free form of a code: letters and digits, upper
// case.
func CodeKey(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.IsLetter(r), unicode.IsDigit(r):
			return unicode.ToUpper(r)
		}
		return -1
	}, s)
}

// Shortened is a text short enough for an error message.
func Shortened(s string) string {
	const most = 60
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "..."
	}
	return s
}
