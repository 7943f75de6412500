package note

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"kg/internal/id"
)

// ID names one entry in the whole library, whatever its kind.
type ID = id.ID

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
	var slug string
	for _, word := range strings.Fields(b.String()) {
		if slug == "" {
			slug = word[:min(len(word), id.Longest)]
			continue
		}
		if len(slug)+1+len(word) > id.Longest {
			break
		}
		slug += "-" + word
	}
	return ID(slug)
}
