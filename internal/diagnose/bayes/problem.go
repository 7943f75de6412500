// Package bayes owns exact inference: the probability of evidence and the
// marginal of every variable in a discrete Bayesian network, with general
// tables, noisy-OR and noisy-MAX. Its functions are pure; it uses only the
// standard library and compiles to js/wasm.
//
// A network and its evidence become a Problem, a product of small non-negative
// functions. A Problem becomes a Tree of clusters (Lauritzen and Spiegelhalter
// 1988; Shafer and Shenoy 1990), and one sweep up and one down the tree give
// everything at once. What many causes do to one effect is a Chain that
// accumulates them one by one: it adds and multiplies non-negative numbers only,
// so that nothing cancels, however many findings are positive.
package bayes

import (
	"errors"
	"fmt"
	"math"

	"kg/internal/portable"
)

// Problem is a product of non-negative functions of discrete variables. Cards
// holds the number of states of each variable.
type Problem struct {
	Cards  []int
	Tables []Table
	Chains []Chain
}

// Table is a function of some variables: one number for each combination of
// their states, those of the last variable next to each other.
type Table struct {
	Vars []int
	P    []float64
}

// Chain accumulates what several variables do to one effect: a hidden state
// starts as Start says and is moved by each step in turn. The steps have to
// commute: their order is the solver's to choose. A chain with End weighs its
// last state; one without hands it to the variable Into.
type Chain struct {
	Start []float64
	Steps []Step
	End   []float64
	Into  int
}

// Step is what one variable does to the state of a chain: for each of its
// states a square matrix, the new states of one old state next to each other. An
// empty matrix leaves the state as it is.
type Step struct {
	Var  int
	Move [][]float64
}

// ErrImpossible says that what was found cannot happen in the network.
var ErrImpossible = errors.New("the findings contradict the network: one of them has to be wrong, or a probability of 0 or 1 too sharp")

// TooWide says that a problem is too large for exact inference.
type TooWide struct {
	Width int   // variables in the largest cluster
	Bytes int64 // memory that this cluster would take
}

func (e *TooWide) Error() string {
	return fmt.Sprintf("exact inference would take %.3g MiB for a cluster of %d variables: leave findings out, or accept an approximation", float64(e.Bytes)/(1<<20), e.Width)
}

// Scaled is a number too small for a float64: Mantissa times 2 to the power of
// Exponent.
type Scaled struct {
	Mantissa float64
	Exponent int
}

// Float returns the number; what is too small becomes 0.
func (s Scaled) Float() float64 { return math.Ldexp(s.Mantissa, s.Exponent) }

// Log returns the natural logarithm, of 0 minus infinity.
func (s Scaled) Log() float64 {
	return portable.Log(s.Mantissa) + float64(float64(s.Exponent)*math.Ln2)
}

func (s Scaled) times(f float64) Scaled {
	m, e := math.Frexp(s.Mantissa * f)
	return Scaled{m, s.Exponent + e}
}

// check reports what does not fit together.
func (p Problem) check() error {
	for i, c := range p.Cards {
		if c < 1 {
			return fmt.Errorf("variable %d has %d states: give it at least one", i, c)
		}
	}
	for i, t := range p.Tables {
		if err := p.checkTable(t); err != nil {
			return fmt.Errorf("table %d: %w", i, err)
		}
	}
	for i, c := range p.Chains {
		if err := p.checkChain(c); err != nil {
			return fmt.Errorf("chain %d: %w", i, err)
		}
	}
	return nil
}

func (p Problem) checkTable(t Table) error {
	size := 1
	for i, v := range t.Vars {
		if v < 0 || v >= len(p.Cards) {
			return fmt.Errorf("there is no variable %d", v)
		}
		for _, w := range t.Vars[:i] {
			if v == w {
				return fmt.Errorf("variable %d stands in it twice", v)
			}
		}
		size *= p.Cards[v]
	}
	if len(t.P) != size {
		return fmt.Errorf("%d numbers where the variables have %d combinations", len(t.P), size)
	}
	return nonNegative(t.P)
}

func (p Problem) checkChain(c Chain) error {
	n := len(c.Start)
	if n == 0 {
		return errors.New("it has no state")
	}
	if c.End != nil && len(c.End) != n || c.End == nil && (c.Into < 0 || c.Into >= len(p.Cards) || p.Cards[c.Into] != n) {
		return fmt.Errorf("its %d states do not fit where it ends", n)
	}
	if err := errors.Join(nonNegative(c.Start), nonNegative(c.End)); err != nil {
		return err
	}
	for _, s := range c.Steps {
		if s.Var < 0 || s.Var >= len(p.Cards) || len(s.Move) != p.Cards[s.Var] {
			return fmt.Errorf("the step of variable %d needs one matrix for each of its states", s.Var)
		}
		for _, m := range s.Move {
			if len(m) != 0 && len(m) != n*n {
				return fmt.Errorf("the step of variable %d: %d numbers where %d states need %d", s.Var, len(m), n, n*n)
			}
			if err := nonNegative(m); err != nil {
				return err
			}
		}
	}
	return nil
}

func nonNegative(numbers []float64) error {
	for _, x := range numbers {
		if !(x >= 0) || math.IsInf(x, 1) {
			return fmt.Errorf("%v is not a probability or a weight: numbers from 0 on, please", x)
		}
	}
	return nil
}
