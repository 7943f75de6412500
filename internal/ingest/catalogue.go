package ingest

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

// CatalogueFolder is where the lists of parts lie among the folders of notes.
const CatalogueFolder = "catalogue"

// catalogues reads the lists of a source, row by row. What is wrong with a row is
// reported and the others are used; a list whose header cannot be used is left out
// whole. Lists of a source of higher rank prevail; within one, the later date does.
func (r *Reading) catalogues(ctx context.Context, s Source, rank int) error {
	entries, err := fs.ReadDir(s.FS, CatalogueFolder)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	for _, e := range entries {
		if !strings.HasSuffix(e.Name(), ".csv") || strings.HasPrefix(e.Name(), ".") {
			continue
		}
		file := path.Join(CatalogueFolder, e.Name())
		shown := filepath.Join(s.Root, filepath.FromSlash(file))
		r.rank[shown] = rank
		if err := r.catalogue(ctx, s, file, shown); err != nil {
			return err
		}
	}
	return nil
}

func (r *Reading) catalogue(ctx context.Context, s Source, file, shown string) (err error) {
	report := func(at place.Pos, rule, message string) {
		r.Problems = append(r.Problems, place.Problem{Pos: at, Rule: rule, Grade: note.Broken, Message: message})
	}
	in, err := s.FS.Open(file)
	if err != nil {
		report(place.Pos{File: shown}, "unreadable", fmt.Sprintf("cannot be read: %v", err))
		return nil
	}
	defer func() { err = errors.Join(err, in.Close()) }()
	hash := sha256.New()
	text := io.TeeReader(in, hash)
	defer func() {
		io.Copy(io.Discard, text) // what was not read counts in the hash too
		r.hashes = append(r.hashes, fmt.Sprintf("catalogue %q %x\n", shown, hash.Sum(nil)))
	}()
	rows, err := parts.NewRows(text, parts.Reading{File: shown})
	if err != nil {
		report(place.Pos{File: shown, Line: 1}, "catalogue-header", err.Error())
		return nil
	}
	const most = 50
	wrong := 0
	for n := 0; ; n++ {
		if n%1000 == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		p, err := rows.Next()
		var problem *place.Problem
		switch {
		case err == io.EOF:
			if wrong > most {
				report(place.Pos{File: shown}, "catalogue-row", fmt.Sprintf("%d more rows cannot be used", wrong-most))
			}
			return nil
		case errors.As(err, &problem):
			r.RowsOf[s.Root]++
			if wrong++; wrong <= most {
				report(problem.Pos, problem.Rule, problem.Message)
			}
		case err != nil:
			report(place.Pos{File: shown}, "catalogue-unreadable", err.Error())
			return nil
		default:
			r.RowsOf[s.Root]++
			r.Rows = append(r.Rows, p)
		}
	}
}
