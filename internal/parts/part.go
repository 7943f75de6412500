package parts

import (
	"slices"

	"kg/internal/note"
	"kg/internal/place"
)

// Part is one number of one maker.
type Part struct {
	ID     ID     `json:"id"`
	Number string `json:"number"` // as the maker writes it
	Maker  string `json:"maker"`
	// Type is the id of the component type.
	Type   string      `json:"type"`
	Name   string      `json:"name,omitempty"`
	Status note.Status `json:"status,omitempty"`
	Fits   []Fit       `json:"fits,omitempty"`
	// Attributes are what has to agree for another part to be like it.
	Attributes []Attribute `json:"attributes,omitempty"`
	// By is what replaces the part; several are branches.
	By []Succession `json:"superseded_by,omitempty"`
	// Claims are what may stand in for it, as others say.
	Claims []Claim `json:"interchange,omitempty"`
	// Contains is what is in it, if it is a kit.
	Contains []Item      `json:"contains,omitempty"`
	Safety   note.Safety `json:"safety,omitempty"`
	// Price is in minutes of paid work, so that it holds in any money; 0 where it
	// is not said.
	Price int `json:"price,omitempty"`
	// Space is how many slots of a van it takes; 0 where it is not said, and then 1.
	Space int `json:"space,omitempty"`
	// Date is the day on which the list it stands in was issued, as 2026-01-31.
	Date   string    `json:"date,omitempty"`
	Source string    `json:"source,omitempty"`
	Where  place.Pos `json:"where,omitzero"`
	// Note is the id of the note that it is written in; empty for a catalogue.
	Note string `json:"note,omitempty"`
	// Replaces are the numbers that it replaces. It is worked out from the By of
	// those, and written nowhere.
	Replaces []ID `json:"replaces,omitempty"`
}

// Full is how a part is named.
func (p *Part) Full() string { return p.Maker + " " + p.Number }

// Fit is an appliance, or a family of them, that a part is for.
type Fit struct {
	Appliance string `json:"appliance"`
	Serials   Range  `json:"serials,omitzero"`
}

// Item is a part with how many of it.
type Item struct {
	ID     ID     `json:"id"`
	Number string `json:"number"`
	Count  int    `json:"count"`
}

// Succession says that a part is replaced by one or more others, together, for
// some serial numbers of the appliance, with what has to go with them.
type Succession struct {
	By      []Item    `json:"by"`
	Serials Range     `json:"serials,omitzero"`
	Needs   []string  `json:"needs,omitempty"` // an adapter, a harness, a version of software
	Where   place.Pos `json:"where,omitzero"`
}

// Claim says that another part may stand in for this one, and who says so. It
// does not say the reverse.
type Claim struct {
	By     ID         `json:"by"`
	Maker  string     `json:"maker"`
	Number string     `json:"number"`
	Grade  note.Grade `json:"grade"`
	Source string     `json:"source,omitempty"`
	Needs  string     `json:"needs,omitempty"`
	// Approved is set where the maker of the appliance allows it.
	Approved bool      `json:"approved,omitempty"`
	Both     bool      `json:"both_ways,omitempty"` // the reverse holds as well
	Where    place.Pos `json:"where,omitzero"`
}

// A Lookup returns the part with an id, nil if there is none. What it returns is
// shared and must not be changed.
type Lookup func(ID) (*Part, error)

// FitsOn reports whether a part is for one of some appliances, the appliance
// itself and the families it belongs to, with a serial number. An empty serial
// number fits every range. A part that names no appliance fits none for certain.
func (p *Part) FitsOn(appliances []string, s Serial) bool {
	return slices.ContainsFunc(p.Fits, func(f Fit) bool {
		return slices.Contains(appliances, f.Appliance) && (s == "" || f.Serials.Has(s))
	})
}
