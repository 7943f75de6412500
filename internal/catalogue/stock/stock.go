// Package stock owns what lies on which van: a table in a text file that a person
// can read and edit, changed by one command at a time and replaced in one step.
package stock

import (
	"bufio"
	"bytes"
	"cmp"
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

	"kg/internal/durable"
	"kg/internal/parts"
	"kg/internal/place"
)

// Line is how many of one part a van has.
type Line struct {
	Van    string   `json:"van"`
	Maker  string   `json:"maker"`
	Number string   `json:"number"`
	Count  int      `json:"count"`
	ID     parts.ID `json:"-"`
}

// most bounds how many of one part a van can have.
const most = 100_000

// File is where the stock is kept.
type File struct{ Path string }

// heading is the first row of the file, and of lists that are taken in.
var heading = []string{"van", "maker", "number", "count"}

// Read returns all lines, by van and part; none where there is no file yet. Beside an
// error stand the lines that can be read all the same: to look at, never to write back.
func (f File) Read() ([]Line, error) {
	in, err := os.Open(f.Path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("reading the stock: %w", err)
	}
	defer in.Close()
	lines, problems, err := parse(in, f.Path)
	if err == nil && len(problems) > 0 {
		err = fmt.Errorf("%w: mend the line, or move the file away", &problems[0])
	}
	if err != nil {
		return lines, fmt.Errorf("reading the stock: %w", err)
	}
	return lines, nil
}

// parse reads a table of stock. Rows that cannot be used come back as problems.
func parse(r io.Reader, file string) ([]Line, []place.Problem, error) {
	text := bufio.NewReader(r)
	if mark, err := text.Peek(3); err == nil && string(mark) == "\ufeff" {
		text.Discard(3)
	}
	in := csv.NewReader(text)
	in.FieldsPerRecord = -1
	head, err := in.Read()
	if err == io.EOF {
		return nil, nil, nil // a file in which nothing stands yet
	}
	if err != nil {
		return nil, nil, fmt.Errorf("%s: the header cannot be read: %w", file, err)
	}
	var columns []int
	for _, want := range heading {
		at := slices.IndexFunc(head, func(h string) bool { return strings.EqualFold(strings.TrimSpace(h), want) })
		if at < 0 {
			return nil, nil, fmt.Errorf("%s has no column %s: its header is to be %s", file, want, strings.Join(heading, ","))
		}
		columns = append(columns, at)
	}
	var lines []Line
	var problems []place.Problem
	for {
		row, err := in.Read()
		if err == io.EOF {
			break
		}
		report := func(column int, rule, format string, args ...any) {
			problems = append(problems, place.Problemf(place.OfCell(in, file, row, column), rule, format, args...))
		}
		var parse *csv.ParseError
		if errors.As(err, &parse) {
			return lines, problems, fmt.Errorf("%s:%d: a quote is not closed, or stands inside a cell: mend it", file, parse.StartLine)
		}
		if err != nil {
			return lines, problems, fmt.Errorf("%s: %w", file, err)
		}
		if len(row) != len(head) {
			report(-1, "row-length", "the row has %d cells, the header has %d", len(row), len(head))
			continue
		}
		cell := func(i int) string { return strings.TrimSpace(row[columns[i]]) }
		l := Line{Van: cell(0), Maker: cell(1), Number: cell(2)}
		if bad := slices.IndexFunc(row, func(s string) bool { return parts.Formula(s) }); bad >= 0 {
			report(bad, "formula", "a spreadsheet would run %q: write it without the sign in front", row[bad])
			continue
		}
		l.ID = parts.IDOf(l.Maker, l.Number)
		n, err := strconv.Atoi(cell(3))
		switch {
		case l.Van == "":
			report(columns[0], "no-van", "the van has no name: fill it in")
			continue
		case l.ID == "":
			report(columns[2], "no-part", "%q of %q is not a part: fill in maker and number", l.Number, l.Maker)
			continue
		case err != nil || n < 0 || n > most:
			report(columns[3], "bad-count", "%q is not a count: write a whole number from 0 to %d", cell(3), most)
			continue
		case slices.ContainsFunc(lines, l.same):
			report(columns[2], "twice", "%s %s on %s stands there twice: add the two up", l.Maker, l.Number, l.Van)
			continue
		}
		l.Count = n
		lines = append(lines, l)
	}
	sortLines(lines)
	return lines, problems, nil
}

// On are the lines of one van, or all of them where none is named.
func On(lines []Line, van string) []Line {
	if van == "" {
		return lines
	}
	return slices.DeleteFunc(slices.Clone(lines), func(l Line) bool { return !strings.EqualFold(l.Van, van) })
}

func (l Line) same(o Line) bool { return l.ID == o.ID && strings.EqualFold(l.Van, o.Van) }

