// Package table owns the file of a team's costs: a small table that a person can read and
// edit, changed by one command at a time and replaced in one step.
package table

import (
	"bufio"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"slices"
	"strconv"
	"strings"

	"kg/internal/cost"
	"kg/internal/durable"
	"kg/internal/place"
	"kg/internal/spell"
)

// File is where a team keeps its costs: a table with the columns of heading.
type File struct{ Path string }

var heading = []string{"cost", "minutes", "reason"}

// most bounds a figure, in minutes of paid work.
const most = 10_000

// Read returns the costs of the file; the usual ones where there is none. A row that
// cannot be used is an error that names its place.
func (f File) Read() (cost.Costs, error) {
	in, err := os.Open(f.Path)
	if errors.Is(err, fs.ErrNotExist) {
		return cost.Costs{}, nil
	}
	if err != nil {
		return cost.Costs{}, fmt.Errorf("reading the costs: %w", err)
	}
	defer in.Close()
	c, err := parse(in, f.Path)
	if err != nil {
		return cost.Costs{}, fmt.Errorf("reading the costs: %w: mend it, or move the file away", err)
	}
	return c, nil
}

func parse(r io.Reader, file string) (cost.Costs, error) {
	text := bufio.NewReader(r)
	if mark, err := text.Peek(3); err == nil && string(mark) == "\ufeff" {
		text.Discard(3)
	}
	in := csv.NewReader(text)
	in.FieldsPerRecord = -1
	var own []cost.Item
	for first := true; ; first = false {
		row, err := in.Read()
		if err == io.EOF {
			return cost.Team(own), nil
		}
		if err != nil {
			return cost.Costs{}, fmt.Errorf("%s: %w", file, err)
		}
		at := func(i int) place.Pos { return place.OfCell(in, file, row, i) }
		if len(row) != len(heading) {
			return cost.Costs{}, place.Problemf(at(-1), "row-length", "the row has %d cells, it should have %s", len(row), strings.Join(heading, ", "))
		}
		for i := range row {
			row[i] = strings.TrimSpace(row[i])
		}
		if first {
			if !slices.EqualFunc(row, heading, strings.EqualFold) {
				return cost.Costs{}, place.Problemf(at(-1), "heading", "the first row has to be %s", strings.Join(heading, ","))
			}
			continue
		}
		item, err := itemOf(row[0], row[1], row[2])
		var wrong *Refused
		if errors.As(err, &wrong) {
			return cost.Costs{}, place.Problemf(at(wrong.Part), "bad-cost", "%s", wrong.Text)
		}
		if slices.ContainsFunc(own, func(o cost.Item) bool { return o.Name == item.Name }) {
			return cost.Costs{}, place.Problemf(at(0), "twice", "%s stands there twice: leave one out", item.Name)
		}
		own = append(own, item)
	}
}

// Refused says what is wrong with the name, the minutes or the reason of a cost, which are
// numbered from 0.
type Refused struct {
	Part int
	Text string
}

func (e *Refused) Error() string { return e.Text }

// itemOf is a cost as it was typed.
func itemOf(name, minutes, reason string) (cost.Item, error) {
	n := cost.Name(strings.ToLower(strings.TrimSpace(name)))
	if !slices.Contains(cost.Names(), n) {
		var valid []string
		for _, v := range cost.Names() {
			valid = append(valid, string(v))
		}
		text := fmt.Sprintf("%q is not a cost: one of %s", name, strings.Join(valid, ", "))
		if near, ok := spell.Nearest(string(n), valid); ok {
			text = fmt.Sprintf("%q is not a cost: did you mean %s?", name, near)
		}
		return cost.Item{}, &Refused{0, text}
	}
	x, err := strconv.ParseFloat(strings.Replace(strings.TrimSpace(minutes), ",", ".", 1), 64)
	if err != nil || !(x >= 0 && x <= most) {
		return cost.Item{}, &Refused{1, fmt.Sprintf("%q is not a number of minutes of paid work from 0 to %d", minutes, most)}
	}
	reason = strings.Join(strings.Fields(reason), " ")
	if reason == "" {
		return cost.Item{}, &Refused{2, "say why: a figure without a reason helps nobody who comes after"}
	}
	return cost.Item{Name: n, Minutes: x, Reason: reason}, nil
}

// Set sets a cost, with the reason for it. It returns the costs as they are then.
func (f File) Set(ctx context.Context, name, minutes, reason string) (cost.Costs, error) {
	item, err := itemOf(name, minutes, reason)
	if err != nil {
		return cost.Costs{}, err
	}
	return f.change(ctx, func(own []cost.Item) []cost.Item {
		return append(slices.DeleteFunc(own, func(o cost.Item) bool { return o.Name == item.Name }), item)
	})
}

// Usual takes the team's own figure of a cost away. It returns the costs as they are
// then.
func (f File) Usual(ctx context.Context, name string) (cost.Costs, error) {
	item, err := itemOf(name, "0", "as usual")
	if err != nil {
		return cost.Costs{}, err
	}
	return f.change(ctx, func(own []cost.Item) []cost.Item {
		return slices.DeleteFunc(own, func(o cost.Item) bool { return o.Name == item.Name })
	})
}

// change reads the file, changes its costs and replaces it, one command at a time.
func (f File) change(ctx context.Context, how func([]cost.Item) []cost.Item) (cost.Costs, error) {
	unlock, err := durable.Lock(ctx, f.Path)
	if err != nil {
		return cost.Costs{}, fmt.Errorf("changing the costs: %w", err)
	}
	defer unlock()
	was, err := f.Read()
	if err != nil {
		return was, err
	}
	own := how(was.Own())
	err = durable.Write(f.Path, 0o644, func(w io.Writer) error {
		out := csv.NewWriter(w)
		rows := [][]string{heading}
		for _, i := range own {
			rows = append(rows, []string{string(i.Name), strconv.FormatFloat(i.Minutes, 'g', -1, 64), i.Reason})
		}
		return out.WriteAll(rows)
	})
	if err != nil {
		return was, fmt.Errorf("keeping the costs: %w", err)
	}
	return cost.Team(own), nil
}
