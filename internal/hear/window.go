package hear

import (
	"strings"

	"kg/internal/note"
	"kg/internal/term"
)

// window is some clauses of a text that stand together.
type window struct {
	text     string
	clauses  []term.Clause
	guesses  guesses
	screened guesses
	grave    float64
	several  float64
	verbatim note.ID
}

// widest is how many clauses are heard together, but for the whole; by what was learned
// alone.
const widest = 3

// windows are the parts of a text that are listened to: at [i] those that begin with
// its i-th clause, by how many clauses they hold.
func (e *ear) windows(text string) ([][]window, error) {
	text = strings.TrimSpace(text)
	clauses := term.Clauses(text)
	if len(clauses) == 0 {
		clauses = []term.Clause{{Text: text}}
	}
	starts, ends := make([]int, len(clauses)), make([]int, len(clauses))
	at := 0
	for i, c := range clauses {
		starts[i] = at + max(0, strings.Index(text[at:], c.Text))
		ends[i] = starts[i] + len(c.Text)
		at = min(ends[i], len(text))
	}
	tokens := e.tokens(text)
	out := make([][]window, len(clauses))
	for i := range clauses {
		for j := i; j < len(clauses); j++ {
			whole := i == 0 && j == len(clauses)-1
			if j-i >= widest && !whole {
				continue
			}
			part, around := text[starts[i]:ends[j]], text[:starts[i]]+" "+text[ends[j]:]
			if whole {
				part, around = text, ""
			}
			e.cut(part, tokens, starts[i], ends[j])
			g, err := e.guess(listened{part, around, whole || i == j})
			if err != nil {
				return nil, err
			}
			out[i] = append(out[i], window{part, clauses[i : j+1], g.meaning, g.screened, g.grave, g.several, g.verbatim})
		}
	}
	return out, nil
}
