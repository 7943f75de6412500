package fit

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/classify"
)

// words are the features of some words.
func words(names ...string) []classify.Feature {
	var out []classify.Feature
	for _, n := range names {
		out = append(out, classify.Named(n))
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

func learned(t *testing.T, c Course, least float64) *classify.Learned {
	t.Helper()
	data, err := Fit(fruit(), 3, c).Encode(classes, least, DigestOf(fruit(), classes, c))
	require.NoError(t, err)
	l, err := classify.Decode(data)
	require.NoError(t, err)
	return l
}

var course = Course{Rounds: 30, Rate: 1, Drop: 0.1, AtLeast: 2, Seed: 1}

func probabilities(l *classify.Learned, features []classify.Feature) []float64 {
	p, _ := l.Scores(features)
	classify.Probabilities(p)
	return p
}

func TestWhatIsLearnedIsFoundAgain(t *testing.T) {
	t.Parallel()
	l := learned(t, course, 0)
	assert.Equal(t, classes, l.Classes())
	for class, features := range [][]classify.Feature{words("red", "round"), words("yellow", "long"), words("yellow", "round")} {
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
	classify.Probabilities(p)
	assert.InDelta(t, 0.75, p[0], 0.05)
	data, err := m.Encode([]string{"a", "b"}, 0, classify.Digest{})
	require.NoError(t, err)
	l, err := classify.Decode(data)
	require.NoError(t, err)
	assert.InDelta(t, 0.75, l.Shares()[0], 1e-6)
}

// The same examples and the same course give the same bytes, on every machine: the sum
// was made on amd64.
func TestTheSameExamplesGiveTheSameBytes(t *testing.T) {
	t.Parallel()
	data, err := Fit(fruit(), 3, course).Encode(classes, 0, classify.Digest{})
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
	classify.Probabilities(p)
	classify.Probabilities(q)
	assert.Greater(t, p[1], q[1], "more rounds are surer of what is plain")
}

func TestSmallWeightsAreLeftOut(t *testing.T) {
	t.Parallel()
	m := Fit(fruit(), 3, course)
	all, err := m.Encode(classes, 0, classify.Digest{})
	require.NoError(t, err)
	fewer, err := m.Encode(classes, 1, classify.Digest{})
	require.NoError(t, err)
	assert.Less(t, len(fewer), len(all))
	some := learned(t, course, 1)
	assert.Greater(t, probabilities(some, words("yellow", "long"))[1], 0.5, "what matters is kept")
}

func TestTheDigestTellsExamplesAndCoursesApart(t *testing.T) {
	t.Parallel()
	was := DigestOf(fruit(), classes, course)
	data, err := Fit(fruit(), 3, course).Encode(classes, 0, was)
	require.NoError(t, err)
	from, err := From(data)
	require.NoError(t, err)
	assert.Equal(t, was, from)
	for cut := range len(classify.Form) + len(was) {
		_, err := From(data[:cut])
		assert.Error(t, err, cut)
	}
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
	data, err := Fit(examples, 3, Course{Rounds: 2, Rate: 1, AtLeast: 2}).Encode(classes, 0, classify.Digest{})
	require.NoError(t, err)
	l, err := classify.Decode(data)
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
	data, err := Fit(fruit(), 3, course).Encode(classes, 0, classify.Digest{})
	require.NoError(t, err)
	_, err = classify.Decode(data[:len(data)-classify.WeightSize])
	assert.ErrorIs(t, err, classify.ErrForm)
	_, err = classify.Decode(append(slices.Clone(data), 0, 0, 0))
	assert.ErrorIs(t, err, classify.ErrForm)
	// The file ends in where the weights of each feature end, and the weights; the
	// numbers of bytes of both stand in its head.
	head := len(classify.Form) + len(classify.Digest{}) + 8
	size := func(i int) int { return int(binary.LittleEndian.Uint32(data[head+4*i:])) }
	weights := len(data) - size(3)
	ends := weights - size(2)
	blot := func(from, to int) *classify.Learned {
		damaged := slices.Clone(data)
		for i := from; i < to; i++ {
			damaged[i] = 0xff
		}
		l, err := classify.Decode(damaged)
		require.NoError(t, err)
		return l
	}
	_, known := blot(ends, weights).Scores(words("yellow", "long"))
	assert.Zero(t, known, "every feature ends where there is nothing")
	l := blot(weights, len(data)) // every weight is of a class that is not there
	scores, _ := l.Scores(words("yellow", "long"))
	unknown, _ := l.Scores(words("never seen"))
	assert.Equal(t, unknown, scores)
}

func TestNamesHaveToMatchTheClasses(t *testing.T) {
	t.Parallel()
	_, err := Fit(fruit(), 3, Course{Rounds: 1, Rate: 1, AtLeast: 1}).Encode(classes[:2], 0, classify.Digest{})
	assert.ErrorContains(t, err, "2 names for 3 classes")
}

// FuzzDecode: whatever a file holds, it is read or refused, and what was read can be
// asked.
func FuzzDecode(f *testing.F) {
	data, err := Fit(fruit(), 3, Course{Rounds: 2, Rate: 1, AtLeast: 1}).Encode(classes, 0, classify.Digest{})
	if err != nil {
		f.Fatal(err)
	}
	f.Add(data)
	f.Add(data[:len(data)-1])
	f.Add([]byte(classify.Form))
	f.Add([]byte(nil))
	f.Fuzz(func(t *testing.T, data []byte) {
		l, err := classify.Decode(data)
		if err != nil {
			return
		}
		scores, _ := l.Scores(words("yellow", "round", "never seen"))
		if len(scores) != len(l.Classes()) {
			t.Fatalf("%d scores for %d classes", len(scores), len(l.Classes()))
		}
	})
}
