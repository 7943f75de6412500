package note

import (
	"fmt"
	"strconv"
	"strings"
)

// Scaffold returns the text of a new note of a kind: the needed keys with
// example values to overwrite, the others as comments. It is nil for a kind
// that does not exist.
func Scaffold(k Kind, name string) []byte {
	e := New(k)
	if e == nil {
		return nil
	}
	name = oneLine(name)
	var b strings.Builder
	fmt.Fprintln(&b, fence)
	for _, f := range fieldsOf(e) {
		hint := f.hint
		if f.key == "name" && name != "" {
			hint = quoted(name)
		}
		line := f.key + ":"
		if strings.HasPrefix(hint, "\n") {
			line += hint
		} else {
			line += " " + hint
		}
		if !f.needed && f.key != "name" && f.key != "source" {
			line = "# " + strings.ReplaceAll(line, "\n", "\n# ")
		}
		fmt.Fprintln(&b, line)
	}
	fmt.Fprintln(&b, fence)
	fmt.Fprintln(&b, "Prose: what an engineer should know about it, as you would tell a colleague.")
	return []byte(b.String())
}

// quoted returns a name so that YAML reads it as one text, whatever is in it.
// The escapes of Go are all escapes of YAML too.
func quoted(name string) string { return strconv.Quote(name) }

// oneLine folds all white space to single spaces and drops what is not UTF-8.
func oneLine(s string) string {
	return strings.Join(strings.Fields(strings.ToValidUTF8(s, "")), " ")
}
