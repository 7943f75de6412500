package main

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"kg/internal/advise"
	"kg/internal/note"
)

// callout is one call-out as it was written down: what the customer said, what was found
// in the order of work, and what it was.
type callout struct {
	number    string
	family    string
	appliance note.ID
	said      string
	found     []advise.Tested
	modes     []note.ID // the cause; several where any of them is right
}

// read reads call-outs: lines of a number, a kind and a text, in a fourth column the
// result of a test. What is only for people is passed over.
func read(r io.Reader) ([]callout, error) {
	var out []callout
	in := bufio.NewScanner(r)
	for line := 1; in.Scan(); line++ {
		columns := strings.Split(in.Text(), "\t")
		if len(columns) < 3 {
			return nil, fmt.Errorf("line %d has %d columns: write number, kind and text with tabs between them", line, len(columns))
		}
		if len(out) == 0 || out[len(out)-1].number != columns[0] {
			out = append(out, callout{number: columns[0]})
		}
		c := &out[len(out)-1]
		switch kind, text := columns[1], columns[2]; kind {
		case "family":
			c.family = text
		case "said":
			c.said = text
		case "appliance":
			c.appliance = note.ID(text)
		case "mode":
			if text != "none" {
				c.modes = append(c.modes, note.ID(text))
			}
		case "result":
			if len(columns) < 4 {
				return nil, fmt.Errorf("line %d names a test without its result: write it in a fourth column", line)
			}
			c.found = append(c.found, advise.Tested{Test: note.ID(text), Result: columns[3]})
		case "found", "cause", "remedy":
		default:
			return nil, fmt.Errorf("line %d is of kind %q: family, said, found, cause, remedy, result, mode or appliance", line, kind)
		}
	}
	return out, in.Err()
}
