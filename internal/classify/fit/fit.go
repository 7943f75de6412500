// Package fit owns learning: the weights of package classify above are fitted to
// examples and written. It runs before a release, not in the program.
package fit

import (
	"maps"
	"math"
	"math/rand/v2"
	"slices"

	"kg/internal/classify"
)

// Example is one text of which the class is known.
type Example struct {
	Features []classify.Feature // without repetition
	Class    int
	Weight   float64 // how often it counts; 0 as 1
}

// Course says how to learn.
type Course struct {
	Rounds  int     // how often all examples are gone through
	Rate    float64 // of the first step
	Drop    float64 // probability that a feature is left out of an example, anew each round
	AtLeast int     // of how many examples a feature has to be
	Seed    uint64
}

// Fit learns weights from examples by stochastic gradient with a step that shrinks by
// feature (AdaGrad; Duchi, Hazan and Singer 2011). The same examples and the same
// course give the same weights, to the bit.
func Fit(examples []Example, classes int, c Course) *Model {
	l := learner{Course: c, classes: classes, rows: vocabulary(examples, c.AtLeast), rng: rand.New(rand.NewPCG(c.Seed, 1))}
	l.features = slices.Sorted(maps.Keys(l.rows))
	for i, f := range l.features {
		l.rows[f] = i
	}
	l.weights = make([]float32, len(l.features)*classes)
	l.bias, l.biasSteps = make([]float32, classes), make([]float32, classes)
	l.steps = make([]float32, len(l.features))
	l.scores = make([]float32, classes)
	order := make([]int, len(examples))
	likely := make([][]int, len(examples))
	all := make([]int, classes)
	for i := range order {
		order[i] = i
	}
	for k := range all {
		all[k] = k
	}
	for round := range c.Rounds {
		l.rng.Shuffle(len(order), func(i, j int) { order[i], order[j] = order[j], order[i] })
		whole := round < wholeRounds || (round+1)%wholeEvery == 0
		for _, at := range order {
			l.active(examples[at].Features)
			if whole {
				likely[at] = l.learn(examples[at], all)
			} else {
				l.learn(examples[at], likely[at])
			}
		}
	}
	return &Model{classes: classes, features: l.features, weights: l.weights, bias: l.bias, shares: shares(examples, classes)}
}

// Only in some rounds are all classes gone through; in the others an example's rivals
// are those that were likely in the last of those rounds.
const (
	wholeRounds = 2
	wholeEvery  = 4
	// rival is the probability from which on a class is one.
	rival = 1e-4
	// negligible is the gradient below which a class is left as it is.
	negligible = 5e-4
)

// learner holds weights while they are learned.
type learner struct {
	Course
	classes          int
	features         []classify.Feature
	rows             map[classify.Feature]int
	weights, bias    []float32
	steps, biasSteps []float32 // sums of squares of the gradients of a row, and of a class
	rng              *rand.Rand

	scores []float32
	at     []int // rows of the example's features that are not left out
	p      []float64
}

// active finds the rows of an example's features, leaving some out by chance.
func (l *learner) active(features []classify.Feature) {
	l.at = l.at[:0]
	for _, f := range features {
		row, known := l.rows[f]
		if known && (l.Drop == 0 || l.rng.Float64() >= l.Drop) {
			l.at = append(l.at, row)
		}
	}
}

// learn takes one step among some classes, and returns those that are likely.
func (l *learner) learn(x Example, among []int) []int {
	value := float32(classify.Share(len(l.at)))
	for _, k := range among {
		l.scores[k] = l.bias[k]
	}
	for _, row := range l.at {
		w := l.weights[row*l.classes:][:l.classes]
		if len(among) == l.classes {
			s := l.scores[:len(w)]
			for k, x := range w {
				s[k] += float32(value * x)
			}
			continue
		}
		for _, k := range among {
			l.scores[k] += float32(value * w[k])
		}
	}
	l.p = l.p[:0]
	for _, k := range among {
		l.p = append(l.p, float64(l.scores[k]))
	}
	classify.Probabilities(l.p)
	var likely, changed []int
	var gradients []float32
	square := float32(0)
	for i, q := range l.p {
		k := among[i]
		g := q
		if k == x.Class {
			g = q - 1
		}
		if k == x.Class || q > rival {
			likely = append(likely, k)
		}
		g *= x.weight()
		if math.Abs(g) < negligible {
			continue
		}
		changed, gradients = append(changed, k), append(gradients, float32(g))
		square += float32(float32(g) * float32(g))
	}
	for i, k := range changed {
		g := gradients[i]
		l.biasSteps[k] += float32(g * g)
		l.bias[k] -= float32(l.step(l.biasSteps[k]) * g * biasPart)
	}
	for _, row := range l.at {
		l.steps[row] += float32(square * float32(value*value))
		step := float32(l.step(l.steps[row]) * value)
		w := l.weights[row*l.classes:][:l.classes]
		for i, k := range changed {
			w[k] -= float32(step * gradients[i])
		}
	}
	return likely
}

// weight is how often an example counts.
func (x Example) weight() float64 {
	if x.Weight == 0 {
		return 1
	}
	return x.Weight
}

// shares are the shares that classes have among examples.
func shares(examples []Example, classes int) []float32 {
	of, sum := make([]float64, classes), 0.0
	for _, x := range examples {
		of[x.Class] += x.weight()
		sum += x.weight()
	}
	out := make([]float32, classes)
	for k := range of {
		out[k] = float32(of[k] / sum)
	}
	return out
}

// biasPart is how fast a class's own score is learned, beside the weights: slowly,
// or the most frequent class gets ahead of every word.
const biasPart = 0.1

func (l *learner) step(squares float32) float32 {
	return float32(l.Rate) / float32(1e-3+math.Sqrt(float64(squares)))
}

// vocabulary are the features that are learned: those of enough examples.
func vocabulary(examples []Example, atLeast int) map[classify.Feature]int {
	count := map[classify.Feature]int{}
	for _, x := range examples {
		for _, f := range x.Features {
			count[f]++
		}
	}
	for f, n := range count {
		if n < atLeast {
			delete(count, f)
		}
	}
	return count
}

// Model are dense weights, as they were learned.
type Model struct {
	classes  int
	features []classify.Feature // in order
	weights  []float32          // a row for each feature
	bias     []float32
	shares   []float32 // of the classes among the examples
}

// Scores are the scores of all classes for some features.
func (m *Model) Scores(features []classify.Feature) []float64 {
	out := make([]float64, m.classes)
	var rows []int
	for _, f := range features {
		if at, known := slices.BinarySearch(m.features, f); known {
			rows = append(rows, at)
		}
	}
	value := classify.Share(len(rows))
	for k := range out {
		out[k] = float64(m.bias[k])
	}
	for _, row := range rows {
		for k, w := range m.weights[row*m.classes:][:m.classes] {
			out[k] += float64(value * float64(w))
		}
	}
	return out
}
