package stock

import (
	"context"
	"fmt"
	"os"

	"kg/internal/place"
)

// Table is a table of counts that is to be taken in.
type Table struct {
	lines    []Line
	problems []place.Problem
}

// ReadTable reads a table of counts from a file.
func ReadTable(file string) (Table, error) {
	in, err := os.Open(file)
	if err != nil {
		return Table{}, fmt.Errorf("taking stock in: %w: name a file that is there", err)
	}
	defer in.Close()
	lines, problems, err := parse(in, file)
	if err != nil {
		return Table{}, fmt.Errorf("taking stock in: %w", err)
	}
	return Table{lines, problems}, nil
}

// Taken is what became of a table of counts. Its JSON form is part of the program's
// interface.
type Taken struct {
	Lines    int             `json:"lines"` // that can be used
	Problems []place.Problem `json:"problems"`
	Written  bool            `json:"written"`
}

// Take sets the counts that a table has; what it does not name stays. If a row of
// the table cannot be used, or on a dry run, nothing is changed.
func (f File) Take(ctx context.Context, t Table, dryRun bool) (Taken, error) {
	out := Taken{Lines: len(t.lines), Problems: t.problems}
	if out.Problems == nil {
		out.Problems = []place.Problem{} // [] in JSON
	}
	if dryRun || len(t.problems) > 0 {
		return out, nil
	}
	err := f.change(ctx, func(lines []Line) ([]Line, error) {
		for _, l := range t.lines {
			var err error
			if lines, err = set(lines, l); err != nil {
				return nil, err
			}
		}
		return lines, nil
	})
	out.Written = err == nil
	return out, err
}
