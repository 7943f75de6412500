package present

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strconv"
)

// JSON writes a value for other programs.
func JSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(v); err != nil {
		return fmt.Errorf("printing JSON: %w", err)
	}
	return nil
}

// OrEmpty makes a list that is not there an empty one: [] in JSON, not null.
func OrEmpty[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}

// known is a pointer to a figure to ten digits, or nil where there is none.
func known(x float64) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	const digits = 10
	if short, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', digits, 64), 64); err == nil {
		x = short
	}
	return &x
}
