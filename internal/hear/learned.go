package hear

import (
	_ "embed"
	"fmt"
	"strings"
	"sync"

	"kg/internal/classify"
	"kg/internal/note"
)

//go:generate go run ./teach -o learned.bin

//go:embed learned.bin
var learnedFile []byte

// shipped are the weights that come with the program, read when they are first asked
// for.
var shipped = sync.OnceValues(func() (*Learned, error) {
	l, err := Decode(learnedFile)
	if err != nil {
		return nil, fmt.Errorf("reading what hearing has learned: %w", err)
	}
	return l, nil
})

// Meaning is one thing that words can say, as it is learned.
type Meaning struct {
	Says   Says
	ID     note.ID // of a symptom or mode; of a test for ResultSaid
	Result string  // the name of the test's result
}

// Says is what kind of thing words say.
type Says byte

// The kinds: nothing that is known, that something is there, that it is not, and what a
// test has found.
const (
	NothingKnown Says = iota
	ThereSaid
	AbsentSaid
	ResultSaid
)

// Class is the name that a meaning is learned by.
func (m Meaning) Class() string {
	switch m.Says {
	case ThereSaid:
		return "+" + string(m.ID)
	case AbsentSaid:
		return "-" + string(m.ID)
	case ResultSaid:
		return "=" + string(m.ID) + "\t" + m.Result
	default:
		return "none"
	}
}

// meaningOf is the meaning of a class.
func meaningOf(class string) Meaning {
	if class == "" || class == "none" {
		return Meaning{}
	}
	id, result, _ := strings.Cut(class[1:], "\t")
	switch class[0] {
	case '+':
		return Meaning{Says: ThereSaid, ID: note.ID(id)}
	case '-':
		return Meaning{Says: AbsentSaid, ID: note.ID(id)}
	case '=':
		return Meaning{Says: ResultSaid, ID: note.ID(id), Result: result}
	}
	return Meaning{}
}

// Learned is what hearing has learned from sayings.
type Learned struct {
	weights  *classify.Learned
	meanings []Meaning
	known    map[note.ID]bool // the entries that it was taught to hear as being there
	shares   []float64        // of each meaning among what it was taught by
}

// LearnedFrom is the digest of the sayings that were learned from.
func (l *Learned) LearnedFrom() classify.Digest { return l.weights.LearnedFrom() }

// Decode reads what was learned.
func Decode(data []byte) (*Learned, error) {
	w, err := classify.Decode(data)
	if err != nil {
		return nil, err
	}
	l := &Learned{weights: w, known: map[note.ID]bool{}, shares: w.Shares()}
	for _, c := range w.Classes() {
		m := meaningOf(c)
		l.meanings = append(l.meanings, m)
		if m.Says == ThereSaid {
			l.known[m.ID] = true
		}
	}
	return l, nil
}
