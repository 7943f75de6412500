package parts

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"kg/internal/note"
	"kg/internal/place"
)

// Next returns the next part, io.EOF after the last. A *place.Problem is about one row,
// which is left out; the next call goes on after it. Any other error ends the
// file.
func (r *Rows) Next() (*Part, error) {
	for {
		record, err := r.csv.Read()
		if err == io.EOF {
			return nil, io.EOF
		}
		var parse *csv.ParseError
		switch {
		case errors.As(err, &parse) && parse.StartLine != parse.Line && errors.Is(err, csv.ErrQuote):
			return nil, fmt.Errorf("%s:%d: the quote that is opened here is not closed as it should be, line %d: what follows cannot be told apart: double each quote inside a cell, or take it out",
				r.reading.File, parse.StartLine, parse.Line)
		case errors.As(err, &parse):
			return nil, problemf(place.Pos{File: r.reading.File, Line: parse.Line}, "bad-quote", "a quote stands inside a cell: put the cell in quotes and double those within")
		case err != nil:
			return nil, fmt.Errorf("reading %s: %w", r.reading.File, err)
		}
		if len(record) == 1 && strings.TrimSpace(record[0]) == "" {
			continue
		}
		p, problem := r.part(record)
		if problem != nil {
			return nil, problem
		}
		return p, nil
	}
}

func problemf(at place.Pos, rule, format string, args ...any) *place.Problem {
	p := place.Problemf(at, rule, format, args...)
	return &p
}

func (r *Rows) part(record []string) (*Part, *place.Problem) {
	line, _ := r.csv.FieldPos(0)
	where := place.Pos{File: r.reading.File, Line: line}
	if len(record) != len(r.columns) {
		return nil, problemf(where, "row-length", "the row has %d cells, the header has %d: fill in what is missing, or quote what holds a %q", len(record), len(r.columns), r.csv.Comma)
	}
	p := &Part{Where: where}
	cells := map[Column]string{}
	at := map[Column]int{}
	for i, cell := range record {
		c := r.columns[i]
		if c == "" {
			continue
		}
		if rule, message := badCell(cell); rule != "" {
			return nil, problemf(r.at(record, i), rule, "%s: %s", c, message)
		}
		cells[c], at[c] = strings.TrimSpace(cell), i
	}
	for c, text := range r.reading.Defaults {
		if cells[c] == "" {
			cells[c] = text
		}
	}
	for _, c := range Columns() {
		if err := r.set(p, c, cells[c]); err != nil {
			if i, ok := at[c]; ok {
				where = r.at(record, i)
			}
			return nil, problemf(where, "bad-"+string(c), "%s: %v", c, err)
		}
	}
	for i := range p.By {
		p.By[i].Where = p.Where
	}
	for i := range p.Claims {
		p.Claims[i].Where = p.Where
		if p.Claims[i].Source == "" {
			p.Claims[i].Source = p.Source
		}
	}
	return p, nil
}

func (r *Rows) at(record []string, i int) place.Pos {
	return place.OfCell(r.csv, r.reading.File, record, i)
}

var signedFigure = regexp.MustCompile(`^[+-]?[0-9.,]+$`)

// Formula reports whether a spreadsheet would take a cell for a formula.
func Formula(s string) bool {
	s = strings.TrimLeft(s, " ")
	return strings.HasPrefix(s, "\t") || strings.IndexAny(s, "=+-@") == 0 && !signedFigure.MatchString(strings.TrimSpace(s))
}

// badCell says what is wrong with the text of a cell, whatever its column.
func badCell(s string) (rule, message string) {
	switch {
	case len(s) > mostCell:
		return "long-cell", fmt.Sprintf("the cell has %d bytes, at most %d can be: is a quote missing?", len(s), mostCell)
	case !utf8.ValidString(s):
		return "not-utf8", "the cell is not UTF-8 text: save the file as UTF-8, or say what it is with --encoding windows-1252"
	case strings.ContainsAny(s, "\r\n"):
		return "line-break", "the cell holds a line break: put it on one line"
	case Formula(s):
		return "formula", fmt.Sprintf("a spreadsheet would run %q: write it without the sign in front", shortened(s))
	case strings.ContainsFunc(s, unicode.IsControl):
		return "control-character", "the cell holds a character that cannot be printed: take it out"
	}
	return "", ""
}

func shortened(s string) string {
	const most = 40
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "..."
	}
	return s
}

// shared keeps one copy of texts that many rows have.
func (r *Rows) shared(s string) string {
	if have, ok := r.strings[s]; ok {
		return have
	}
	s = strings.Clone(s)
	r.strings[s] = s
	return s
}

