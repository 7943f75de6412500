package note

import (
	"regexp"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// ID names one entry in the whole library, whatever its kind.
type ID string

const maxID = 60

var idPattern = regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)

// Valid reports whether the id is kebab-case and short enough for a file name.
func (id ID) Valid() bool {
	return len(id) <= maxID && idPattern.MatchString(string(id))
}

// Slug makes an id from a name: lower case, accents dropped, everything that is
// not a letter or digit becomes a dash, cut between words at 60 characters (a
// first word longer than that is cut itself). It is empty when the name holds no
// letter or digit of the Latin alphabet.
func Slug(name string) ID {
	var b strings.Builder
	for _, r := range norm.NFD.String(strings.ToLower(name)) {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			b.WriteRune(r)
		case unicode.Is(unicode.Mn, r), r == '\'', r == '’':
		default:
			b.WriteByte(' ')
		}
	}
	var id string
	for _, word := range strings.Fields(b.String()) {
		if id == "" {
			id = word[:min(len(word), maxID)]
			continue
		}
		if len(id)+1+len(word) > maxID {
			break
		}
		id += "-" + word
	}
	return ID(id)
}
