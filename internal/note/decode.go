package note

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"

	"go.yaml.in/yaml/v3"

	"kg/internal/place"
	"kg/internal/spell"
)

// decoder turns the YAML nodes of one front matter into an entry and collects
// what is wrong on the way. Lines of nodes count from the front matter's own
// first line; offset is added to get the line in the file.
type decoder struct {
	note     *Note
	offset   int
	key      string // the top-level key that is being read
	problems []place.Problem
}

func (d *decoder) pos(n *yaml.Node) place.Pos {
	return place.Pos{File: d.note.Path, Line: n.Line + d.offset, Column: n.Column}
}

func (d *decoder) fail(n *yaml.Node, rule, format string, args ...any) {
	d.problems = append(d.problems, place.Problem{Pos: d.pos(n), Rule: rule, Grade: Broken, Message: fmt.Sprintf(format, args...)})
}

func (d *decoder) ref(n *yaml.Node, id ID, kinds []Kind) {
	d.note.Refs = append(d.note.Refs, Ref{Pos: d.pos(n), ID: id, Field: d.key, Kinds: kinds})
}

// scalar returns the text of a node that has to be a single value.
func (d *decoder) scalar(n *yaml.Node) (string, bool) {
	switch {
	case n.Kind != yaml.ScalarNode:
		d.fail(n, "wrong-shape", "%s takes one value here, not a %s", d.key, shape(n))
	case n.Tag == "!!null" || strings.TrimSpace(n.Value) == "":
		d.fail(n, "empty-value", "%s is empty: write a value, or take the line out", d.key)
	default:
		return strings.TrimSpace(n.Value), true
	}
	return "", false
}

// list returns the items of a list; a single value counts as a list of one.
func (d *decoder) list(n *yaml.Node) []*yaml.Node {
	switch {
	case n.Kind == yaml.SequenceNode:
		return n.Content
	case n.Kind == yaml.ScalarNode && n.Tag != "!!null":
		return []*yaml.Node{n}
	case n.Kind == yaml.ScalarNode:
		d.fail(n, "empty-value", "%s is empty: write a list like [a, b], or take the line out", d.key)
	default:
		d.fail(n, "wrong-shape", "%s takes a list like [a, b], not a %s", d.key, shape(n))
	}
	return nil
}

// pairs calls f for each key and value of a map and reports keys that come twice.
func (d *decoder) pairs(n *yaml.Node, f func(k, v *yaml.Node)) {
	if n.Kind != yaml.MappingNode {
		d.fail(n, "wrong-shape", "%s takes a map like {this: that}, not a %s", d.key, shape(n))
		return
	}
	seen := map[string]bool{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		k, v := n.Content[i], n.Content[i+1]
		if k.Kind != yaml.ScalarNode || strings.TrimSpace(k.Value) == "" {
			d.fail(k, "wrong-shape", "%s has a key that is not a word: write it like {this: that}", d.key)
			continue
		}
		if seen[k.Value] {
			d.fail(k, "twice", "%q stands here twice: keep one", k.Value)
			continue
		}
		seen[k.Value] = true
		f(k, v)
	}
}

func (d *decoder) id(n *yaml.Node, kinds []Kind) (ID, bool) {
	s, ok := d.scalar(n)
	if !ok {
		return "", false
	}
	if !ID(s).Valid() {
		d.fail(n, "bad-id", "%q is not a valid id: ids are written like %q", s, Slug(s))
		return "", false
	}
	d.ref(n, ID(s), kinds)
	return ID(s), true
}

func (d *decoder) figure(n *yaml.Node, parse func(string) (Likelihood, error)) (Likelihood, bool) {
	s, ok := d.scalar(n)
	if !ok {
		return Likelihood{}, false
	}
	if d.note.FirstFigure.Line == 0 {
		d.note.FirstFigure = d.pos(n)
	}
	l, err := parse(s)
	if err != nil {
		d.fail(n, "bad-figure", "%v", err)
		return Likelihood{}, false
	}
	return l, true
}

