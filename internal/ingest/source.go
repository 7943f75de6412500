package ingest

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"kg/internal/catalogue/lists"
	"kg/internal/lint"
	"kg/internal/note"
	"kg/internal/parts"
	"kg/internal/place"
)

// Source is one collection of notes: a folder with a folder for each kind.
type Source struct {
	// Name is shown with every note that comes from here, such as "shipped".
	Name string
	// Root stands before the path of each note in messages; it may be empty.
	Root string
	// Folder is where the notes are on disk; empty for those in the program.
	Folder string
	FS     fs.FS
}

// Reading is all that was found in some sources, before the rules across notes.
type Reading struct {
	Notes    []*note.Note
	LeftOut  []lint.LeftOut
	Problems []place.Problem
	// Rows are the parts of all catalogues, RowsOf how many rows the catalogues of
	// each root have, usable or not.
	Rows   []*parts.Part
	RowsOf map[string]int
	// Files is the number of note files found, usable or not; FilesOf the same by
	// the root of their source.
	Files   int
	FilesOf map[string]int

	hashes []string       // of the catalogues
	rank   map[string]int // of their sources, by the names of the files
}

// Read parses all notes of the sources, in their order. What cannot be read or
// parsed becomes a problem and does not stop the rest.
func Read(ctx context.Context, sources []Source) (Reading, error) {
	r := Reading{FilesOf: map[string]int{}, RowsOf: map[string]int{}, rank: map[string]int{}}
	for rank, s := range sources {
		files, err := s.files()
		if err != nil {
			return r, fmt.Errorf("reading the notes of %s: %w", s.Name, err)
		}
		for _, f := range files {
			if err := ctx.Err(); err != nil {
				return r, fmt.Errorf("reading notes: %w", err)
			}
			r.add(s, f)
		}
		found, err := lists.Read(ctx, s.FS, s.Root)
		if err != nil {
			return r, fmt.Errorf("reading the catalogues of %s: %w", s.Name, err)
		}
		r.Rows = append(r.Rows, found.Parts...)
		r.RowsOf[s.Root] += found.Rows
		r.Problems = append(r.Problems, found.Problems...)
		r.hashes = append(r.hashes, found.Hashes...)
		for _, file := range found.Files {
			r.rank[file] = rank
		}
	}
	return r, nil
}

func (r *Reading) add(s Source, file string) {
	r.Files++
	r.FilesOf[s.Root]++
	shown := filepath.Join(s.Root, filepath.FromSlash(file))
	text, err := fs.ReadFile(s.FS, file)
	if err != nil {
		r.Problems = append(r.Problems, place.Problem{
			Pos: place.Pos{File: shown}, Rule: "unreadable", Grade: note.Broken, Message: fmt.Sprintf("cannot be read: %v", err)})
		r.leave(file)
		return
	}
	n, problems := note.Parse(shown, text)
	r.Problems = append(r.Problems, problems...)
	if n == nil {
		r.leave(file)
		return
	}
	n.Source = s.Name
	r.Notes = append(r.Notes, n)
}

func (r *Reading) leave(file string) {
	r.LeftOut = append(r.LeftOut, lint.LeftOut{ID: note.ID(strings.TrimSuffix(path.Base(file), ".md"))})
}

// files lists the notes of a source: Markdown files in the folders at its top.
// Files that lie beside these folders, such as a README, are not notes.
func (s Source) files() ([]string, error) {
	folders, err := fs.ReadDir(s.FS, ".")
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("there is no folder %s: make it, or name another", s.Root)
	}
	if err != nil {
		return nil, err
	}
	var out []string
	for _, folder := range folders {
		if strings.HasPrefix(folder.Name(), ".") {
			continue
		}
		if info, err := fs.Stat(s.FS, folder.Name()); err != nil || !info.IsDir() {
			continue
		}
		entries, err := fs.ReadDir(s.FS, folder.Name())
		if err != nil {
			// Going on would leave out a whole kind, and all that mentions it.
			return nil, fmt.Errorf("the folder %s cannot be read: %w", filepath.Join(s.Root, folder.Name()), err)
		}
		for _, e := range entries {
			if strings.HasSuffix(e.Name(), ".md") && !strings.HasPrefix(e.Name(), ".") {
				out = append(out, path.Join(folder.Name(), e.Name()))
			}
		}
	}
	slices.Sort(out)
	return out, nil
}

// Review reads the sources and applies the rules across notes.
func Review(ctx context.Context, sources []Source) (lint.Verdict, Reading, error) {
	r, err := Read(ctx, sources)
	if err != nil {
		return lint.Verdict{}, r, err
	}
	v := lint.Check(r.Notes, r.LeftOut)
	// Lists of a source of higher rank prevail; within one, the later date does.
	v.AddParts(lists.Assemble(v.Kept, r.Rows, func(p *parts.Part) int { return r.rank[p.Where.File] }))
	v.Problems = append(slices.Clone(r.Problems), v.Problems...)
	return v, r, nil
}

// Under reports whether a note lies in a folder of notes.
func Under(folder, file string) bool {
	rel, err := filepath.Rel(folder, file)
	return err == nil && filepath.IsLocal(rel)
}
