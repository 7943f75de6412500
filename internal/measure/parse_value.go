package measure

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"

	"kg/internal/units"
)

type valueParser struct {
	text string
	kind units.Kind
	bare *units.Unit
}

func (p *valueParser) quantity() (Quantity, error) {
	q := Quantity{Standard: math.NaN()}
	for _, word := range []string{"approximately", "approx.", "approx", "about", "around", "roughly", "circa", "ca.", "ca ", "~", "≈"} {
		if rest, ok := cutFold(p.text, word); ok {
			p.text, q.Rough = rest, true
			break
		}
	}
	n, factor, err := p.number()
	if err != nil {
		return q, err
	}
	u := p.bare
	name := p.unitName()
	if name != "" {
		if u, err = p.unit(name, factor); err != nil {
			return q, err
		}
	}
	if factor != 1 && name == "" {
		u = units.Usual(p.kind, "")
	}
	q.Value = float64(n*factor*u.Factor) + u.Offset
	if p.kind == units.Duration {
		if q.Value, err = p.moreTime(n, q.Value); err != nil {
			return q, err
		}
	}
	if err := p.after(&q, u); err != nil {
		return q, err
	}
	if p.text != "" {
		return q, fmt.Errorf("%q is left over after the value: write %s, and an uncertainty as ± 1 or +/- 1", p.text, example(p.kind))
	}
	if math.IsInf(q.Value, 0) || math.IsNaN(q.Value) {
		return q, fmt.Errorf("the number is too large: give %s, like %s", p.kind.Article(), example(p.kind))
	}
	const rounding = 1e-9
	if p.kind == units.Temperature && q.Value < absoluteZero-rounding {
		return q, fmt.Errorf("%s C is below absolute zero, %s C: check the sign and the unit", figure(q.Value), figure(absoluteZero))
	}
	return q, nil
}

// after reads what may follow the value: its uncertainty, or the time it took.
func (p *valueParser) after(q *Quantity, u *units.Unit) error {
	if rest, ok := cutFold(p.text, "in "); ok && p.kind == units.Volume {
		d, err := parseQuantity(units.Duration, "s", rest)
		if err != nil {
			return fmt.Errorf("reading the time after \"in\": %w", err)
		}
		if !(d.Value > 0) {
			return fmt.Errorf("the time after \"in\" has to be more than nothing, like 118s")
		}
		q.Seconds, p.text = d.Value, ""
		return nil
	}
	rest, ok := cutFold(p.text, "±")
	for _, sign := range []string{"+/-", "+-", "-/+", "plus or minus", "+ or -"} {
		if !ok {
			rest, ok = cutFold(p.text, sign)
		}
	}
	if !ok {
		return nil
	}
	p.text = rest
	n, factor, err := p.number()
	if err != nil {
		return fmt.Errorf("reading the uncertainty after \"±\": %w", err)
	}
	half := n * factor * u.Factor
	switch name := p.unitName(); {
	case name == "":
		if factor != 1 || half > math.Abs(q.Value) && u.Offset == 0 && p.kind != units.Difference {
			half = n * factor * p.bare.Factor // "10k ± 100"
		}
	case name == "%" && p.kind != units.Share:
		half = n / 100 * math.Abs(q.Value)
	default:
		own := *p
		if p.kind == units.Temperature { // ± 1 K and ± 2 F are differences
			own.kind = units.Difference
		}
		v, err := own.unit(name, factor)
		if err != nil {
			return fmt.Errorf("reading the uncertainty after \"±\": %w", err)
		}
		half = n * factor * v.Factor
	}
	if half < 0 || math.IsInf(half, 0) || math.IsNaN(half) {
		return fmt.Errorf("an uncertainty after \"±\" is a number from 0, like ± 1")
	}
	q.Standard = half / math.Sqrt(3)
	for _, coverage := range []string{"k=2", "(k=2)", "(k = 2)", "k = 2"} {
		if rest, ok := cutFold(p.text, coverage); ok {
			q.Standard, p.text = half/2, rest
			break
		}
	}
	return nil
}

// moreTime adds what follows in "2 min 5 s", "2m5" and "1:58".
func (p *valueParser) moreTime(n, seconds float64) (float64, error) {
	const parts = 3
	for range parts {
		if rest, ok := strings.CutPrefix(p.text, ":"); ok {
			p.text = rest
			m, _, err := p.number()
			if err != nil || m >= 60 || n != math.Trunc(n) {
				return 0, fmt.Errorf("a time with a colon is minutes and seconds, like 1:58")
			}
			seconds = float64(n*60) + m
			p.unitName()
			return seconds, nil
		}
		if p.text == "" || p.text[0] < '0' || p.text[0] > '9' {
			return seconds, nil
		}
		m, _, err := p.number()
		if err != nil {
			return 0, err
		}
		u := units.Find(units.Duration, "s")
		if name := p.unitName(); name != "" {
			if u, err = p.unit(name, 1); err != nil {
				return 0, err
			}
		}
		seconds += float64(m * u.Factor)
	}
	return seconds, nil
}

