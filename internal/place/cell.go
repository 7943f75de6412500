package place

import (
	"encoding/csv"
	"strings"
	"unicode/utf8"
)

// OfCell is the place of cell i of the record that was read last; columns count
// characters. A cell that the record does not have stands for the line as a whole.
func OfCell(in *csv.Reader, file string, record []string, i int) Pos {
	if i < 0 || i >= len(record) {
		line, _ := in.FieldPos(0)
		return Pos{File: file, Line: line}
	}
	line, column := in.FieldPos(i)
	for j, before := range record[:i] {
		if at, _ := in.FieldPos(j); at+strings.Count(before, "\n") != line {
			continue // it ends above
		}
		before = before[strings.LastIndex(before, "\n")+1:]
		column -= len(before) - utf8.RuneCountInString(before)
	}
	return Pos{File: file, Line: line, Column: column}
}
