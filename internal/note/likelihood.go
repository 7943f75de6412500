package note

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// Likelihood is a figure between 0 and 1, with the words it was written in.
// The zero value stands for "no figure given".
type Likelihood struct {
	P    float64 `json:"p"`
	Text string  `json:"text,omitempty"`
}

// Given reports whether a figure was written.
func (l Likelihood) Given() bool { return l.Text != "" }

// Word is one term of the IPCC uncertainty guidance with its published range.
type Word struct {
	Text      string
	Low, High float64
}

// Point is the figure that the word stands for in a calculation: the middle of
// its range.
func (w Word) Point() float64 { return (w.Low + w.High) / 2 }

// Words returns the likelihood scale of Mastrandrea et al. 2010, "Guidance Note
// for Lead Authors of the IPCC Fifth Assessment Report on Consistent Treatment
// of Uncertainties", table 1, with the additional terms that AR5 allows
// ("extremely likely", "more likely than not", "extremely unlikely"). The
// ranges are nested, as published.
func Words() []Word {
	return []Word{
		{"virtually certain", 0.99, 1},
		{"extremely likely", 0.95, 1},
		{"very likely", 0.90, 1},
		{"likely", 0.66, 1},
		{"more likely than not", 0.50, 1},
		{"about as likely as not", 0.33, 0.66},
		{"unlikely", 0, 0.33},
		{"very unlikely", 0, 0.10},
		{"extremely unlikely", 0, 0.05},
		{"exceptionally unlikely", 0, 0.01},
	}
}

// WordFor returns the narrowest word of the scale whose range holds p.
func WordFor(p float64) string {
	best := Word{Text: "about as likely as not", Low: math.Inf(-1), High: math.Inf(1)}
	for _, w := range Words() {
		if p >= w.Low && p <= w.High && w.High-w.Low < best.High-best.Low {
			best = w
		}
	}
	return best.Text
}

var (
	sharePattern   = regexp.MustCompile(`^([0-9.]+) in ([0-9.]+)$`)
	percentPattern = regexp.MustCompile(`^([0-9.]+) ?(?:%|per cent)$`)
	ratePattern    = regexp.MustCompile(`^([0-9.]+) per ([0-9.]+)(?: call-outs?)?$`)
)

// ParseLikelihood reads a figure: a word of the scale, "9 in 10", "95 %" or
// "0.95".
func ParseLikelihood(s string) (Likelihood, error) {
	text := strings.ToLower(strings.Join(strings.Fields(s), " "))
	for _, w := range Words() {
		if text == w.Text {
			return Likelihood{P: w.Point(), Text: text}, nil
		}
	}
	if m := sharePattern.FindStringSubmatch(text); m != nil {
		return ratio(text, m[1], m[2])
	}
	if m := percentPattern.FindStringSubmatch(text); m != nil {
		return ratio(text, m[1], "100")
	}
	if p, err := strconv.ParseFloat(text, 64); err == nil {
		return inRange(Likelihood{P: p, Text: text})
	}
	return Likelihood{}, fmt.Errorf("%q is not a figure: write a likelihood word such as %q, or %q, %q or %q",
		s, "very likely", "9 in 10", "90 %", "0.9")
}

// ParseRate reads how often something is found: "40 per 1000 call-outs", or any
// likelihood.
func ParseRate(s string) (Likelihood, error) {
	text := strings.ToLower(strings.Join(strings.Fields(s), " "))
	if m := ratePattern.FindStringSubmatch(text); m != nil {
		return ratio(text, m[1], m[2])
	}
	return ParseLikelihood(s)
}

func ratio(text, over, under string) (Likelihood, error) {
	a, errA := strconv.ParseFloat(over, 64)
	b, errB := strconv.ParseFloat(under, 64)
	if errA != nil || errB != nil || b == 0 {
		return Likelihood{}, fmt.Errorf("%q is not a figure: write it like %q", text, "9 in 10")
	}
	return inRange(Likelihood{P: a / b, Text: text})
}

func inRange(l Likelihood) (Likelihood, error) {
	if math.IsNaN(l.P) || l.P < 0 || l.P > 1 {
		return Likelihood{}, fmt.Errorf("%q is outside its range: a likelihood lies between 0 and 1 (0 %% and 100 %%)", l.Text)
	}
	return l, nil
}