func sortLines(lines []Line) {
	slices.SortFunc(lines, func(a, b Line) int {
		return cmp.Or(strings.Compare(a.Van, b.Van), strings.Compare(a.Maker, b.Maker), strings.Compare(a.Number, b.Number))
	})
}

// change lets a function change the lines, while nobody else does. On an error of
// the function the file stays as it is. Lines with a count of zero are left out.
func (f File) change(ctx context.Context, change func([]Line) ([]Line, error)) error {
	unlock, err := durable.Lock(ctx, f.Path)
	if err != nil {
		return fmt.Errorf("changing the stock: %w", err)
	}
	defer unlock()
	lines, err := f.Read()
	if err != nil {
		return err
	}
	before := slices.Clone(lines)
	if lines, err = change(lines); err != nil {
		return err
	}
	lines = slices.DeleteFunc(lines, func(l Line) bool { return l.Count == 0 })
	sortLines(lines)
	if slices.Equal(before, lines) {
		return nil
	}
	var table bytes.Buffer
	if err := write(&table, lines); err != nil {
		return fmt.Errorf("changing the stock: %w", err)
	}
	// What the next command could not read is not written.
	back, problems, err := parse(bytes.NewReader(table.Bytes()), f.Path)
	if err = errors.Join(err, first(problems)); err == nil && !slices.Equal(back, lines) {
		err = errors.New("a name in it has blanks around it, or breaks its line: write it without")
	}
	if err != nil {
		return &Unreadable{err}
	}
	err = durable.Write(f.Path, 0o600, func(w io.Writer) error {
		_, err := table.WriteTo(w)
		return err
	})
	if err != nil {
		return fmt.Errorf("changing the stock: %w", err)
	}
	return nil
}

// Unreadable says that a change was not made, since the table could not be read with it.
type Unreadable struct{ err error }

func (e *Unreadable) Error() string {
	return fmt.Sprintf("the stock could not be read with that, and was left as it is: %v", e.err)
}

func (e *Unreadable) Unwrap() error { return e.err }

func first(problems []place.Problem) error {
	if len(problems) == 0 {
		return nil
	}
	return &problems[0]
}

// write writes lines as a table.
func write(w io.Writer, lines []Line) error {
	out := csv.NewWriter(w)
	if err := out.Write(heading); err != nil {
		return err
	}
	for _, l := range lines {
		if err := out.Write([]string{l.Van, l.Maker, l.Number, strconv.Itoa(l.Count)}); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// Short says that a van has less of a part than was to be taken.
type Short struct {
	Line
	Wanted int
}

func (e *Short) Error() string {
	if e.Count == 0 {
		return fmt.Sprintf("there is no %s %s on %s: `kg stock` says what is where", e.Maker, e.Number, e.Van)
	}
	return fmt.Sprintf("there %s only %d %s %s on %s, not %d: count them, and `kg stock count` sets it right",
		map[bool]string{true: "is", false: "are"}[e.Count == 1], e.Count, e.Maker, e.Number, e.Van, e.Wanted)
}

// Of is a part on a van, of which none is there yet.
func Of(p *parts.Part, van string) Line {
	return Line{Van: van, Maker: p.Maker, Number: p.Number, ID: p.ID}
}

// Put puts some of a part on a van, or takes some, if n is below zero; the error
// is then a *Short where there are not as many. It returns the line as it is then.
func (f File) Put(ctx context.Context, l Line, n int) (Line, error) {
	err := f.change(ctx, func(lines []Line) (_ []Line, err error) {
		lines, l.Count, err = add(lines, l, n)
		return lines, err
	})
	return l, err
}

// Count sets how many of a part are on a van. It returns the line as it is then.
func (f File) Count(ctx context.Context, l Line, n int) (Line, error) {
	l.Count = n
	err := f.change(ctx, func(lines []Line) ([]Line, error) { return set(lines, l) })
	return l, err
}

// add returns the lines with some more of a part, or with less if n is below zero,
// and how many there are then.
func add(lines []Line, l Line, n int) ([]Line, int, error) {
	at := slices.IndexFunc(lines, l.same)
	if at < 0 {
		l.Count = 0
		lines = append(lines, l)
		at = len(lines) - 1
	}
	now := lines[at].Count + n
	if now < 0 {
		return lines, lines[at].Count, &Short{lines[at], -n}
	}
	if now > most {
		return lines, lines[at].Count, fmt.Errorf("%d are more than a van holds: at most %d", now, most)
	}
	lines[at].Count = now
	return lines, now, nil
}

// set sets how many of a part are on a van.
func set(lines []Line, l Line) ([]Line, error) {
	if l.Count < 0 || l.Count > most {
		return lines, fmt.Errorf("%d is not a count: a whole number from 0 to %d", l.Count, most)
	}
	if at := slices.IndexFunc(lines, l.same); at >= 0 {
		lines[at].Count = l.Count
		return lines, nil
	}
	return append(lines, l), nil
}