// cutFold takes a word off the beginning, whatever the size of its letters.
func cutFold(s, word string) (string, bool) {
	if len(s) >= len(word) && strings.EqualFold(s[:len(word)], word) {
		return strings.TrimSpace(s[len(word):]), true
	}
	return s, false
}

// number reads a number from the front. In "10k4" the factor is that of the
// letter; otherwise it is 1.
func (p *valueParser) number() (n, factor float64, err error) {
	s := p.text
	sign := ""
	switch {
	case strings.HasPrefix(s, "-"):
		sign, s = "-", s[1:]
	case strings.HasPrefix(s, "−"), strings.HasPrefix(s, "–"):
		sign, s = "-", s[len("−"):]
	case strings.HasPrefix(s, "+"):
		s = s[1:]
	default:
		if rest, ok := cutFold(s, "minus "); ok {
			sign, s = "-", rest
		}
	}
	s = strings.TrimLeft(s, " ")
	end := 0
	for end < len(s) && (s[end] >= '0' && s[end] <= '9' || (s[end] == '.' || s[end] == ',') && end+1 < len(s) && isDigit(s[end+1]) || s[end] == '.' && end > 0 && isDigit(s[end-1])) {
		end++
	}
	digits, rest := s[:end], s[end:]
	for p.kind != units.Duration && end > 0 && end <= 3 && groupOfThree(rest) { // 10 400 ohm
		digits, rest = digits+rest[1:4], rest[4:]
	}
	if digits == "" {
		return 0, 1, fmt.Errorf("%q does not begin with a number: write %s", p.text, example(p.kind))
	}
	if digits, err = withoutCommas(digits); err != nil {
		return 0, 1, err
	}
	factor = 1
	switch f, ok := letterPoint(p.kind, rest); {
	case ok && !strings.Contains(digits, "."):
		fraction := rest[1:]
		n := 0
		for n < len(fraction) && isDigit(fraction[n]) {
			n++
		}
		digits, rest, factor = digits+"."+fraction[:n], fraction[n:], f
	case len(rest) > 1 && (rest[0] == 'e' || rest[0] == 'E'):
		n := 1
		if rest[n] == '-' || rest[n] == '+' {
			n++
		}
		if n < len(rest) && isDigit(rest[n]) {
			for n < len(rest) && isDigit(rest[n]) {
				n++
			}
			digits, rest = digits+rest[:n], rest[n:]
		}
	case strings.HasPrefix(strings.ReplaceAll(strings.TrimLeft(rest, " "), "x10", "×10"), "×10^"):
		return 0, 1, fmt.Errorf("write a power of ten as 1.2e3")
	}
	n, perr := strconv.ParseFloat(sign+digits, 64)
	if errors.Is(perr, strconv.ErrRange) {
		return 0, 1, fmt.Errorf("the number is too large: give %s, like %s", p.kind.Article(), example(p.kind))
	}
	if perr != nil {
		return 0, 1, fmt.Errorf("%q is not one number: write it like %s", digits, example(p.kind))
	}
	p.text = strings.TrimSpace(rest)
	return n, factor, nil
}