func shape(n *yaml.Node) string {
	switch n.Kind {
	case yaml.SequenceNode:
		return "list"
	case yaml.MappingNode:
		return "map"
	}
	return "single value"
}

type reader = func(*decoder, *yaml.Node)

func text(to *string) reader {
	return func(d *decoder, n *yaml.Node) { *to, _ = d.scalar(n) }
}

func texts(to *[]string) reader {
	return func(d *decoder, n *yaml.Node) {
		for _, item := range d.list(n) {
			if s, ok := d.scalar(item); ok {
				*to = append(*to, s)
			}
		}
	}
}

func textMap(to *map[string]string) reader {
	return func(d *decoder, n *yaml.Node) {
		*to = map[string]string{}
		d.pairs(n, func(k, v *yaml.Node) {
			if s, ok := d.scalar(v); ok {
				(*to)[k.Value] = s
			}
		})
	}
}

func minutes(to *int) reader { return whole(to, 24*60, "bad-minutes", "number of minutes") }

// dearest is the highest price of a part, in minutes of paid work.
const dearest = 100_000

func price(to *int) reader { return whole(to, dearest, "bad-price", "price in minutes of paid work") }

func whole(to *int, most int, rule, what string) reader {
	return func(d *decoder, n *yaml.Node) {
		s, ok := d.scalar(n)
		if !ok {
			return
		}
		m, err := strconv.Atoi(s)
		if err != nil || m <= 0 || m > most {
			d.fail(n, rule, "%q is no %s: write a whole number from 1 to %d", s, what, most)
			return
		}
		*to = m
	}
}

var datePattern = regexp.MustCompile(`^\d{4}-\d{2}-\d{2}$`)

func date(to *string) reader {
	return func(d *decoder, n *yaml.Node) {
		s, ok := d.scalar(n)
		if !ok {
			return
		}
		if _, err := time.Parse(time.DateOnly, s); err != nil || !datePattern.MatchString(s) {
			d.fail(n, "bad-date", "%q is not a date: write it like 2026-01-31", s)
			return
		}
		*to = s
	}
}

func oneOf[T ~string](to *T, valid []T) reader {
	return func(d *decoder, n *yaml.Node) {
		if v, ok := choice(d, n, valid); ok {
			*to = v
		}
	}
}

func manyOf[T ~string](to *[]T, valid []T) reader {
	return func(d *decoder, n *yaml.Node) {
		for _, item := range d.list(n) {
			if v, ok := choice(d, item, valid); ok {
				*to = append(*to, v)
			}
		}
	}
}

func choice[T ~string](d *decoder, n *yaml.Node, valid []T) (T, bool) {
	s, ok := d.scalar(n)
	if !ok {
		return "", false
	}
	for _, v := range valid {
		if strings.EqualFold(s, string(v)) {
			return v, true
		}
	}
	d.fail(n, "bad-choice", "%s cannot be %q: choose from %s", d.key, s, Choices(valid))
	return "", false
}

// Choices lists the values that may be chosen from, as messages name them.
func Choices[T ~string](list []T) string {
	out := make([]string, len(list))
	for i, v := range list {
		out[i] = string(v)
	}
	return strings.Join(out, ", ")
}

func ref(to *ID, kinds ...Kind) reader {
	return func(d *decoder, n *yaml.Node) { *to, _ = d.id(n, kinds) }
}

func refs(to *[]ID, kinds ...Kind) reader {
	return func(d *decoder, n *yaml.Node) {
		for _, item := range d.list(n) {
			if id, ok := d.id(item, kinds); ok {
				*to = append(*to, id)
			}
		}
	}
}

func figure(to *Likelihood) reader {
	return func(d *decoder, n *yaml.Node) { *to, _ = d.figure(n, ParseLikelihood) }
}

