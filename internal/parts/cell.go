package parts

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"kg/internal/note"
)

// How a cell of a catalogue says more than one thing:
//
//	fits           skerry-c24 | skerry-s18 [serial 1000..1999]
//	attributes     thread: G 1/2 | voltage: 230 V
//	contains       SF-1020 + 2 x SF-1021
//	superseded-by  SF-1020 [serial ..1999] | SF-1030 + 2 x SF-1031 [serial 2000..; needs harness SF-1039]
//	interchange    identical to Hollin Works: 60 417 22 [source bench test; both ways; approved]
//
// A list is separated by "|", numbers that go together by "+".
const (
	listSeparator = "|"
	andSeparator  = " + "
)

// mostCount bounds how many of one part a kit has.
const mostCount = 1000

var counted = regexp.MustCompile(`^(\d+) ?x (.+)$`)

// items reads "SF-1020 + 2 x SF-1021".
func items(maker, s string) ([]Item, error) {
	var out []Item
	for _, one := range strings.Split(s, andSeparator) {
		it := Item{Number: strings.TrimSpace(one), Count: 1}
		if m := counted.FindStringSubmatch(it.Number); m != nil {
			n, err := strconv.Atoi(m[1])
			if err != nil || n < 1 || n > mostCount {
				return nil, fmt.Errorf("%q: how many there are is a number from 1 to %d", it.Number, mostCount)
			}
			it.Count, it.Number = n, strings.TrimSpace(m[2])
		}
		if it.ID = IDOf(maker, it.Number); it.ID == "" {
			return nil, fmt.Errorf("%q is not a part number: it has no letter or digit", it.Number)
		}
		if slices.ContainsFunc(out, func(o Item) bool { return o.ID == it.ID }) {
			return nil, fmt.Errorf("%s stands there twice: write 2 x %s", it.Number, it.Number)
		}
		out = append(out, it)
	}
	return out, nil
}

func itemsText(list []Item) string {
	out := make([]string, len(list))
	for i, it := range list {
		out[i] = it.Number
		if it.Count > 1 {
			out[i] = fmt.Sprintf("%d x %s", it.Count, it.Number)
		}
	}
	return strings.Join(out, andSeparator)
}

// bracketed parts "SF-1020 [serial ..1999; needs a harness]" into what stands
// before the brackets and the conditions in them.
func bracketed(s string) (before string, conditions []string, err error) {
	s = strings.TrimSpace(s)
	before, in, ok := strings.Cut(s, "[")
	if !ok {
		if strings.Contains(s, "]") {
			return "", nil, fmt.Errorf("%q closes a bracket that nothing opens", s)
		}
		return s, nil, nil
	}
	in, closed := strings.CutSuffix(in, "]")
	if !closed || strings.ContainsAny(in, "[]") {
		return "", nil, fmt.Errorf("%q: the brackets do not close at the end: write it like NUMBER [serial 1000..1999; needs a harness]", s)
	}
	for _, c := range strings.Split(in, ";") {
		if c = strings.Join(strings.Fields(c), " "); c != "" {
			conditions = append(conditions, c)
		}
	}
	return strings.TrimSpace(before), conditions, nil
}

const (
	serialWord   = "serial "
	needsWord    = "needs "
	sourceWord   = "source "
	bothWays     = "both ways"
	approvedWord = "approved"
)

// parseFits reads the appliances that a part is for.
func parseFits(s string) ([]Fit, error) {
	var out []Fit
	for _, one := range splitList(s) {
		id, conditions, err := bracketed(one)
		if err != nil {
			return nil, err
		}
		f := Fit{Appliance: id}
		for _, c := range conditions {
			text, ok := strings.CutPrefix(c, serialWord)
			if !ok {
				return nil, fmt.Errorf("%q: only serial 1000..1999 can stand in brackets after an appliance", c)
			}
			if f.Serials, err = ParseRange(text); err != nil {
				return nil, err
			}
		}
		if !applianceID.MatchString(id) {
			return nil, fmt.Errorf("%q is not a valid id of an appliance: `kg list appliances` names them", id)
		}
		out = append(out, f)
	}
	return out, nil
}

var applianceID = regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)

func fitsText(list []Fit) string {
	out := make([]string, len(list))
	for i, f := range list {
		out[i] = f.Appliance
		if !f.Serials.all() {
			out[i] += " [" + serialWord + f.Serials.String() + "]"
		}
	}
	return strings.Join(out, " "+listSeparator+" ")
}