// dearestPart and largestPart bound a price, in minutes of paid work, and the
// slots that a part takes.
const (
	dearestPart = 100_000
	largestPart = 1_000
)

func (r *Rows) set(p *Part, c Column, text string) (err error) {
	switch c {
	case columnNumber:
		p.Number = strings.Clone(text)
		if KeyOf(text) == "" {
			return fmt.Errorf("%q is not a part number: it has no letter or digit", text)
		}
		if strings.ContainsAny(text, "|[]:;") || strings.Contains(text, andSeparator) || counted.MatchString(text) {
			return fmt.Errorf("%q holds a character that stands between numbers in other columns: leave out | [ ] : ; and +", text)
		}
	case columnMaker:
		p.Maker = r.shared(text)
		if p.ID = IDOf(text, p.Number); p.ID == "" {
			return errors.New("it is empty: name the maker")
		}
		if strings.ContainsAny(text, "|[]:;") {
			return fmt.Errorf("%q holds a character that stands between numbers in other columns: leave out | [ ] : and ;", text)
		}
	case columnType:
		p.Type = r.shared(text)
		if !applianceID.MatchString(text) {
			return fmt.Errorf("%q is not a valid id of a component: `kg list components` names them", text)
		}
	case columnName:
		p.Name = r.shared(text)
	case columnStatus:
		p.Status = note.Status(strings.ToLower(text))
		if p.Status != "" && !slices.Contains(note.Statuses(), p.Status) {
			return fmt.Errorf("it cannot be %q: choose from %s", text, note.Choices(note.Statuses()))
		}
	case columnFits:
		p.Fits, err = parseFits(text)
		for i := range p.Fits {
			p.Fits[i].Appliance = r.shared(p.Fits[i].Appliance)
		}
	case columnAttributes:
		p.Attributes, err = parseAttributes(text)
		for i := range p.Attributes {
			p.Attributes[i] = Attribute{r.shared(p.Attributes[i].Name), r.shared(p.Attributes[i].Text)}
		}
	case columnBy:
		p.By, err = parseSuccessions(p.Maker, text)
		if len(p.By) > 0 && p.Status == "" {
			p.Status = note.Superseded
		}
	case columnInterchange:
		p.Claims, err = parseClaims(text)
	case columnSafety:
		p.Safety = note.Safety(strings.ToLower(text))
		if p.Safety != note.NoSafety && !slices.Contains(note.Safeties(), p.Safety) {
			return fmt.Errorf("it cannot be %q: choose from %s", text, note.Choices(note.Safeties()))
		}
	case columnContains:
		if text != "" {
			p.Contains, err = items(p.Maker, text)
		}
	case columnPrice:
		p.Price, err = wholeNumber(text, dearestPart, "minutes of paid work")
	case columnSpace:
		p.Space, err = wholeNumber(text, largestPart, "slots")
	case columnDate:
		if text != "" {
			if _, err := time.Parse(time.DateOnly, text); err != nil {
				return fmt.Errorf("%q is not a date: write it like 2026-01-31", text)
			}
		}
		p.Date = r.shared(text)
	case columnSource:
		p.Source = r.shared(text)
	}
	return err
}

func wholeNumber(s string, most int, what string) (int, error) {
	if s == "" {
		return 0, nil
	}
	n, err := strconv.Atoi(s)
	if err != nil || n < 1 || n > most {
		return 0, fmt.Errorf("%q is not a number of %s: write a whole number from 1 to %d", s, what, most)
	}
	return n, nil
}

// Row returns the cells of a part, in the order of Columns. Reading them gives the
// same part again. A cell that a spreadsheet would run cannot be in it: such cells
// are not read either.
func (p *Part) Row() []string {
	amount := func(n int) string {
		if n == 0 {
			return ""
		}
		return strconv.Itoa(n)
	}
	claims := slices.Clone(p.Claims)
	for i := range claims {
		if claims[i].Source == p.Source {
			claims[i].Source = ""
		}
	}
	return []string{p.Number, p.Maker, p.Type, p.Name, string(p.Status), fitsText(p.Fits), attributesText(p.Attributes),
		successionsText(p.By), claimsText(claims), string(p.Safety), itemsText(p.Contains), amount(p.Price), amount(p.Space), p.Date, p.Source}
}

// Header returns the first row of a catalogue.
func Header() []string {
	var out []string
	for _, c := range Columns() {
		out = append(out, string(c))
	}
	return out
}

// same reports whether two parts say the same, wherever they are written and
// whatever the date of their lists.
func (p *Part) same(o *Part) bool {
	a, b := *p, *o
	a.Date, b.Date, a.Number, b.Number = "", "", string(a.ID), string(b.ID)
	return slices.Equal(a.Row(), b.Row())
}
