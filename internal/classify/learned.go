package classify

import (
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
)

// Learned are the weights that matter, as they are kept with a program. They are read
// where they lie.
type Learned struct {
	classes  []string
	bias     []float64
	shares   []float64 // of the examples
	features []byte    // 4 bytes each, in order
	ends     []byte    // 4 bytes each: where the weights of a feature end
	weights  []byte    // of a class: its number in 2 bytes, and the weight in 1
	unit     float64   // what a weight of 1 stands for
	digest   Digest
}

// Digest says what weights were learned from.
type Digest [sha256.Size]byte

// DigestOf is the digest of a course and the examples that it goes through.
func DigestOf(examples []Example, classes []string, c Course) Digest {
	h := sha256.New()
	fmt.Fprintf(h, "%+v\n%q\n", c, classes)
	for _, x := range examples {
		fmt.Fprintln(h, x.Class, x.Weight, x.Features)
	}
	return Digest(h.Sum(nil))
}

const (
	magic      = "kg learned 1\n"
	weightSize = 3
)

// Encode writes the weights of a model that are at least some size, each in a byte,
// with the digest of what they were learned from.
func (m *Model) Encode(classes []string, least float64, from Digest) ([]byte, error) {
	if len(classes) != m.classes {
		return nil, fmt.Errorf("there are %d names for %d classes", len(classes), m.classes)
	}
	if m.classes > math.MaxUint16 {
		return nil, fmt.Errorf("%d classes are more than the form of the file allows", m.classes)
	}
	largest := 0.0
	for _, w := range m.weights {
		largest = max(largest, math.Abs(float64(w)))
	}
	unit := max(largest, 1e-6) / math.MaxInt8
	least = max(least, unit/2)
	var features, ends, weights []byte
	for row, f := range m.features {
		before := len(weights)
		for k, w := range m.weights[row*m.classes:][:m.classes] {
			if math.Abs(float64(w)) < least {
				continue
			}
			weights = binary.LittleEndian.AppendUint16(weights, uint16(k))
			weights = append(weights, byte(int8(math.Round(float64(w)/unit))))
		}
		if len(weights) > before {
			features = binary.LittleEndian.AppendUint32(features, uint32(f))
			ends = binary.LittleEndian.AppendUint32(ends, uint32(len(weights)))
		}
	}
	names := strings.Join(classes, "\n")
	out := append([]byte(magic), from[:]...)
	out = binary.LittleEndian.AppendUint64(out, math.Float64bits(unit))
	for _, n := range []int{len(classes), len(names), len(features), len(weights)} {
		out = binary.LittleEndian.AppendUint32(out, uint32(n))
	}
	for _, values := range [][]float32{m.bias, m.shares} {
		for _, x := range values {
			out = binary.LittleEndian.AppendUint32(out, math.Float32bits(x))
		}
	}
	return slices.Concat(out, []byte(names), features, ends, weights), nil
}

var errForm = errors.New("is not a file of learned weights of this version: make it anew with go generate")

// Decode reads what Encode has written; the weights stay in data.
func Decode(data []byte) (*Learned, error) {
	const digested = len(magic) + sha256.Size
	const header = digested + 8 + 4*4
	if len(data) < header || string(data[:len(magic)]) != magic {
		return nil, errForm
	}
	l := &Learned{unit: math.Float64frombits(binary.LittleEndian.Uint64(data[digested:])), digest: Digest(data[len(magic):digested])}
	var sizes [4]int
	for i := range sizes {
		sizes[i] = int(binary.LittleEndian.Uint32(data[digested+8+4*i:]))
	}
	classes, names, features, weights := sizes[0], sizes[1], sizes[2], sizes[3]
	rest := data[header:]
	if len(rest) != 8*classes+names+2*features+weights || features%4 != 0 || weights%weightSize != 0 {
		return nil, errForm
	}
	value := func(i int) float64 { return float64(math.Float32frombits(binary.LittleEndian.Uint32(rest[4*i:]))) }
	for i := range classes {
		l.bias, l.shares = append(l.bias, value(i)), append(l.shares, value(classes+i))
	}
	rest = rest[8*classes:]
	l.classes = strings.Split(string(rest[:names]), "\n")
	if len(l.classes) != classes {
		return nil, errForm
	}
	rest = rest[names:]
	l.features, l.ends, l.weights = rest[:features], rest[features:2*features], rest[2*features:]
	return l, nil
}

// Classes are the names of the classes, in the order of the scores.
func (l *Learned) Classes() []string { return l.classes }

// LearnedFrom is the digest of what the weights were learned from.
func (l *Learned) LearnedFrom() Digest { return l.digest }

// Shares are the shares that the classes had among the examples, which the
// probabilities hold as what was known beforehand.
func (l *Learned) Shares() []float64 { return l.shares }

// row is the weights of a feature; empty if it is not known.
func (l *Learned) row(f Feature) []byte {
	low, high := 0, len(l.features)/4
	for low < high {
		middle := (low + high) / 2
		switch got := Feature(binary.LittleEndian.Uint32(l.features[4*middle:])); {
		case got == f:
			from := uint32(0)
			if middle > 0 {
				from = binary.LittleEndian.Uint32(l.ends[4*middle-4:])
			}
			to := binary.LittleEndian.Uint32(l.ends[4*middle:])
			if from > to || int(to) > len(l.weights) || from%weightSize != 0 || to%weightSize != 0 {
				return nil // a damaged file; to go through all of it first would take longer than to listen
			}
			return l.weights[from:to]
		case got < f:
			low = middle + 1
		default:
			high = middle
		}
	}
	return nil
}

// Scores are the scores of all classes for some features. Known is how many of them
// the weights know.
func (l *Learned) Scores(features []Feature) (scores []float64, known int) {
	scores = slices.Clone(l.bias)
	rows := make([][]byte, 0, len(features))
	for _, f := range features {
		if row := l.row(f); len(row) > 0 {
			rows = append(rows, row)
		}
	}
	value := float64(share(len(rows)) * l.unit)
	for _, row := range rows {
		for i := 0; i < len(row); i += weightSize {
			k := int(binary.LittleEndian.Uint16(row[i:]))
			if k >= len(scores) {
				continue // damaged
			}
			scores[k] += float64(value * float64(int8(row[i+2])))
		}
	}
	return scores, len(rows)
}
