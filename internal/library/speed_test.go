package library

import (
	"testing"
)

// opened is a library of the shipped notes for a benchmark.
func opened(b *testing.B) *Library {
	b.Helper()
	store, err := built()
	if err != nil {
		b.Fatal(err)
	}
	l, err := Open(store)
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { l.Close() })
	return l
}

// BenchmarkFindAsTyped is what one keystroke costs: finding by words of which the
// last is only begun.
func BenchmarkFindAsTyped(b *testing.B) {
	l := opened(b)
	const typed = "expansion vessel char"
	for i := 0; b.Loop(); i++ {
		if _, err := l.Find(b.Context(), typed[:3+i%(len(typed)-3)], nil, 10); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkAsk(b *testing.B) {
	l := opened(b)
	for b.Loop() {
		if _, err := l.Ask(b.Context(), Question{Text: "pressure not rising on pump start"}); err != nil {
			b.Fatal(err)
		}
	}
}
