package library

import (
	"errors"
	"slices"

	"kg/internal/archive"
	"kg/internal/note"
)

// FirstRepair is the first repair of a mode that has a note and was not tried in
// vain; nil if there is none.
func (l *Library) FirstRepair(m *note.Mode, tried []note.ID) (*note.Remedy, error) {
	for _, id := range m.Repair {
		if slices.Contains(tried, id) {
			continue
		}
		rec, err := l.Get(id)
		if errors.Is(err, archive.ErrNotFound) {
			continue // left out of the library
		}
		if err != nil {
			return nil, err
		}
		if r, ok := rec.Entry.(*note.Remedy); ok {
			return r, nil
		}
	}
	return nil, nil
}

// defaultPrice is that of a part whose component does not say, in minutes of paid
// work. No source: our own assumption.
const defaultPrice = 60

// Price is what the parts of a repair cost, in minutes of paid work.
func (l *Library) Price(uses []note.ID) (float64, error) {
	sum := 0.0
	for _, id := range uses {
		rec, err := l.Get(id)
		if errors.Is(err, archive.ErrNotFound) {
			continue
		}
		if err != nil {
			return 0, err
		}
		c, ok := rec.Entry.(*note.Component)
		switch {
		case !ok:
		case c.Price > 0:
			sum += float64(c.Price)
		default:
			sum += defaultPrice
		}
	}
	return sum, nil
}
