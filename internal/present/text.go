package present

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// pad fills a label up to a width; one that is as wide gets one space after it.
func pad(s string, width int) string {
	n := utf8.RuneCountInString(s)
	if n > 0 {
		width = max(width, n+1)
	}
	return s + strings.Repeat(" ", max(width-n, 0))
}

// wrap breaks a text at spaces into lines of at most width characters; a longer
// word has a line of its own.
func wrap(text string, width int) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(text) {
		switch {
		case line == "":
			line = word
		case utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) <= width:
			line += " " + word
		default:
			lines = append(lines, line)
			line = word
		}
	}
	if line != "" || len(lines) == 0 {
		lines = append(lines, line)
	}
	return lines
}

// clean makes a text from outside safe to print: no control characters.
func clean(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r >= 0x80 && r < 0xa0 {
			return ' '
		}
		return r
	}, s)
}

// listed joins sentences, or what was written like them, into one.
func listed(items []string) string {
	out := make([]string, len(items))
	for i, s := range items {
		out[i] = strings.TrimSuffix(strings.TrimSpace(s), ".")
	}
	return strings.Join(out, "; ")
}

// once is a label that stands at the first of several lines only.
func once(label string, i int) string {
	if i > 0 {
		return ""
	}
	return label
}

// sentence makes a message a sentence.
func sentence(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:] + "."
}

// count is a number with its word.
func count(n int, one, many string) string { return fmt.Sprintf("%d %s", n, Plural(n, one, many)) }

// Plural is the word for one thing or that for several.
func Plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}
