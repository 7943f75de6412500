package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"time"

	"kg/internal/generation"
	"kg/internal/ingest"
	"kg/internal/library/disk"
	"kg/internal/present"
)

// open opens the library. Where there is none yet, or it was made by another
// version of the program, which may bring other notes, it is built first.
func (p *program) open(ctx context.Context) (*disk.Library, error) {
	lib, err := disk.Open(p.store())
	switch {
	case errors.Is(err, generation.ErrNone), errors.Is(err, generation.ErrOtherFormat):
		sources, err := p.sources(true, nil)
		if err != nil {
			return nil, err
		}
		return p.buildAndOpen(ctx, sources, identity())
	case err != nil:
		return nil, p.homeUnusable(err)
	}
	m := lib.Manifest()
	if now := identity(); m.Program != now {
		sources, err := p.sourcesOf(m)
		if err != nil {
			return lib, nil // a folder has gone; the library still answers
		}
		if err := lib.Close(); err != nil {
			return nil, err
		}
		return p.buildAndOpen(ctx, sources, now)
	}
	if p.changedSince(m.Built) {
		fmt.Fprintf(p.err, "the notes in %s were changed after the library was built: `kg build` takes them in\n", p.notesFolder())
	}
	return lib, nil
}

func (p *program) buildAndOpen(ctx context.Context, sources []ingest.Source, program string) (*disk.Library, error) {
	outcome, err := p.build(ctx, ingest.Options{Sources: sources, Program: program})
	if err != nil {
		return nil, err
	}
	if n := outcome.Manifest.Counts.LeftOut; n > 0 && !outcome.Unchanged {
		fmt.Fprintf(p.err, "%d broken %s left out: `kg lint` says where\n", n, present.Plural(n, "note was", "notes were"))
	}
	return disk.Open(p.store())
}

// sourcesOf returns the collections that a library was built from.
func (p *program) sourcesOf(m generation.Manifest) ([]ingest.Source, error) {
	shipped := false
	var folders []string
	for _, s := range m.Sources {
		switch {
		case s.Name == sourceShipped:
			shipped = true
		case s.Name != sourceTeam:
			folders = append(folders, s.Folder)
		}
	}
	return p.sources(shipped, folders)
}

// build makes a library, with a line of progress on a terminal.
func (p *program) build(ctx context.Context, o ingest.Options) (ingest.Outcome, error) {
	if terminal(p.err) {
		o.Progress = func(stage string) { fmt.Fprintf(p.err, "\r\x1b[Kbuilding the library: %s ...", stage) }
		defer fmt.Fprint(p.err, "\r\x1b[K")
	}
	outcome, err := ingest.Build(ctx, p.store(), o)
	if err != nil {
		return outcome, p.homeUnusable(fmt.Errorf("building the library: %w", err))
	}
	if outcome.Unchanged && p.verify() != nil {
		// Sizes are right, bytes are not: what was asked for is a library that works.
		o.Again = true
		if outcome, err = ingest.Build(ctx, p.store(), o); err != nil {
			return outcome, p.homeUnusable(fmt.Errorf("building the library: %w", err))
		}
	}
	return outcome, nil
}

// verify compares every byte of the library with what was built.
func (p *program) verify() error {
	lib, err := disk.OpenVerified(p.store())
	if err != nil {
		return err
	}
	return lib.Close()
}

// changedSince reports whether a note of the team's is newer than the library.
func (p *program) changedSince(built time.Time) bool {
	changed := false
	filepath.WalkDir(p.notesFolder(), func(path string, d fs.DirEntry, err error) error {
		if err != nil || changed {
			return fs.SkipAll
		}
		if d.IsDir() && path != p.notesFolder() && filepath.Dir(path) != p.notesFolder() {
			return fs.SkipDir
		}
		if info, err := d.Info(); err == nil && !d.IsDir() && (filepath.Ext(path) == ".md" || filepath.Ext(path) == ".csv") && info.ModTime().After(built) {
			changed = true
		}
		return nil
	})
	return changed
}

// closing closes something at the end of a command and keeps the first error.
func closing(close func() error, err *error) {
	if cerr := close(); *err == nil {
		*err = cerr
	}
}
