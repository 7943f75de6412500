package parts

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strconv"
	"strings"
	"unicode"
)

// Column is a column of a catalogue, by the name in its header.
type Column string

const (
	columnNumber      Column = "number"
	columnMaker       Column = "maker"
	columnType        Column = "type"
	columnName        Column = "name"
	columnStatus      Column = "status"
	columnFits        Column = "fits"
	columnAttributes  Column = "attributes"
	columnBy          Column = "superseded-by"
	columnInterchange Column = "interchange"
	columnSafety      Column = "safety"
	columnContains    Column = "contains"
	columnPrice       Column = "price"
	columnSpace       Column = "space"
	columnDate        Column = "date"
	columnSource      Column = "source"
)

// Columns returns the columns of a catalogue, in the order in which it is written.
func Columns() []Column {
	return []Column{columnNumber, columnMaker, columnType, columnName, columnStatus, columnFits, columnAttributes, columnBy,
		columnInterchange, columnSafety, columnContains, columnPrice, columnSpace, columnDate, columnSource}
}

// Reading says how a file that others wrote is read.
type Reading struct {
	// File names the file in messages.
	File string
	// Map gives the headings of the file their columns; headings that are not in it
	// and are no column are passed over if Foreign is set, and else a problem.
	Map     map[string]Column
	Foreign bool
	// Defaults fill in columns that a row leaves empty.
	Defaults map[Column]string
}

// Rows reads a catalogue row by row.
type Rows struct {
	reading Reading
	csv     *csv.Reader
	columns []Column // by their place; empty for those that are passed over
	strings map[string]string
}

// errHeader is wrapped by errors that say the header makes the file unreadable.
var errHeader = errors.New("the header")

// mostCell bounds the length of one cell, in bytes.
const mostCell = 10_000

// NewRows reads the header of a catalogue. The text is UTF-8; cells are parted by
// commas, semicolons or tabs, whichever the header has most of.
func NewRows(r io.Reader, how Reading) (*Rows, error) {
	in := bufio.NewReaderSize(r, 1<<16)
	if mark, err := in.Peek(3); err == nil && string(mark) == "\ufeff" {
		in.Discard(3)
	}
	head, err := in.Peek(1 << 12)
	if err != nil && err != io.EOF && err != bufio.ErrBufferFull {
		return nil, fmt.Errorf("reading %s: %w", how.File, err)
	}
	first, _, _ := strings.Cut(string(head), "\n")
	rows := &Rows{reading: how, csv: csv.NewReader(in), strings: map[string]string{}}
	rows.csv.Comma = separatorOf(first)
	rows.csv.FieldsPerRecord = -1
	rows.csv.ReuseRecord = true
	record, err := rows.csv.Read()
	if err == io.EOF {
		return nil, fmt.Errorf("%w of %s is missing, the file is empty: begin it with number,maker,type and what else it has", errHeader, how.File)
	}
	if err != nil {
		return nil, fmt.Errorf("%w of %s cannot be read: %w: mend its quotes", errHeader, how.File, err)
	}
	return rows, rows.header(record)
}

func separatorOf(line string) rune {
	best, most := ',', strings.Count(line, ",")
	for _, c := range []rune{';', '\t'} {
		if n := strings.Count(line, string(c)); n > most {
			best, most = c, n
		}
	}
	return best
}

func (r *Rows) header(record []string) error {
	mapped := map[string]Column{}
	// In order, so that of two mistakes it is always the same that is told.
	headings := slices.Sorted(maps.Keys(r.reading.Map))
	for _, heading := range headings {
		c := r.reading.Map[heading]
		if !slices.Contains(Columns(), c) {
			return fmt.Errorf("%w: there is no column %q to map %q to: columns are %s", errHeader, c, heading, columnNames())
		}
		mapped[foldedHeading(heading)] = c
	}
	found := map[string]bool{}
	for i, heading := range record {
		name := foldedHeading(heading)
		c, ok := mapped[name]
		if ok {
			found[name] = true
		} else if slices.Contains(Columns(), Column(name)) {
			c = Column(name)
		} else if !r.reading.Foreign {
			return fmt.Errorf("%w of %s has a column %q that is unknown%s: columns are %s", errHeader, r.reading.File, strings.TrimSpace(heading), nearestColumn(name), columnNames())
		}
		if c != "" && slices.Contains(r.columns, c) {
			return fmt.Errorf("%w of %s has the column %s twice, the second time as column %d: keep one", errHeader, r.reading.File, c, i+1)
		}
		r.columns = append(r.columns, c)
	}
	for _, heading := range headings {
		if !found[foldedHeading(heading)] {
			return fmt.Errorf("%w of %s has no column %q to map: it has %s", errHeader, r.reading.File, heading, quotedList(record))
		}
	}
	for _, need := range []Column{columnNumber, columnMaker, columnType} {
		if !slices.Contains(r.columns, need) && r.reading.Defaults[need] == "" {
			return fmt.Errorf("%w of %s has no column %s: add it, or map one to it; it has %s", errHeader, r.reading.File, need, quotedList(record))
		}
	}
	return nil
}

func nearestColumn(name string) string {
	for _, c := range Columns() {
		if len(name) > 2 && (strings.HasPrefix(string(c), name[:3]) || strings.Contains(string(c), name)) {
			return fmt.Sprintf(" (did you mean %s?)", c)
		}
	}
	return ""
}

func columnNames() string {
	var out []string
	for _, c := range Columns() {
		out = append(out, string(c))
	}
	return strings.Join(out, ", ")
}

func quotedList(record []string) string {
	out := make([]string, len(record))
	for i, s := range record {
		out[i] = strconv.Quote(strings.TrimSpace(s))
	}
	return strings.Join(out, ", ")
}

func foldedHeading(s string) string {
	s = strings.ToLower(strings.TrimSpace(strings.ToValidUTF8(s, "")))
	return strings.Join(strings.FieldsFunc(s, func(r rune) bool { return unicode.IsSpace(r) || r == '_' || r == '-' }), "-")
}
