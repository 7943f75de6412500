// Package presenttest says what is wrong with the layout of a text for a terminal.
package presenttest

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// columns is how wide a line may be. It stands here again, so that a change of the
// page is noticed.
const columns = 80

// LayoutFaults says what is wrong with the lines of a text for a terminal.
func LayoutFaults(text string) []string {
	var out []string
	for i, line := range strings.Split(text, "\n") {
		switch {
		case utf8.RuneCountInString(line) > columns:
			out = append(out, fmt.Sprintf("line %d has %d columns: %q", i+1, utf8.RuneCountInString(line), line))
		case strings.TrimRight(line, " ") != line:
			out = append(out, fmt.Sprintf("line %d ends in spaces: %q", i+1, line))
		case strings.ContainsFunc(line, unicode.IsControl):
			out = append(out, fmt.Sprintf("line %d holds a control character: %q", i+1, line))
		}
	}
	return out
}
