package present

import (
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func TestWrappedLinesAreFullAndHoldEveryWord(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.SliceOf(rapid.StringMatching(`[a-zäß«°]{1,12}`)).Draw(t, "words")
		width := rapid.IntRange(1, 30).Draw(t, "width")
		lines := wrap(strings.Join(words, " "), width)
		assert.Equal(t, strings.Join(words, " "), strings.Join(lines, " "))
		for i, line := range lines {
			long := utf8.RuneCountInString(line)
			assert.True(t, long <= width || !strings.Contains(line, " "), "%q is wider than %d and could be broken", line, width)
			if i+1 < len(lines) {
				next, _, _ := strings.Cut(lines[i+1], " ")
				assert.Greater(t, long+1+utf8.RuneCountInString(next), width, "%q has room for %q", line, next)
			}
		}
	})
}

func TestWrapTakesAnyWhiteSpaceForASpace(t *testing.T) {
	t.Parallel()
	assert.Equal(t, []string{"a b", "c"}, wrap("  a\tb\n\n c ", 3))
	assert.Equal(t, []string{""}, wrap(" \n", 10), "no text is one empty line")
	assert.Equal(t, []string{"a", "[an-id-that-is-long]", "b"}, wrap("a [an-id-that-is-long] b", 5))
}

func TestPadFillsALabelAndKeepsItApartFromWhatFollows(t *testing.T) {
	t.Parallel()
	assert.Equal(t, "ab  ", pad("ab", 4))
	assert.Equal(t, "Öl  ", pad("Öl", 4), "characters count, not bytes")
	assert.Equal(t, "    ", pad("", 4))
	assert.Equal(t, "", pad("", 0))
	assert.Equal(t, "abcd ", pad("abcd", 4))
	assert.Equal(t, "abcdef ", pad("abcdef", 4))
}

func TestListedSentencesKeepNoStopInTheMiddle(t *testing.T) {
	t.Parallel()
	assert.Equal(t, "One; Two; three", listed([]string{"One.", "Two. ", "three"}))
	assert.Empty(t, listed(nil))
}
