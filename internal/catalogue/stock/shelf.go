package stock

import (
	"fmt"
	"strings"

	"kg/internal/catalogue"
	"kg/internal/parts"
)

// Shelf is the stock as it is seen from one van.
type Shelf struct {
	Lines []Line
	Van   string // empty where nobody says which is theirs
}

// Today says of parts that are ordered today where each is.
func (s Shelf) Today(list []catalogue.TodayPart) {
	for i := range list {
		list[i].Stock = s.where(list[i].ID)
	}
}

// Answer says where the parts of a look-up are.
func (s Shelf) Answer(a *catalogue.PartAnswer) {
	s.Today(a.Today)
	for _, f := range a.Found {
		for _, set := range f.Today {
			for k := range set.Items {
				set.Items[k].Stock = s.where(set.Items[k].ID)
			}
		}
	}
}

// where says where a part is: on your van, on a colleague's, or to be ordered; ""
// where no stock is kept.
func (s Shelf) where(id parts.ID) string {
	if len(s.Lines) == 0 {
		return ""
	}
	var others []string
	for _, l := range s.Lines {
		switch {
		case l.ID != id:
		case s.Van != "" && strings.EqualFold(l.Van, s.Van):
			return fmt.Sprintf("on your van (%d)", l.Count)
		default:
			others = append(others, fmt.Sprintf("%s (%d)", l.Van, l.Count))
		}
	}
	switch {
	case len(others) > 0 && s.Van != "":
		return "on a colleague's van: " + strings.Join(others, ", ")
	case len(others) > 0:
		return "on van " + strings.Join(others, ", ")
	}
	return "order"
}
