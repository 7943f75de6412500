package main

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func TestFlagsAreMovedBeforeTheWordsOfTheirCommand(t *testing.T) {
	t.Parallel()
	for typed, want := range map[string]string{
		"kg":                                "kg",
		"kg ask":                            "kg ask",
		"kg ask cold --json":                "kg ask --json cold",
		"kg ask cold --most 3 today":        "kg ask --most 3 cold today",
		"kg ask cold --most=3 today":        "kg ask --most=3 cold today",
		"kg ask -a skerry B14 --why":        "kg ask -a skerry --why B14",
		"kg --home x ask cold --json":       "kg --home x ask --json cold",
		"kg --home=x ask cold --json":       "kg --home=x ask --json cold",
		"kg ask cold -- --json":             "kg ask cold -- --json",
		"kg ask cold --json -- -3 degrees":  "kg ask --json cold -- -3 degrees",
		"kg ask it is - cold":               "kg ask it is - cold",
		"kg note new mode Kinked --json":    "kg note new --json mode Kinked",
		"kg note new --json mode new":       "kg note new --json mode new",
		"kg build --notes a --notes b":      "kg build --notes a --notes b",
		"kg ask cold --appliance":           "kg ask --appliance",
		"kg ask cold --unknown":             "kg ask --unknown cold",
		"kg bogus --json":                   "kg --json bogus",
		"kg find ask --kind mode show":      "kg find --kind mode ask show",
		"kg ask --generate-bash-completion": "kg ask --generate-bash-completion",
	} {
		t.Run(typed, func(t *testing.T) {
			t.Parallel()
			got := flagsFirst((&program{}).app(), strings.Fields(typed))
			assert.Equal(t, want, strings.Join(got, " "))
		})
	}
}

func TestASentenceThatBeginsWithADashIsNoFlag(t *testing.T) {
	t.Parallel()
	args := []string{"kg", "ask", "cold", "- 3 degrees in the hall"}
	assert.Equal(t, args, flagsFirst((&program{}).app(), args))
}

func TestNoWordIsLostOrInventedAndWordsKeepTheirOrder(t *testing.T) {
	t.Parallel()
	word := rapid.SampledFrom([]string{
		"ask", "find", "note", "new", "cold", "no hot water", "B14", "-", "--", "--json", "--most", "3", "-a", "--appliance=x", "--bogus", "-x y", "",
	})
	rapid.Check(t, func(t *rapid.T) {
		args := append([]string{"kg"}, rapid.SliceOfN(word, 0, 8).Draw(t, "args")...)
		if last := args[len(args)-1]; last == "--most" || last == "-a" {
			t.Skip("a flag without its value leaves the words out")
		}
		before := slices.Clone(args)
		got := flagsFirst((&program{}).app(), args)
		assert.Equal(t, before, args, "the arguments given are left alone")
		assert.ElementsMatch(t, args, got)
		assert.Equal(t, got, flagsFirst((&program{}).app(), got), "once is enough")
	})
}
