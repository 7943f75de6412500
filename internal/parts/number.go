package parts

import (
	"strings"
	"unicode"
)

// Key is the normal form of a part number: what is left when case, spaces,
// dashes, dots, slashes and the zeros that begin a run of digits are taken away.
// "SF-0412 30", "sf0412.30" and "SF 412-30" have one key. A number without a
// letter or digit has an empty one.
type Key string

// KeyOf returns the normal form of a number as it was typed or printed.
func KeyOf(number string) Key { return keyOf(number, func(r rune) rune { return r }) }

// Grouped is like KeyOf, with the zeros that begin each group of a number taken
// away too, so that "SF-4155-3" is found where the list has "SF-4155-03". Two
// numbers of one maker may have one such form.
func Grouped(number string) Key {
	var b strings.Builder
	for _, group := range strings.FieldsFunc(number, func(r rune) bool {
		r = plainRune(r)
		return !unicode.IsLetter(r) && !unicode.IsDigit(r)
	}) {
		b.WriteString(string(KeyOf(group)))
	}
	return Key(b.String())
}

// Alike is the normal form in which letters and digits that are taken for each
// other are one: O and 0, I, L and 1, S and 5, B and 8, Z and 2. Two numbers with
// one such form may be different parts: it is for suggestions only.
func Alike(number string) Key { return keyOf(number, confused) }

func confused(r rune) rune {
	switch r {
	case 'O':
		return '0'
	case 'I', 'L':
		return '1'
	case 'S':
		return '5'
	case 'B':
		return '8'
	case 'Z':
		return '2'
	}
	return r
}

func keyOf(number string, as func(rune) rune) Key {
	var b strings.Builder
	zeros := 0 // that wait for a digit to stand before
	inDigits := false
	for _, r := range number {
		r = as(plainRune(r))
		switch {
		case r >= '0' && r <= '9':
			if r == '0' && !inDigits {
				zeros++
				continue
			}
			inDigits, zeros = true, 0
		case unicode.IsLetter(r) || unicode.IsDigit(r):
			if zeros > 0 { // a run of nothing but zeros is one zero
				b.WriteByte('0')
			}
			inDigits, zeros = false, 0
		default:
			continue
		}
		b.WriteRune(r)
	}
	if zeros > 0 {
		b.WriteByte('0')
	}
	return Key(b.String())
}

// plainRune makes letters upper case and full-width forms (U+FF01 to U+FF5E)
// plain ones.
func plainRune(r rune) rune {
	const fullWidth = 0xFF01 - '!'
	if r >= 0xFF01 && r <= 0xFF5E {
		r -= fullWidth
	}
	return unicode.ToUpper(r)
}

// ID names one part: the maker in lower case, a slash, and the key of the number.
type ID string

// IDOf returns the id of a maker's part; empty if the number or the maker has no
// letter or digit.
func IDOf(maker, number string) ID {
	key, by := KeyOf(number), makerKey(maker)
	if key == "" || by == "" {
		return ""
	}
	return ID(by + "/" + string(key))
}

// Key is the normal form of the number that an id is of.
func (id ID) Key() Key {
	_, key, _ := strings.Cut(string(id), "/")
	return Key(key)
}

func makerKey(maker string) string {
	var b strings.Builder
	for _, r := range maker {
		if r = plainRune(r); unicode.IsLetter(r) || unicode.IsDigit(r) {
			b.WriteRune(unicode.ToLower(r))
		}
	}
	return b.String()
}
