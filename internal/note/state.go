package note

import (
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"
)

// State is something that an appliance is or is not while somebody works on it: what was
// found tells of it, and work and symptoms may be possible only in one.
type State string

// The states.
const (
	Powered     State = "powered"     // it has its supply
	Demanded    State = "demanded"    // something calls for heat
	Firing      State = "firing"      // its burner, or its compressor, is at work
	Circulating State = "circulating" // a pump moves its water
	Hot         State = "hot"         // its water is hot
	Pressurised State = "pressurised" // its water is under the pressure that it needs
	LockedOut   State = "locked out"  // it waits for a reset
	Tripped     State = "tripped"     // its circuit breaker or RCD does not stay in
)

// States returns the states in the order of their list.
func States() []State {
	return []State{Powered, Demanded, Firing, Circulating, Hot, Pressurised, LockedOut, Tripped}
}

// Condition says that an appliance is in a state, or that it is not. It is written as the
// state, or with "not" before it.
type Condition struct {
	State State
	Not   bool
}

func (c Condition) String() string {
	if c.Not {
		return "not " + string(c.State)
	}
	return string(c.State)
}

// MarshalText writes a condition as notes do.
func (c Condition) MarshalText() ([]byte, error) { return []byte(c.String()), nil }

// UnmarshalText reads what MarshalText has written.
func (c *Condition) UnmarshalText(text []byte) error {
	state, not := strings.CutPrefix(string(text), "not ")
	*c = Condition{State(state), not}
	return nil
}

// Conditions returns all conditions, as messages name them.
func Conditions() []string {
	var out []string
	for _, s := range States() {
		out = append(out, Condition{State: s}.String(), Condition{State: s, Not: true}.String())
	}
	return out
}

// implied are the conditions that follow from one.
var implied = map[Condition][]Condition{
	{State: Tripped}:             {{State: Powered, Not: true}},
	{State: Powered, Not: true}:  {{State: Firing, Not: true}, {State: Circulating, Not: true}},
	{State: Firing}:              {{State: Powered}, {State: Tripped, Not: true}, {State: LockedOut, Not: true}},
	{State: Circulating}:         {{State: Powered}, {State: Tripped, Not: true}},
	{State: LockedOut}:           {{State: Firing, Not: true}},
	{State: Demanded, Not: true}: {{State: Firing, Not: true}},
	{State: Powered}:             {{State: Tripped, Not: true}},
}

// Closed are some conditions with all that follows from them.
func Closed(list []Condition) []Condition {
	out := slices.Clone(list)
	for i := 0; i < len(out); i++ {
		for _, c := range implied[out[i]] {
			if !slices.Contains(out, c) {
				out = append(out, c)
			}
		}
	}
	return out
}

// Denies reports whether a condition says the opposite of another one.
func (c Condition) Denies(other Condition) bool { return c.State == other.State && c.Not != other.Not }

// Requires is what an appliance has to be for some work to be done: as its note says, and
// as what it is to be prepared for.
func (w Work) Requires() []Condition {
	out := slices.Clone(w.Needs)
	for _, p := range w.Prepare {
		if p == Running {
			out = append(out, Condition{State: Powered}, Condition{State: LockedOut, Not: true})
		}
	}
	return out
}

func conditions(to *[]Condition) reader {
	return func(d *decoder, n *yaml.Node) {
		for _, item := range d.list(n) {
			if s, ok := choice(d, item, Conditions()); ok {
				var c Condition
				_ = c.UnmarshalText([]byte(s)) // a choice is one
				*to = append(*to, c)
			}
		}
	}
}
