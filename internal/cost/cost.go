// Package cost owns what a plan assumes about work and being wrong, in minutes of paid
// work: the usual figures, and a team's own with their reasons. Package table below keeps
// these in a file.
package cost

import (
	"slices"

	"kg/internal/note"
)

// Name is what something costs. Beside those below, each state of an appliance that a
// step needs is one (note.Preparation): the way into it and back.
type Name string

// The names.
const (
	Call      Name = "call"       // handing over to somebody who finds it
	Visit     Name = "visit"      // somebody else comes who knows what to do
	WrongPart Name = "wrong-part" // a new part was not the right one
	Danger    Name = "danger"     // the price of risk for each danger of a step
	Warning   Name = "warning"    // the same for each warning
	Step      Name = "step"       // the least that any step takes
)

// Item is what one thing costs.
type Item struct {
	Name    Name    `json:"cost"`
	Minutes float64 `json:"minutes"` // of paid work
	Usual   float64 `json:"usual"`
	About   string  `json:"about"`
	// Reason is why the team sets it otherwise; empty where it does not.
	Reason string `json:"reason,omitempty"`
}

// Own reports whether a team sets it otherwise than usual.
func (i Item) Own() bool { return i.Minutes != i.Usual }

// usual are all costs as they are unless a team says otherwise. No source: our own
// assumptions, which only weigh steps against each other.
var usual = []Item{
	{Name: Call, Minutes: 360, About: "handing the job over: another visit, with all the work of finding it"},
	{Name: Visit, Minutes: 120, About: "a visit of somebody who may do what the asker may not, and knows what to do"},
	{Name: WrongPart, Minutes: 60, About: "a new part that was not the right one, beyond the part and the work: the way for another, and the customer's day"},
	{Name: Danger, Minutes: 5, About: "the price of risk for each danger of a step"},
	{Name: Warning, Minutes: 2, About: "the price of risk for each warning of a step"},
	{Name: Step, Minutes: 1, About: "the least that any step takes"},
	{Name: Name(note.CaseOff), Minutes: 5, About: "taking the case off and putting it back"},
	{Name: Name(note.SupplyOff), Minutes: 3, About: "isolating electrics, proving dead, restoring"},
	{Name: Name(note.GasOff), Minutes: 2, About: "shutting the gas and opening it again"},
	{Name: Name(note.WaterOff), Minutes: 5, About: "shutting the water and opening it again"},
	{Name: Name(note.Drained), Minutes: 20, About: "draining and filling again"},
	{Name: Name(note.Cold), Minutes: 15, About: "waiting until it has cooled"},
	{Name: Name(note.Running), Minutes: 2, About: "bringing it to run"},
	{Name: Name(note.Reset), Minutes: 3, About: "resetting a lockout, once, and watching what it does"},
}

// Names are all names, in the order in which they are listed.
func Names() []Name {
	var out []Name
	for _, u := range usual {
		out = append(out, u.Name)
	}
	return out
}

// Costs are the costs of a team. The zero value is the usual ones.
type Costs struct{ own []Item }

// Team are the costs with those that a team sets itself.
func Team(own []Item) Costs { return Costs{own} }

// Of is what something costs, in minutes of paid work; 0 for a name that is not one.
func (c Costs) Of(n Name) float64 {
	for _, list := range [][]Item{c.own, usual} {
		if at := slices.IndexFunc(list, func(i Item) bool { return i.Name == n }); at >= 0 {
			return list[at].Minutes
		}
	}
	return 0
}

// All are all costs, the team's own with their reasons.
func (c Costs) All() []Item {
	out := slices.Clone(usual)
	for i, u := range out {
		out[i].Usual = u.Minutes
		if at := slices.IndexFunc(c.own, func(o Item) bool { return o.Name == u.Name }); at >= 0 {
			out[i].Minutes, out[i].Reason = c.own[at].Minutes, c.own[at].Reason
		}
	}
	return out
}

// Own are the costs that the team sets otherwise than usual.
func (c Costs) Own() []Item {
	return slices.DeleteFunc(c.All(), func(i Item) bool { return !i.Own() })
}