// groupOfThree reports whether a text goes on with a space and three digits, as
// thousands do.
func groupOfThree(s string) bool {
	return len(s) >= 4 && s[0] == ' ' && isDigit(s[1]) && isDigit(s[2]) && isDigit(s[3]) && (len(s) == 4 || !isDigit(s[4]))
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

// letterPoint is the factor of a letter that stands for the decimal point, as in
// "10k4" and "4R7" (IEC 60062), and whether there is one.
func letterPoint(k units.Kind, rest string) (float64, bool) {
	if len(rest) < 2 || !isDigit(rest[1]) {
		return 1, false
	}
	switch {
	case k == units.Resistance && (rest[0] == 'k' || rest[0] == 'K'):
		return 1e3, true
	case k == units.Resistance && rest[0] == 'M':
		return 1e6, true
	case k == units.Resistance && (rest[0] == 'R' || rest[0] == 'r'), k == units.Voltage && (rest[0] == 'V' || rest[0] == 'v'):
		return 1, true
	}
	return 1, false
}

// withoutCommas makes one decimal point of what separates.
func withoutCommas(digits string) (string, error) {
	commas := strings.Count(digits, ",")
	if commas == 0 {
		return digits, nil
	}
	whole, _, pointed := strings.Cut(digits, ".")
	groups := strings.Split(whole, ",")
	thousands := len(groups[0]) > 0 && len(groups[0]) <= 3 && groups[0] != "0"
	for _, g := range groups[1:] {
		thousands = thousands && len(g) == 3
	}
	switch {
	case thousands:
		return strings.ReplaceAll(digits, ",", ""), nil
	case commas == 1 && !pointed:
		return strings.Replace(digits, ",", ".", 1), nil
	}
	return "", fmt.Errorf("the commas in %q separate neither thousands nor decimals: write it without", digits)
}

// unitName takes what may be the name of a unit off the front: up to a digit that
// begins another number, a "±" or the end. Names of several words come joined.
func (p *valueParser) unitName() string {
	s := p.text
	var name strings.Builder
	for s != "" {
		if strings.HasPrefix(s, "±") || strings.HasPrefix(s, "+") || strings.HasPrefix(s, ":") || strings.HasPrefix(s, "-/+") {
			break
		}
		if low := strings.ToLower(s); strings.HasPrefix(low, "plus or") || strings.HasPrefix(low, "k=2") || strings.HasPrefix(low, "(k") || strings.HasPrefix(low, "k = 2") {
			break
		}
		if p.kind == units.Volume && name.Len() > 0 && len(s) > 2 && strings.EqualFold(s[:3], "in ") {
			break
		}
		word := s
		if i := strings.IndexFunc(s, unicode.IsSpace); i >= 0 {
			word = s[:i]
		}
		if i := strings.Index(word, "±"); i > 0 {
			word = word[:i]
		}
		if i := strings.Index(word, "+"); i > 0 {
			word = word[:i]
		}
		if isDigit(word[0]) {
			break
		}
		if p.kind == units.Duration { // "2m5": the next number may follow at once
			if i := strings.IndexFunc(word, func(r rune) bool { return r >= '0' && r <= '9' || r == ':' }); i > 0 {
				word = word[:i]
			}
		}
		name.WriteString(word)
		s = strings.TrimLeft(s[len(word):], " ")
	}
	p.text = strings.TrimSpace(s)
	return name.String()
}

// unit looks a unit of the expected kind up; factor is that of a letter that
// already stood for the decimal point, after which only the bare unit may come.
func (p *valueParser) unit(name string, factor float64) (*units.Unit, error) {
	tries := []string{name}
	for _, word := range []string{"dc", "d.c.", "ac", "a.c.", "gauge", "g", "gross", "net", "rms", "of"} {
		if short, ok := strings.CutSuffix(strings.ToLower(name), word); ok && short != "" {
			tries = append(tries, name[:len(short)])
		}
	}
	if long, ok := absoluteName(name); ok {
		tries = []string{long}
	}
	for _, try := range tries {
		u := units.Find(p.kind, try)
		if u == nil || factor != 1 && u.Factor != 1 {
			continue
		}
		return u, nil
	}
	for k := range units.Kinds {
		if k == units.Word || k == units.Number || k == p.kind {
			continue
		}
		if units.Find(k, name) != nil {
			return nil, fmt.Errorf("%q is %s; here %s is needed, like %s", name, k.Article(), p.kind.Article(), example(p.kind))
		}
	}
	valid := units.NamesOf(p.kind)
	if p.kind == units.Number {
		return nil, fmt.Errorf("there is no unit %q here: give a plain number, like %s", name, example(p.kind))
	}
	return nil, fmt.Errorf("there is no unit %q for %s: %s", name, p.kind.Article(), suggest(name, valid, "use one of"))
}

// absoluteName finds "bar abs", "bar absolute", "psi abs".
func absoluteName(name string) (string, bool) {
	low := strings.ToLower(name)
	for _, end := range []string{"absolute", "abs.", "abs"} {
		if short, ok := strings.CutSuffix(low, end); ok {
			switch short {
			case "bar":
				return "bara", true
			case "psi":
				return "psia", true
			case "kpa":
				return "kPaa", true
			}
		}
	}
	return "", false
}

// figure writes a number with up to six digits that count.
func figure(x float64) string {
	text := strconv.FormatFloat(x, 'g', 6, 64)
	if short, err := strconv.ParseFloat(text, 64); err == nil && math.Abs(x) >= 1e6 && math.Abs(x) < 1e10 {
		return strconv.FormatFloat(short, 'f', -1, 64)
	}
	return text
}