func rate(to *Likelihood) reader {
	return func(d *decoder, n *yaml.Node) { *to, _ = d.figure(n, ParseRate) }
}

func links(to *[]Link, kinds ...Kind) reader {
	return func(d *decoder, n *yaml.Node) {
		d.pairs(n, func(k, v *yaml.Node) {
			id, okID := d.id(k, kinds)
			l, okFigure := d.figure(v, ParseLikelihood)
			if okID && okFigure {
				d.note.Refs[len(d.note.Refs)-1].Figure = l
				*to = append(*to, Link{To: id, Figure: l})
			}
		})
	}
}

func codes(to *[]Code) reader {
	return func(d *decoder, n *yaml.Node) {
		d.pairs(n, func(k, v *yaml.Node) {
			code := Code{Shown: k.Value}
			refs(&code.Means, KindSymptom, KindMode)(d, v)
			*to = append(*to, code)
		})
	}
}

func testResults(to *[]TestResult) reader {
	return func(d *decoder, n *yaml.Node) {
		d.pairs(n, func(k, v *yaml.Node) {
			id, okID := d.id(k, []Kind{KindTest})
			result, okResult := d.scalar(v)
			if okID && okResult {
				*to = append(*to, TestResult{Test: id, Result: result})
			}
		})
	}
}

func results(to *[]Result) reader {
	return func(d *decoder, n *yaml.Node) {
		d.pairs(n, func(k, v *yaml.Node) {
			r := Result{Name: k.Value}
			if v.Tag == "!!null" { // what the other results leave over
				*to = append(*to, r)
				return
			}
			d.pairs(v, func(k, v *yaml.Node) {
				switch k.Value {
				case "seen-with":
					links(&r.SeenWith, KindMode)(d, v)
				case "otherwise":
					figure(&r.Otherwise)(d, v)
				case "means":
					text(&r.Means)(d, v)
				case "reads":
					text(&r.Reads)(d, v)
				case "same-as":
					d.under("same-as", func() { refs(&r.SameAs, KindSymptom)(d, v) })
				case "leaves":
					conditions(&r.Leaves)(d, v)
				default:
					d.unknownKey(k, []string{"seen-with", "otherwise", "means", "reads", "same-as", "leaves"})
				}
			})
			*to = append(*to, r)
		})
	}
}

// under reads what stands deeper in a front matter under a key of its own.
func (d *decoder) under(key string, read func()) {
	outer := d.key
	d.key = key
	read()
	d.key = outer
}

func reading(to **Reading) reader {
	return func(d *decoder, n *yaml.Node) {
		r := &Reading{}
		d.pairs(n, func(k, v *yaml.Node) {
			switch k.Value {
			case "model":
				text(&r.Model)(d, v)
			case "of":
				ref(&r.Of, KindComponent)(d, v)
			case "given":
				textMap(&r.Given)(d, v)
			case "healthy":
				text(&r.Healthy)(d, v)
			case "off":
				text(&r.Off)(d, v)
			case "open":
				text(&r.Open)(d, v)
			case "short":
				text(&r.Short)(d, v)
			default:
				d.unknownKey(k, []string{"model", "of", "given", "healthy", "off", "open", "short"})
			}
		})
		if r.Model == "" || r.Healthy == "" {
			d.fail(n, "wrong-shape", "a reading needs a model and the result that is healthy: like {model: ntc-beta, healthy: fits the curve}")
			return
		}
		*to = r
	}
}

func (d *decoder) unknownKey(k *yaml.Node, valid []string) {
	d.fail(k, "unknown-key", "unknown key %q%s; valid here: %s", k.Value, didYouMean(k.Value, valid), strings.Join(valid, ", "))
}

func didYouMean(s string, valid []string) string {
	if near, ok := spell.Nearest(s, valid); ok {
		return fmt.Sprintf(": did you mean %q?", near)
	}
	return ""
}
