package main

import (
	"math/rand/v2"
	"slices"
	"strings"
)

// varied says things again as people write them who hurry: with a word left out, with
// letters swapped, without vowels.
type varied struct{ rng *rand.Rand }

func newVaried(seed uint64) varied { return varied{rand.New(rand.NewPCG(seed, 2))} }

// fewest is how many words a saying has of which one is left out.
const fewest = 4

// often is the part of the sayings that are said again.
const often = 0.6

// text is a variant of a saying, empty for most that are short.
func (v varied) text(said string) string {
	if v.rng.Float64() > often {
		return ""
	}
	words := strings.Fields(said)
	switch v.rng.IntN(3) {
	case 0:
		if len(words) < fewest {
			return ""
		}
		at := v.rng.IntN(len(words))
		words = slices.Delete(words, at, at+1)
	case 1:
		for i, w := range words {
			if r := []rune(w); len(r) > 3 && v.rng.Float64() < 0.4 {
				at := 1 + v.rng.IntN(len(r)-2)
				r[at], r[at+1] = r[at+1], r[at]
				words[i] = string(r)
			}
		}
	case 2:
		for i, w := range words {
			if bare := withoutVowels(w); bare != "" {
				words[i] = bare
			}
		}
	}
	return strings.Join(words, " ")
}

// slips are all the ways in which a saying of a danger has to be heard as well: with
// each of its words left out, and without vowels.
func slips(l lesson) []string {
	if !l.grave {
		return nil
	}
	out := []string{withoutVowels(l.text)}
	words := strings.Fields(l.text)
	if len(words) < fewest {
		return out
	}
	for i := range words {
		out = append(out, strings.Join(slices.Delete(slices.Clone(words), i, i+1), " "))
	}
	return out
}

func withoutVowels(w string) string {
	return strings.Map(func(r rune) rune {
		if strings.ContainsRune("aeiouAEIOU", r) {
			return -1
		}
		return r
	}, w)
}
