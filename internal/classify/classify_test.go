package classify

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// words are the features of some words.
func words(names ...string) []Feature {
	var out []Feature
	for _, n := range names {
		out = append(out, Named(n))
	}
	return out
}

// fruit are examples of three classes that share some words.
func fruit() []Example {
	var out []Example
	for i := range 40 {
		filler := fmt.Sprint("filler", i%7)
		out = append(out,
			Example{Features: words("red", "round", filler), Class: 0},
			Example{Features: words("yellow", "long", filler), Class: 1},
			Example{Features: words("yellow", "round", filler), Class: 2})
	}
	return out
}

var classes = []string{"apple", "banana", "lemon"}

func learned(t *testing.T, c Course, least float64) *Learned {
	t.Helper()
	data, err := Fit(fruit(), 3, c).Encode(classes, least, DigestOf(fruit(), classes, c))
	require.NoError(t, err)
	l, err := Decode(data)
	require.NoError(t, err)
	return l
}

var course = Course{Rounds: 30, Rate: 1, Drop: 0.1, AtLeast: 2, Seed: 1}

func probabilities(l *Learned, features []Feature) []float64 {
	p, _ := l.Scores(features)
	Probabilities(p)
	return p
}

func TestWhatIsLearnedIsFoundAgain(t *testing.T) {
	t.Parallel()
	l := learned(t, course, 0)
	assert.Equal(t, classes, l.Classes())
	for class, features := range [][]Feature{words("red", "round"), words("yellow", "long"), words("yellow", "round")} {
		p := probabilities(l, features)
		for other := range p {
			if other != class {
				assert.Greater(t, p[class], 3*p[other], "class %d beside %d: %v", class, other, p)
			}
		}
	}
	_, known := l.Scores(words("never seen"))
	assert.Zero(t, known)
}

// Examples that cannot be told apart get the share that each class has of them: what
// logistic regression tends to (Bishop 2006, section 4.3.2: probabilities agree with
// the frequencies of the examples).
func TestProbabilitiesOfWhatCannotBeToldApartAreTheirShares(t *testing.T) {
	t.Parallel()
	var examples []Example
	for i := range 200 {
		class := 0
		if i%4 == 0 {
			class = 1
		}
		examples = append(examples, Example{Features: words("same"), Class: class})
	}
	m := Fit(examples, 2, Course{Rounds: 60, Rate: 0.3, AtLeast: 1, Seed: 1})
	p := m.Scores(words("same"))
	Probabilities(p)
	assert.InDelta(t, 0.75, p[0], 0.05)
	data, err := m.Encode([]string{"a", "b"}, 0, Digest{})
	require.NoError(t, err)
	l, err := Decode(data)
	require.NoError(t, err)
	assert.InDelta(t, 0.75, l.Shares()[0], 1e-6)
}

// The same examples and the same course give the same bytes, on every machine: the sum
// was made on amd64.
func TestTheSameExamplesGiveTheSameBytes(t *testing.T) {
	t.Parallel()
	data, err := Fit(fruit(), 3, course).Encode(classes, 0, Digest{})
	require.NoError(t, err)
	sum := sha256.Sum256(data)
	assert.Equal(t, "1d6f0930fc7a09909644a5f4062986628ebdf58ac6eb8e639346595540ee00c0", hex.EncodeToString(sum[:]))
}

// Rounds that go through the likely classes only come to about what whole rounds do.
func TestRivalsAreEnoughInMostRounds(t *testing.T) {
	t.Parallel()
	short := course
	short.Rounds = wholeRounds // all of them whole
	m, whole := Fit(fruit(), 3, course), Fit(fruit(), 3, short)
	p, q := m.Scores(words("yellow", "long")), whole.Scores(words("yellow", "long"))
	Probabilities(p)
	Probabilities(q)
	assert.Greater(t, p[1], q[1], "more rounds are surer of what is plain")
}

func TestSmallWeightsAreLeftOut(t *testing.T) {
	t.Parallel()
	all, some := learned(t, course, 0), learned(t, course, 1)
	assert.Less(t, len(some.weights), len(all.weights))
	assert.Greater(t, probabilities(some, words("yellow", "long"))[1], 0.5, "what matters is kept")
}

