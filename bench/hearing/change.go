package main

import (
	"hash/fnv"
	"slices"
	"strings"
	"unicode"

	"kg/internal/library"
	"kg/internal/term"
)

// change is one way in which people say the same thing otherwise.
type change struct {
	name string
	// forms are the changed forms of a saying, none where it has none.
	forms func(saying string) []string
}

// changes are all ways, for the language of a library.
func changes(lib *library.Library) []change {
	dropped := func(saying string) []string {
		return slices.DeleteFunc(withoutAWord(saying), func(rest string) bool { return content(lib.Tokens(rest)) == 0 })
	}
	return []change{
		{"with a suffix", withSuffix},
		{"with a word dropped", dropped},
		{"with letters swapped", withLettersSwapped},
		{"in capitals", func(saying string) []string { return []string{strings.ToUpper(saying)} }},
		{"without vowels", withoutVowels},
	}
}

func withSuffix(saying string) (out []string) {
	for _, suffix := range []string{" for no reason", " and it won't stop", ", no idea why"} {
		out = append(out, strings.TrimRight(saying, ".!? ")+suffix)
	}
	return out
}

// withoutAWord drops each word in turn, where there are at least five.
func withoutAWord(saying string) (out []string) {
	const least = 5
	words := strings.Fields(saying)
	if len(words) < least {
		return nil
	}
	for i := range words {
		out = append(out, strings.Join(slices.Concat(words[:i], words[i+1:]), " "))
	}
	return out
}

// withLettersSwapped swaps two neighbouring letters in one word of four letters or
// more. Which ones is as good as drawn, but the same for the same saying.
func withLettersSwapped(saying string) []string {
	letters := []rune(saying)
	var places []int // of the first of two that can be swapped
	for from := 0; from < len(letters); {
		to := from
		for to < len(letters) && unicode.IsLetter(letters[to]) {
			to++
		}
		for i := from; to-from >= 4 && i+1 < to; i++ {
			if unicode.ToLower(letters[i]) != unicode.ToLower(letters[i+1]) {
				places = append(places, i)
			}
		}
		from = to + 1
	}
	if len(places) == 0 {
		return nil
	}
	h := fnv.New32a()
	h.Write([]byte(saying))
	at := places[h.Sum32()%uint32(len(places))]
	letters[at], letters[at+1] = letters[at+1], letters[at]
	return []string{string(letters)}
}

// withoutVowels leaves all vowels out, but those of words that have nothing else.
func withoutVowels(saying string) []string {
	words := strings.Fields(saying)
	for i, w := range words {
		bare := strings.Map(func(r rune) rune {
			if strings.ContainsRune("aeiouAEIOU", r) {
				return -1
			}
			return r
		}, w)
		if strings.ContainsFunc(bare, unicode.IsLetter) || strings.ContainsFunc(bare, unicode.IsDigit) {
			words[i] = bare
		}
	}
	bare := strings.Join(words, " ")
	if bare == strings.Join(strings.Fields(saying), " ") {
		return nil
	}
	return []string{bare}
}

// content counts the different terms of tokens that name something: all but negations
// and what these are about.
func content(tokens []term.Token) int {
	seen := map[string]bool{}
	for _, t := range tokens {
		if t.Term != term.Negation && !strings.HasPrefix(t.Term, term.Denied) {
			seen[t.Term] = true
		}
	}
	return len(seen)
}
