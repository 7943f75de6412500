package parts

import (
	"cmp"
	"fmt"
	"strings"
	"unicode"
)

// Serial is the serial number of an appliance, as on its plate. Spaces, dashes
// and case do not count; runs of digits compare as numbers, so that 999 comes
// before 1000.
type Serial string

// plain is a serial without what does not count.
func (s Serial) plain() string { return string(KeyOf(string(s))) }

// compare is negative if s comes before t, 0 if they are the same, else positive.
func (s Serial) compare(t Serial) int {
	a, b := []rune(s.plain()), []rune(t.plain())
	for len(a) > 0 && len(b) > 0 {
		x, y := run(a), run(b)
		if unicode.IsDigit(x[0]) && unicode.IsDigit(y[0]) && len(x) != len(y) {
			return cmp.Compare(len(x), len(y))
		}
		if c := strings.Compare(string(x), string(y)); c != 0 {
			return c
		}
		a, b = a[len(x):], b[len(y):]
	}
	return cmp.Compare(len(a), len(b))
}

// run is the beginning of a text that is all digits or has none.
func run(s []rune) []rune {
	n := 1
	for n < len(s) && unicode.IsDigit(s[n]) == unicode.IsDigit(s[0]) {
		n++
	}
	return s[:n]
}

// Range is the serial numbers from one to another, both of them included. An
// empty end is open; the empty range has all.
type Range struct {
	From Serial `json:"from,omitempty"`
	To   Serial `json:"to,omitempty"`
}

const upTo = ".."

// ParseRange reads "1000..1999", "1000.." or "..1999".
func ParseRange(s string) (Range, error) {
	from, to, ok := strings.Cut(s, upTo)
	r := Range{Serial(strings.TrimSpace(from)), Serial(strings.TrimSpace(to))}
	switch {
	case !ok:
		return Range{}, fmt.Errorf("%q is not a range of serial numbers: write it like 1000..1999, 1000.. or ..1999", strings.TrimSpace(s))
	case r.From.plain() == "" && r.From != "" || r.To.plain() == "" && r.To != "" || r == Range{}:
		return Range{}, fmt.Errorf("%q has no serial number: write it like 1000..1999, 1000.. or ..1999", strings.TrimSpace(s))
	case r.From != "" && r.To != "" && r.From.compare(r.To) > 0:
		return Range{}, fmt.Errorf("%q ends before it begins: turn it round", strings.TrimSpace(s))
	case strings.Contains(string(r.To), upTo):
		return Range{}, fmt.Errorf("%q has more than one %q: write two branches", strings.TrimSpace(s), upTo)
	}
	return r, nil
}

func (r Range) String() string {
	if r.all() {
		return ""
	}
	return string(r.From) + upTo + string(r.To)
}

// all reports whether the range has every serial number.
func (r Range) all() bool { return r == Range{} }

// Has reports whether a serial number is in the range.
func (r Range) Has(s Serial) bool {
	return (r.From == "" || s.compare(r.From) >= 0) && (r.To == "" || s.compare(r.To) <= 0)
}

// and is what two ranges have in common, and false if that is nothing.
func (r Range) and(o Range) (Range, bool) {
	if r.From == "" || o.From != "" && o.From.compare(r.From) > 0 {
		r.From = o.From
	}
	if r.To == "" || o.To != "" && o.To.compare(r.To) < 0 {
		r.To = o.To
	}
	return r, r.From == "" || r.To == "" || r.From.compare(r.To) <= 0
}
