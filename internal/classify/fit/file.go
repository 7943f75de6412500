package fit

import (
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"kg/internal/classify"
)

// DigestOf is the digest of a course and the examples that it goes through.
func DigestOf(examples []Example, classes []string, c Course) classify.Digest {
	h := sha256.New()
	fmt.Fprintf(h, "%+v\n%q\n", c, classes)
	for _, x := range examples {
		fmt.Fprintln(h, x.Class, x.Weight, x.Features)
	}
	return classify.Digest(h.Sum(nil))
}

// From is the digest of what the weights of a file were learned from.
func From(data []byte) (classify.Digest, error) {
	rest, ok := strings.CutPrefix(string(data[:min(len(data), len(classify.Form)+sha256.Size)]), classify.Form)
	if !ok || len(rest) < sha256.Size {
		return classify.Digest{}, errors.New("it does not begin as a file of learned weights")
	}
	return classify.Digest([]byte(rest)), nil
}

// Encode writes the weights of a model that are at least some size, each in a byte,
// with the digest of what they were learned from.
func (m *Model) Encode(classes []string, least float64, from classify.Digest) ([]byte, error) {
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
	out := append([]byte(classify.Form), from[:]...)
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