// parseSuccessions reads what replaces a maker's part, in one or more branches.
func parseSuccessions(maker, s string) ([]Succession, error) {
	var out []Succession
	for _, one := range splitList(s) {
		numbers, conditions, err := bracketed(one)
		if err != nil {
			return nil, err
		}
		var b Succession
		if b.By, err = items(maker, numbers); err != nil {
			return nil, err
		}
		for _, c := range conditions {
			if text, ok := strings.CutPrefix(c, serialWord); ok {
				if b.Serials, err = ParseRange(text); err != nil {
					return nil, err
				}
			} else if text, ok := strings.CutPrefix(c, needsWord); ok {
				b.Needs = append(b.Needs, text)
			} else {
				return nil, fmt.Errorf("%q: in brackets stand serial 1000..1999 and needs WHAT, with a semicolon between", c)
			}
		}
		out = append(out, b)
	}
	return out, nil
}

func successionsText(list []Succession) string {
	out := make([]string, len(list))
	for i, s := range list {
		var conditions []string
		if !s.Serials.all() {
			conditions = append(conditions, serialWord+s.Serials.String())
		}
		for _, n := range s.Needs {
			conditions = append(conditions, needsWord+n)
		}
		out[i] = itemsText(s.By) + inBrackets(conditions)
	}
	return strings.Join(out, " "+listSeparator+" ")
}

func inBrackets(conditions []string) string {
	if len(conditions) == 0 {
		return ""
	}
	return " [" + strings.Join(conditions, "; ") + "]"
}

// parseClaims reads what may stand in for a part.
func parseClaims(s string) ([]Claim, error) {
	var out []Claim
	for _, one := range splitList(s) {
		what, conditions, err := bracketed(one)
		if err != nil {
			return nil, err
		}
		grade, of, ok := strings.Cut(what, " to ")
		maker, number, named := strings.Cut(of, ":")
		c := Claim{Grade: note.Grade(strings.TrimSpace(grade)), Maker: strings.TrimSpace(maker), Number: strings.TrimSpace(number)}
		if !ok || !named || !slices.Contains(note.Grades(), c.Grade) {
			return nil, fmt.Errorf("%q is not a claim: write it like identical to MAKER: NUMBER, with one of the grades %s", what, note.Choices(note.Grades()))
		}
		if c.By = IDOf(c.Maker, c.Number); c.By == "" {
			return nil, fmt.Errorf("%q names no maker and number: write it like %s to MAKER: NUMBER", what, c.Grade)
		}
		for _, condition := range conditions {
			if err := c.condition(condition); err != nil {
				return nil, err
			}
		}
		out = append(out, c)
	}
	return out, nil
}

func (c *Claim) condition(s string) error {
	if text, ok := strings.CutPrefix(s, sourceWord); ok {
		c.Source = text
		return nil
	}
	if text, ok := strings.CutPrefix(s, needsWord); ok {
		c.Needs = text
		return nil
	}
	switch s {
	case bothWays:
		c.Both = true
	case approvedWord:
		c.Approved = true
	default:
		return fmt.Errorf("%q: in brackets stand source WHO, needs WHAT, %s and %s, with semicolons between", s, bothWays, approvedWord)
	}
	return nil
}

func claimsText(list []Claim) string {
	out := make([]string, len(list))
	for i, c := range list {
		var conditions []string
		if c.Source != "" {
			conditions = append(conditions, sourceWord+c.Source)
		}
		if c.Needs != "" {
			conditions = append(conditions, needsWord+c.Needs)
		}
		if c.Both {
			conditions = append(conditions, bothWays)
		}
		if c.Approved {
			conditions = append(conditions, approvedWord)
		}
		out[i] = fmt.Sprintf("%s to %s: %s%s", c.Grade, c.Maker, c.Number, inBrackets(conditions))
	}
	return strings.Join(out, " "+listSeparator+" ")
}

func attributesText(list []Attribute) string {
	out := make([]string, len(list))
	for i, a := range list {
		out[i] = a.Name + ": " + a.Text
	}
	return strings.Join(out, " "+listSeparator+" ")
}

func splitList(s string) []string {
	var out []string
	for _, one := range strings.Split(s, listSeparator) {
		if one = strings.TrimSpace(one); one != "" {
			out = append(out, one)
		}
	}
	return out
}
