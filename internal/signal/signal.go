// Package signal owns the signal words that warnings carry, for notes and for
// readings.
package signal

import "slices"

// Word is a signal word of ISO 3864-2, in small letters.
type Word string

const (
	Danger  Word = "danger"  // will kill or maim if not avoided
	Warning Word = "warning" // may kill or maim
	Caution Word = "caution" // may hurt slightly
	Notice  Word = "notice"  // damage, no injury
)

// Words returns the signal words, the gravest first.
func Words() []Word { return []Word{Danger, Warning, Caution, Notice} }

// Rank is 0 for danger and grows as the word gets milder; what is not a signal word
// comes last.
func (w Word) Rank() int {
	if at := slices.Index(Words(), w); at >= 0 {
		return at
	}
	return len(Words())
}
