package hear

import (
	_ "embed"
	"fmt"
	"slices"
	"strings"
	"sync"

	"kg/internal/classify"
	"kg/internal/note"
)

//go:generate go run ./teach -o .

// What was learned of meanings, and of tones.
var (
	//go:embed meanings.bin
	meaningsFile []byte
	//go:embed tones.bin
	tonesFile []byte
)

// shipped are the weights that come with the program, read when they are first asked
// for.
var shipped = sync.OnceValues(func() (*Learned, error) {
	l, err := Decode(meaningsFile, tonesFile)
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

// The kinds: nothing that is known, that something is there, that it is not, what a
// test has found, and more than one of these at once.
const (
	NothingKnown Says = iota
	ThereSaid
	AbsentSaid
	ResultSaid
	SeveralSaid
)

// Tone is what kind of thing words say as it is learned from all sayings together: one
// of Says, or that something is there which stops the work.
type Tone int

// GraveTone is the tone of dangers; the others are those of Says, by their numbers.
const GraveTone = Tone(ResultSaid + 1)

// Tones are the names that tones are learned by, in their order.
func Tones() []string { return []string{"nothing", "there", "absent", "result", "danger"} }

// several is the class of what says more than one thing.
const several = "several"

// Class is the name that a meaning is learned by.
func (m Meaning) Class() string {
	switch m.Says {
	case ThereSaid:
		return "+" + string(m.ID)
	case AbsentSaid:
		return "-" + string(m.ID)
	case ResultSaid:
		return "=" + string(m.ID) + "\t" + m.Result
	case SeveralSaid:
		return several
	default:
		return "none"
	}
}

// meaningOf is the meaning of a class.
func meaningOf(class string) Meaning {
	switch class {
	case "", "none":
		return Meaning{}
	case several:
		return Meaning{Says: SeveralSaid}
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

// Learned is what hearing has learned from sayings: what they mean, and, from all of
// them together, their tone. Of what is said of a symptom when all is well there are few
// examples; how good news sounds is the same for all of them, and how danger does.
type Learned struct {
	weights  *classify.Learned
	tones    *classify.Learned
	meanings []Meaning
	known    map[note.ID]bool // the entries that it was taught to hear as being there
	shares   []float64        // of each meaning among what it was taught by
	several  int              // which meaning is more than one, -1 if none
}

// Decode reads what was learned of meanings and of tones.
func Decode(meanings, tones []byte) (*Learned, error) {
	w, err := classify.Decode(meanings)
	if err != nil {
		return nil, fmt.Errorf("meanings: %w", err)
	}
	t, err := classify.Decode(tones)
	if err != nil {
		return nil, fmt.Errorf("tones: %w", err)
	}
	if !slices.Equal(t.Classes(), Tones()) {
		return nil, fmt.Errorf("the file tells %q apart and should %q: make it anew with go generate", t.Classes(), Tones())
	}
	l := &Learned{weights: w, tones: t, known: map[note.ID]bool{}, shares: w.Shares(), several: slices.Index(w.Classes(), several)}
	for _, c := range w.Classes() {
		m := meaningOf(c)
		if m.Class() != c {
			return nil, fmt.Errorf("the file has learned to hear %q, which is not a meaning: make it anew with go generate", c)
		}
		l.meanings = append(l.meanings, m)
		if m.Says == ThereSaid {
			l.known[m.ID] = true
		}
	}
	return l, nil
}
