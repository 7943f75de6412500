package parts

import (
	"fmt"

	"kg/internal/note"
)

// Class is what a part keeps people safe from. It is known once lists and notes are
// put together: the class of its type counts then before what its list says of it, so
// that a list can add to that and take nothing away.
func (p *Part) Class() note.Safety { return p.Safety }

// refusal says why a part may not stand in for one that keeps people safe.
func refusal(s note.Safety) string {
	what := map[note.Safety]string{
		note.Gas: "it holds gas back", note.Relief: "it lets pressure or heat out before something bursts",
		note.TemperatureLimit: "it is what stops overheating or scalding", note.Combustion: "it is part of safe combustion",
		note.PressureSensing: "it proves that air or water is there",
	}[s]
	return fmt.Sprintf("safety part (%s): %s. Only the maker's own number, or one the maker approves in writing, goes in; "+
		"no note says so of this one. Look in the maker's instructions", s, what)
}
