package library

import "kg/internal/parts"

// Part returns the part with an id, nil if there is none. It is shared.
func (l *Library) Part(id parts.ID) (*parts.Part, error) {
	return read(l, func() (*parts.Part, error) { return l.parts.Get(id) })
}

// Numbered returns the ids of the parts whose number has a normal form.
func (l *Library) Numbered(key parts.Key) ([]parts.ID, error) {
	return read(l, func() ([]parts.ID, error) { return l.parts.Numbered(key) })
}

// Grouped returns the ids of the parts whose number has a form in which the zeros
// that begin its groups are left out.
func (l *Library) Grouped(form parts.Key) ([]parts.ID, error) {
	return read(l, func() ([]parts.ID, error) { return l.parts.Grouped(form) })
}

// Alike returns the ids of the parts whose number has a form in which letters that
// are taken for digits are one with them.
func (l *Library) Alike(form parts.Key) ([]parts.ID, error) {
	return read(l, func() ([]parts.ID, error) { return l.parts.Alike(form) })
}

// OfType returns the ids of all parts of a component type, or of those that say
// they fit an appliance.
func (l *Library) OfType(component, appliance string) ([]parts.ID, error) {
	return read(l, func() ([]parts.ID, error) { return l.parts.OfType(component, appliance) })
}

// Beside returns the ids of parts whose numbers stand next to a normal form in
// order, at most some before it and some after.
func (l *Library) Beside(key parts.Key, some int) ([]parts.ID, error) {
	return read(l, func() ([]parts.ID, error) { return l.parts.Beside(key, some) })
}

// Makers are the makers of all parts, as their lists write them.
func (l *Library) Makers() ([]string, error) {
	return read(l, func() ([]string, error) { return l.parts.Makers() })
}

// EachPart calls f with every part of the library, by id.
func (l *Library) EachPart(f func(*parts.Part) error) error {
	return l.guard(func() error { return l.parts.Each(f) })
}

// PartCount is how many parts there are.
func (l *Library) PartCount() int { return l.parts.Count() }
