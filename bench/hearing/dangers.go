package main

import (
	"slices"

	"kg/internal/hear"
)

// stopped reports whether words stop the work, for sure or until a question is
// answered, with what to do first.
func stopped(h hear.Heard) bool {
	return h.Danger != nil && !slices.ContainsFunc(h.Danger.All(), func(d *hear.Danger) bool { return len(d.First) == 0 })
}

func stopsForSure(h hear.Heard) bool { return stopped(h) && h.Danger.Sure }

func asks(h hear.Heard) bool { return h.Danger != nil && !h.Danger.Sure }

// named reports whether the danger that is meant is one of those that are named.
func named(s said) bool {
	return stopped(s.Heard) && slices.ContainsFunc(s.Danger.All(), func(d *hear.Danger) bool { return d.Symptom == s.id() })
}

// dangerHeard is how many dangers stop the work or ask, with what to do first.
func dangerHeard(heard []said) tally {
	return counted(heard, func(s said) bool { return stopped(s.Heard) })
}

func dangerRows(heard []said) table {
	return table{
		{"dangers that stop or ask, with first steps", dangerHeard(heard).share(), goalDangerHeard},
		{"  that stop for sure", counted(heard, func(s said) bool { return stopsForSure(s.Heard) }).share(), goal{}},
		{"  that ask", counted(heard, func(s said) bool { return stopped(s.Heard) && asks(s.Heard) }).share(), goal{}},
		{"  that name the danger which is meant", counted(heard, named).share(), goal{}},
	}
}

// harmlessStops is how many sentences without a danger stop the work for sure.
func harmlessStops(heard []said) tally {
	return counted(heard, func(s said) bool { return s.Danger != nil && s.Danger.Sure })
}

func harmlessRows(heard []said) table {
	return table{
		{"harmless look-alikes that stop for sure", harmlessStops(heard).share(), goalHarmlessStops},
		{"harmless look-alikes that ask", counted(heard, func(s said) bool { return asks(s.Heard) }).share(), goalHarmlessAsks},
	}
}
