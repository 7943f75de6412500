package lists

import (
	"context"
	"encoding/csv"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"kg/internal/durable"
	"kg/internal/parts"
)

// Each calls a function with part after part, until it fails.
type Each func(func(*parts.Part) error) error

// Wanted says which parts are given out; what is empty does not matter.
type Wanted struct {
	Maker string // in any case
	Type  string // the id of the component
}

// Of goes through those of some parts that are wanted.
func (w Wanted) Of(ctx context.Context, all Each) Each {
	return func(use func(*parts.Part) error) error {
		return all(func(p *parts.Part) error {
			if w.Maker != "" && !strings.EqualFold(p.Maker, w.Maker) || w.Type != "" && p.Type != w.Type {
				return ctx.Err()
			}
			return use(p)
		})
	}
}

// Write writes parts as a list, a row for each, and says how many they are. Import
// takes it in again.
func Write(w io.Writer, all Each) (n int, err error) {
	out := csv.NewWriter(w)
	if err := out.Write(parts.Header()); err != nil {
		return 0, err
	}
	err = all(func(p *parts.Part) error {
		n++
		return out.Write(p.Row())
	})
	out.Flush()
	if err == nil {
		err = out.Error()
	}
	return n, err
}

// WriteFile writes parts as a list into a file, in one step.
func WriteFile(file string, all Each) (n int, err error) {
	if info, err := os.Stat(filepath.Dir(file)); err != nil || !info.IsDir() {
		return 0, fmt.Errorf("there is no folder %s: name a file in one that is there", filepath.Dir(file))
	}
	err = durable.Write(file, 0o644, func(w io.Writer) error {
		n, err = Write(w, all)
		return err
	})
	if err != nil {
		return 0, fmt.Errorf("writing the list: %w", err)
	}
	return n, nil
}
