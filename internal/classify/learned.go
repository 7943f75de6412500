package classify

import (
	"crypto/sha256"
	"encoding/binary"
	"errors"
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
}

// Digest says what weights were learned from.
type Digest [sha256.Size]byte

// Form begins a file of weights. There follow, with the lowest byte of a number first:
// the digest; what a weight of 1 stands for (8 bytes); the number of classes, and the
// lengths of their names, of the features and of the weights in bytes (4 each); the
// bias of each class and its share of the examples (4 each); the names, a line each;
// the features in order (4 each), where the weights of each end (4 each), and the
// weights.
const Form = "kg learned 1\n"

// WeightSize is the length of a weight in a file: the number of its class in 2 bytes,
// and itself in 1.
const WeightSize = 3

// ErrForm says that a file does not hold weights, or not all of them.
var ErrForm = errors.New("is not a file of learned weights of this version: make it anew with go generate")

// Decode reads a file of weights; they stay in data.
func Decode(data []byte) (*Learned, error) {
	const digested = len(Form) + sha256.Size
	const header = digested + 8 + 4*4
	if len(data) < header || string(data[:len(Form)]) != Form {
		return nil, ErrForm
	}
	l := &Learned{unit: math.Float64frombits(binary.LittleEndian.Uint64(data[digested:]))}
	var sizes [4]int
	for i := range sizes {
		sizes[i] = int(binary.LittleEndian.Uint32(data[digested+8+4*i:]))
	}
	classes, names, features, weights := sizes[0], sizes[1], sizes[2], sizes[3]
	rest := data[header:]
	if len(rest) != 8*classes+names+2*features+weights || features%4 != 0 || weights%WeightSize != 0 {
		return nil, ErrForm
	}
	value := func(i int) float64 { return float64(math.Float32frombits(binary.LittleEndian.Uint32(rest[4*i:]))) }
	for i := range classes {
		l.bias, l.shares = append(l.bias, value(i)), append(l.shares, value(classes+i))
	}
	rest = rest[8*classes:]
	l.classes = strings.Split(string(rest[:names]), "\n")
	if len(l.classes) != classes {
		return nil, ErrForm
	}
	rest = rest[names:]
	l.features, l.ends, l.weights = rest[:features], rest[features:2*features], rest[2*features:]
	return l, nil
}

// Classes are the names of the classes, in the order of the scores.
func (l *Learned) Classes() []string { return l.classes }

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
			if from > to || int(to) > len(l.weights) || from%WeightSize != 0 || to%WeightSize != 0 {
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
	value := float64(Share(len(rows)) * l.unit)
	for _, row := range rows {
		for i := 0; i < len(row); i += WeightSize {
			k := int(binary.LittleEndian.Uint16(row[i:]))
			if k >= len(scores) {
				continue // damaged
			}
			scores[k] += float64(value * float64(int8(row[i+2])))
		}
	}
	return scores, len(rows)
}
