package advise

import (
	"testing"

	"kg/internal/library/librarytest"
	"kg/internal/note"
)

// BenchmarkFindAsTyped is what one keystroke costs: finding by words of which the
// last is only begun.
func BenchmarkFindAsTyped(b *testing.B) {
	l := librarytest.Shipped(b)
	const typed = "expansion vessel char"
	for i := 0; b.Loop(); i++ {
		if _, err := l.Find(b.Context(), typed[:3+i%(len(typed)-3)], nil, 10); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkAsk(b *testing.B) {
	l := librarytest.Shipped(b)
	for b.Loop() {
		if _, err := Ask(b.Context(), l, Question{Text: "pressure not rising on pump start"}); err != nil {
			b.Fatal(err)
		}
	}
}

// fiveFindings is a question of five findings, one of them that something works.
var fiveFindings = Question{Text: "no hot water but heating is fine", Symptoms: []note.ID{"hot-water-slow-arrival", "boiler-short-cycles", "low-pressure-lockout"}, Work: 1}

// BenchmarkPosteriorOfFiveFindings is what beliefs and their weights take.
func BenchmarkPosteriorOfFiveFindings(b *testing.B) {
	w, _, _, err := adviser{librarytest.Shipped(b)}.weigh(b.Context(), fiveFindings)
	if err != nil {
		b.Fatal(err)
	}
	if n := len(w.evidence.Findings); n < 5 { // and what follows from what works
		b.Fatalf("%d findings", n)
	}
	b.ReportMetric(float64(len(w.model.Causes)), "causes")
	for b.Loop() {
		if _, err := w.model.Posterior(w.evidence); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkNextStep is what planning the next step takes.
func BenchmarkNextStep(b *testing.B) {
	for _, text := range []string{"no hot water but heating is fine", "no heat or hot water", "boiler losing pressure"} {
		b.Run(text, func(b *testing.B) {
			w, beliefs, _, err := adviser{librarytest.Shipped(b)}.weigh(b.Context(), Question{Text: text})
			if err != nil {
				b.Fatal(err)
			}
			for b.Loop() {
				if _, err := w.next(b.Context(), beliefs); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkChart is what a chart of six steps takes.
func BenchmarkChart(b *testing.B) {
	l := librarytest.Shipped(b)
	for b.Loop() {
		if _, err := Draw(b.Context(), l, "no-heat-or-hot-water", Question{Appliance: "combination-boiler"}, 6); err != nil {
			b.Fatal(err)
		}
	}
}
