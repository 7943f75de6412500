package bayes_test

import (
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/bench/discrete"
	"kg/internal/diagnose/bayes"
)

// The polybox of de Kleer and Williams 1987, "Diagnosing multiple faults": three
// multipliers M1 = A*C, M2 = B*D, M3 = C*E, two adders A1 = M1 + M2, A2 = M2 + M3;
// inputs 3, 2, 2, 3, 3; seen 10 and 12. A part that is broken puts out anything.
// Inputs from memory, results as published.
type polybox struct {
	discrete.Network
	parts   []int // M1, M2, M3, A1, A2
	x, y, z int
	f, g    int
}

const (
	most  = 12 // of what a multiplier puts out
	total = 2*most + 1
)

func newPolybox(broken float64) polybox {
	var p polybox
	add := func(n discrete.Node) int {
		p.Nodes = append(p.Nodes, n)
		return len(p.Nodes) - 1
	}
	states := func(n int) []string {
		out := make([]string, n)
		for i := range out {
			out[i] = string(rune('a' + i))
		}
		return out
	}
	for range 5 {
		p.parts = append(p.parts, add(discrete.Node{States: []string{"ok", "broken"}, Table: []float64{1 - broken, broken}}))
	}
	multiplier := func(part, product int) int {
		table := make([]float64, 2*(most+1))
		table[product] = 1
		for i := range most + 1 {
			table[most+1+i] = 1.0 / (most + 1)
		}
		return add(discrete.Node{States: states(most + 1), Parents: []int{part}, Table: table})
	}
	adder := func(part, a, b int) int {
		table := make([]float64, 2*(most+1)*(most+1)*total)
		for i := range most + 1 {
			for k := range most + 1 {
				table[(i*(most+1)+k)*total+i+k] = 1
				for sum := range total {
					table[((most+1+i)*(most+1)+k)*total+sum] = 1.0 / total
				}
			}
		}
		return add(discrete.Node{States: states(total), Parents: []int{part, a, b}, Table: table})
	}
	p.x, p.y, p.z = multiplier(p.parts[0], 3*2), multiplier(p.parts[1], 2*3), multiplier(p.parts[2], 2*3)
	p.f, p.g = adder(p.parts[3], p.x, p.y), adder(p.parts[4], p.y, p.z)
	return p
}

// explains reports whether what was seen can be when exactly some parts are broken.
func (p polybox) explains(t *testing.T, broken uint) bool {
	findings := []discrete.Finding{p.Seen(p.f, 10), p.Seen(p.g, 12)}
	for i, part := range p.parts {
		findings = append(findings, p.Seen(part, int(broken>>i&1)))
	}
	_, err := p.Infer(findings)
	if errors.Is(err, bayes.ErrImpossible) {
		return false
	}
	require.NoError(t, err)
	return true
}

func TestMinimalDiagnosesOfThePolyboxAreThePublishedOnes(t *testing.T) {
	t.Parallel()
	p := newPolybox(0.01)
	const m1, m2, m3, a1, a2 = 1, 2, 4, 8, 16
	var minimal []uint
	for set := range uint(32) {
		if !p.explains(t, set) {
			continue
		}
		least := true
		for i := range 5 {
			if set>>i&1 == 1 && p.explains(t, set&^(1<<i)) {
				least = false
			}
		}
		if least {
			minimal = append(minimal, set)
		}
	}
	assert.ElementsMatch(t, []uint{a1, m1, a2 | m2, m2 | m3}, minimal)
}

// The best place to measure next is where least is known of what will be seen.
func TestBestProbeOfThePolyboxIsThePublishedOne(t *testing.T) {
	t.Parallel()
	p := newPolybox(0.01)
	known, err := p.Infer([]discrete.Finding{p.Seen(p.f, 10), p.Seen(p.g, 12)})
	require.NoError(t, err)
	entropy := func(node int) float64 {
		h := 0.0
		for _, q := range known.Marginals[node] {
			if q > 0 {
				h -= q * math.Log2(q)
			}
		}
		return h
	}
	assert.Greater(t, entropy(p.x), entropy(p.y))
	assert.Greater(t, entropy(p.x), entropy(p.z))
}
