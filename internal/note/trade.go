package note

import "slices"

// Status is whether a number can still be ordered; empty where nobody says.
type Status string

const (
	Current    Status = "current"
	Superseded Status = "superseded"
	// Withdrawn is no longer made, and nothing takes its place.
	Withdrawn Status = "withdrawn"
)

// Statuses returns the valid values.
func Statuses() []Status { return []Status{Current, Superseded, Withdrawn} }

// Grade is how much a claim of interchange promises.
type Grade string

const (
	Identical    Grade = "identical"    // the same part under another number
	WithAdapter  Grade = "with-adapter" // fits with what the claim says it needs
	ByAttributes Grade = "by-attributes"
)

// Grades returns the valid values, the strongest first.
func Grades() []Grade { return []Grade{Identical, WithAdapter, ByAttributes} }

// Rank is 0 for the strongest promise and grows as it gets weaker.
func (g Grade) Rank() int { return slices.Index(Grades(), g) }

// Weaker returns the one of two grades that promises less.
func (g Grade) Weaker(o Grade) Grade {
	if o.Rank() > g.Rank() {
		return o
	}
	return g
}

// Safety is what a part keeps people safe from. A part with one is exchanged for
// what its maker says, and for nothing else.
type Safety string

const (
	NoSafety         Safety = ""
	Gas              Safety = "gas"
	Relief           Safety = "relief"
	TemperatureLimit Safety = "temperature-limit"
	Combustion       Safety = "combustion"
	PressureSensing  Safety = "pressure-sensing"
)

// Safeties returns the classes of parts that keep people safe.
func Safeties() []Safety {
	return []Safety{Gas, Relief, TemperatureLimit, Combustion, PressureSensing}
}

// SafetyOfType is what parts of a component type keep people safe from: what its
// note says, or else the nearest of the wider types that it belongs to. component
// returns the type of an id, or nil.
func SafetyOfType(id ID, component func(ID) *Component) Safety {
	types := []ID{id}
	for i := 0; i < len(types); i++ {
		c := component(types[i])
		if c == nil {
			continue
		}
		if c.Safety != NoSafety {
			return c.Safety
		}
		for _, wider := range c.IsA {
			if !slices.Contains(types, wider) {
				types = append(types, wider)
			}
		}
	}
	return NoSafety
}
