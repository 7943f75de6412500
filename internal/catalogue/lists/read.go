// Package lists owns makers' lists of parts as people keep them: tables in files. It
// takes lists into the team's catalogues, reads what lies there, puts it together
// with what notes say of parts, and gives parts out as a list again. It is the room
// of the catalogue that reads and writes files; what a row means is known to parts.
package lists

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"path/filepath"
	"strings"

	"kg/internal/note"
	"kg/internal/parts"
	"kg/internal/place"
)

// Folder is where the lists of parts lie among the folders of notes.
const Folder = "catalogue"

// Found is what the lists of one source of notes hold.
type Found struct {
	Parts    []*parts.Part // of the rows that can be used
	Problems []place.Problem
	Rows     int      // usable or not
	Files    []string // of the lists, as parts and problems name them
	Hashes   []string // a line for each list, of its name and what is in it
}

// Read reads the lists of a source, row by row. What is wrong with a row is
// reported and the others are used; a list whose header cannot be used is left out
// whole. Root stands before the names of the files. The error is that of the context,
// or that the folder of lists cannot be read.
func Read(ctx context.Context, fsys fs.FS, root string) (Found, error) {
	var found Found
	entries, err := fs.ReadDir(fsys, Folder)
	if errors.Is(err, fs.ErrNotExist) {
		return found, nil
	}
	if err != nil {
		return found, err
	}
	for _, e := range entries {
		if !strings.HasSuffix(e.Name(), ".csv") || strings.HasPrefix(e.Name(), ".") {
			continue
		}
		file := path.Join(Folder, e.Name())
		if err := found.read(ctx, fsys, file, filepath.Join(root, filepath.FromSlash(file))); err != nil {
			return found, err
		}
	}
	return found, nil
}

// read reads one list, which is named shown.
func (f *Found) read(ctx context.Context, fsys fs.FS, file, shown string) (err error) {
	f.Files = append(f.Files, shown)
	report := func(at place.Pos, rule, format string, args ...any) {
		p := place.Problemf(at, rule, format, args...)
		p.Grade = note.Broken
		f.Problems = append(f.Problems, p)
	}
	in, err := fsys.Open(file)
	if err != nil {
		report(place.Pos{File: shown}, "unreadable", "cannot be read: %v", err)
		return nil
	}
	defer func() { err = errors.Join(err, in.Close()) }()
	hash := sha256.New()
	text := io.TeeReader(in, hash)
	defer func() {
		io.Copy(io.Discard, text) // what was not read counts in the hash too
		f.Hashes = append(f.Hashes, fmt.Sprintf("catalogue %q %x\n", shown, hash.Sum(nil)))
	}()
	rows, err := parts.NewRows(text, parts.Reading{File: shown})
	if err != nil {
		report(place.Pos{File: shown, Line: 1}, "catalogue-header", "%v", err)
		return nil
	}
	const most = 50
	wrong := 0
	err = each(ctx, rows, func(p *parts.Part) error {
		f.Rows++
		f.Parts = append(f.Parts, p)
		return nil
	}, func(p *place.Problem) error {
		f.Rows++
		if wrong++; wrong <= most {
			report(p.Pos, p.Rule, "%s", p.Message)
		}
		return nil
	})
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case err != nil:
		report(place.Pos{File: shown}, "catalogue-unreadable", "%v", err)
	case wrong > most:
		report(place.Pos{File: shown}, "catalogue-row", "%d more rows cannot be used", wrong-most)
	}
	return nil
}

// each calls use with every part and wrong with every row that is none.
func each(ctx context.Context, rows *parts.Rows, use func(*parts.Part) error, wrong func(*place.Problem) error) error {
	for n := 0; ; n++ {
		if n%1000 == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		p, err := rows.Next()
		var problem *place.Problem
		switch {
		case err == io.EOF:
			return nil
		case errors.As(err, &problem):
			err = wrong(problem)
		case err == nil:
			err = use(p)
		}
		if err != nil {
			return err
		}
	}
}
