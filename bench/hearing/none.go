package main

import (
	"fmt"

	"kg/bench/sharing"
	"kg/internal/advise"
)

// noneRows say how many sentences that mean nothing get causes.
func (c crew) noneRows(file string) (table, error) {
	rows, err := sentences(file, 1)
	if err != nil {
		return nil, err
	}
	causes, err := sharing.Map(c, rows, func(l listener, s said) (int, error) {
		a, err := advise.Ask(l.ctx, l.lib, advise.Question{Text: s.text, Work: 1})
		if err != nil {
			return 0, fmt.Errorf("asking %q: %w", s.text, err)
		}
		return len(a.Causes), nil
	})
	return table{{"none-of-these that get causes", counted(causes, func(n int) bool { return n > 0 }).share(), goalNoneCaused}}, err
}
