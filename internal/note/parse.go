package note

import (
	"bytes"
	"fmt"
	"path"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v3"

	"kg/internal/place"
)

// maxNote is the size beyond which a file is not taken for a note.
const maxNote = 1 << 20

// fence opens and closes the front matter.
const fence = "---"

// Parse reads one note. The kind is the name of the folder in file, the id its
// base name without the ending. A note that cannot be used comes back as nil,
// with at least one Broken problem; a note may come back with Incomplete ones.
func Parse(file string, text []byte) (*Note, []place.Problem) {
	slashed := filepath.ToSlash(file)
	fail := func(line int, rule, format string, args ...any) (*Note, []place.Problem) {
		p := place.Pos{File: file, Line: line}
		if line > 0 {
			p.Column = 1
		}
		return nil, []place.Problem{{Pos: p, Rule: rule, Grade: Broken, Message: fmt.Sprintf(format, args...)}}
	}

	kind, ok := ParseKind(path.Base(path.Dir(slashed)))
	if !ok {
		return fail(0, "unknown-kind", "the folder %q is not a kind of note: use one of %s",
			path.Base(path.Dir(slashed)), Choices(Kinds()))
	}
	id := ID(strings.TrimSuffix(path.Base(slashed), ".md"))
	if !id.Valid() {
		return fail(0, "bad-id", "the file name %q is not a valid id: name it like %q", path.Base(slashed), Slug(string(id))+".md")
	}
	if len(text) > maxNote {
		return fail(0, "too-large", "the note has %d bytes: a note has at most %d", len(text), maxNote)
	}
	if !utf8.Valid(text) {
		return fail(lineOfBadUTF8(text), "not-utf8", "the note is not UTF-8 text from here on: save it as UTF-8")
	}

	clean := strings.ReplaceAll(strings.TrimPrefix(string(text), "\ufeff"), "\r\n", "\n")
	front, body, ok := split(clean)
	if !ok {
		return fail(1, "no-front-matter", "a note starts with a line %q, the fields, and a second line %q", fence, fence)
	}
	front = oddLineBreaks.Replace(front)

	n := &Note{Entry: New(kind), Path: file, Text: text, keys: map[string]place.Pos{}}
	n.Entry.Head().ID = id
	n.Entry.Head().Body = strings.TrimSpace(body)

	var doc yaml.Node
	if err := yaml.Unmarshal([]byte(front), &doc); err != nil {
		line, message := yamlError(front, err)
		return fail(line+1, "bad-yaml", "%s: mend the YAML here", message)
	}
	d := &decoder{note: n, offset: 1}
	d.decode(&doc)
	for _, p := range d.problems {
		if p.Grade == Broken {
			return nil, d.problems
		}
	}
	return n, d.problems
}

// oddLineBreaks takes out what YAML counts as the end of a line and an editor
// does not, so that both give a line the same number.
var oddLineBreaks = strings.NewReplacer("\r", " ", "\u0085", " ", "\u2028", " ", "\u2029", " ")

// split parts the front matter from the prose.
func split(s string) (front, body string, ok bool) {
	rest, ok := strings.CutPrefix(s, fence+"\n")
	if !ok {
		return "", "", false
	}
	if strings.HasPrefix(rest, fence+"\n") || rest == fence {
		return "", strings.TrimPrefix(rest, fence), true
	}
	front, body, ok = strings.Cut(rest, "\n"+fence+"\n")
	if !ok {
		front, ok = strings.CutSuffix(rest, "\n"+fence)
	}
	return front, body, ok
}

var (
	yamlLine      = regexp.MustCompile(`^yaml: (?:line (\d+): )?(.*)$`)
	parserMessage = regexp.MustCompile(`^did not find expected (?:node content|key|'-' indicator|',' or '[\]}]'|<.*>)$`)
	unknownAnchor = regexp.MustCompile(`^unknown anchor '(.*)' referenced$`)
)

// yamlError takes the line out of an error of the YAML library. Its lines count
// from the first line of the front matter, but from 0 when the error comes from
// its parser and not its scanner, and it does not place an unknown anchor.
func yamlError(front string, err error) (line int, message string) {
	first, _, _ := strings.Cut(err.Error(), "\n")
	m := yamlLine.FindStringSubmatch(first)
	if m == nil {
		return 1, first
	}
	line, _ = strconv.Atoi(m[1])
	message = m[2]
	if line > 0 && parserMessage.MatchString(message) {
		line++
	}
	if anchor := unknownAnchor.FindStringSubmatch(message); anchor != nil {
		before, _, _ := strings.Cut(front, "*"+anchor[1])
		line = 1 + strings.Count(before, "\n")
	}
	return max(line, 1), message
}

func lineOfBadUTF8(text []byte) int {
	good := 0
	for good < len(text) {
		r, size := utf8.DecodeRune(text[good:])
		if r == utf8.RuneError && size <= 1 {
			break
		}
		good += size
	}
	return 1 + bytes.Count(text[:good], []byte("\n"))
}

func (d *decoder) decode(doc *yaml.Node) {
	fields := fieldsOf(d.note.Entry)
	byKey := make(map[string]field, len(fields))
	valid := make([]string, len(fields))
	for i, f := range fields {
		byKey[f.key], valid[i] = f, f.key
	}

	given := map[string]bool{}
	if len(doc.Content) > 0 {
		root := doc.Content[0]
		if alias := findAlias(root); alias != nil {
			d.fail(alias, "alias", "anchors and aliases are not part of the note format: write the value out")
			return
		}
		d.key = "the front matter"
		d.pairs(root, func(k, v *yaml.Node) {
			f, ok := byKey[k.Value]
			if !ok {
				d.unknownKey(k, valid)
				return
			}
			d.note.keys[k.Value] = d.pos(k)
			given[k.Value] = v.Kind == yaml.ScalarNode || len(v.Content) > 0
			d.key = k.Value
			f.read(d, v)
		})
	}

	kind := d.note.Kind()
	for _, f := range fields {
		if given[f.key] || !f.needed && !f.wanted {
			continue
		}
		p := place.Problem{Pos: d.note.At(f.key), Rule: "missing-" + f.key, Grade: Broken,
			Message: fmt.Sprintf("%s needs %s: add a line like `%s: %s`", kind.WithArticle(), f.key, f.key, strings.TrimSpace(strings.ReplaceAll(f.hint, "\n", " ")))}
		if f.wanted {
			p.Grade = Incomplete
		}
		d.problems = append(d.problems, p)
	}
	if h := d.note.Entry.Head(); h.Name == "" {
		switch e := d.note.Entry.(type) {
		case *Part:
			h.Name = e.Maker + " " + e.Number
		case *Job:
			h.Name = e.Date + " " + e.Words
		}
	}
}

func findAlias(n *yaml.Node) *yaml.Node {
	if n.Kind == yaml.AliasNode || n.Anchor != "" {
		return n
	}
	for _, c := range n.Content {
		if found := findAlias(c); found != nil {
			return found
		}
	}
	return nil
}