func TestTheDigestTellsExamplesAndCoursesApart(t *testing.T) {
	t.Parallel()
	was := DigestOf(fruit(), classes, course)
	assert.Equal(t, was, learned(t, course, 0).LearnedFrom())
	assert.NotEqual(t, was, DigestOf(fruit()[1:], classes, course))
	assert.NotEqual(t, was, DigestOf(fruit(), []string{"a", "b", "c"}, course))
	other := course
	other.Seed++
	assert.NotEqual(t, was, DigestOf(fruit(), classes, other))
	changed := fruit()
	changed[3].Features = words("green")
	assert.NotEqual(t, was, DigestOf(changed, classes, course))
}

// A feature is learned from the number of examples on that the course asks for.
func TestRareFeaturesAreNotLearned(t *testing.T) {
	t.Parallel()
	examples := append(fruit(), Example{Features: words("twice"), Class: 0}, Example{Features: words("twice", "once"), Class: 0})
	data, err := Fit(examples, 3, Course{Rounds: 2, Rate: 1, AtLeast: 2}).Encode(classes, 0, Digest{})
	require.NoError(t, err)
	l, err := Decode(data)
	require.NoError(t, err)
	_, known := l.Scores(words("once"))
	assert.Zero(t, known)
	_, known = l.Scores(words("twice"))
	assert.Equal(t, 1, known)
}

// A file that is damaged is refused, or says less than it did; it is never read beyond
// its end.
func TestADamagedFileIsRefusedOrSaysLess(t *testing.T) {
	t.Parallel()
	data, err := Fit(fruit(), 3, course).Encode(classes, 0, Digest{})
	require.NoError(t, err)
	_, err = Decode(data[:len(data)-weightSize])
	assert.ErrorIs(t, err, errForm)
	_, err = Decode(append(slices.Clone(data), 0, 0, 0))
	assert.ErrorIs(t, err, errForm)
	l, err := Decode(slices.Clone(data))
	require.NoError(t, err)
	for i := range l.ends { // every feature ends where there is nothing
		l.ends[i] = 0xff
	}
	_, known := l.Scores(words("yellow", "long"))
	assert.Zero(t, known)
	l, err = Decode(slices.Clone(data))
	require.NoError(t, err)
	for i := range l.weights { // and every weight is of a class that is not there
		l.weights[i] = 0xff
	}
	scores, _ := l.Scores(words("yellow", "long"))
	assert.Equal(t, l.bias, scores)
}

func TestNamesHaveToMatchTheClasses(t *testing.T) {
	t.Parallel()
	_, err := Fit(fruit(), 3, Course{Rounds: 1, Rate: 1, AtLeast: 1}).Encode(classes[:2], 0, Digest{})
	assert.ErrorContains(t, err, "2 names for 3 classes")
}

func TestProbabilitiesShareOutOne(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		scores := rapid.SliceOfN(rapid.Float64Range(-800, 800), 1, 20).Draw(t, "scores")
		was := append([]float64(nil), scores...)
		Probabilities(scores)
		sum := 0.0
		for i, p := range scores {
			sum += p
			for j := range scores {
				if was[i] > was[j] && p < scores[j] {
					t.Fatalf("a higher score has a lower probability: %v, %v", was, scores)
				}
			}
		}
		if math.Abs(sum-1) > 1e-9 {
			t.Fatalf("they add up to %v", sum)
		}
	})
}

// FuzzDecode: whatever a file holds, it is read or refused, and what was read can be
// asked.
func FuzzDecode(f *testing.F) {
	data, err := Fit(fruit(), 3, Course{Rounds: 2, Rate: 1, AtLeast: 1}).Encode(classes, 0, Digest{})
	if err != nil {
		f.Fatal(err)
	}
	f.Add(data)
	f.Add(data[:len(data)-1])
	f.Add([]byte(magic))
	f.Add([]byte(nil))
	f.Fuzz(func(t *testing.T, data []byte) {
		l, err := Decode(data)
		if err != nil {
			return
		}
		scores, _ := l.Scores(words("yellow", "round", "never seen"))
		if len(scores) != len(l.Classes()) {
			t.Fatalf("%d scores for %d classes", len(scores), len(l.Classes()))
		}
	})
}
