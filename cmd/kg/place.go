package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"

	"kg/data"
	"kg/internal/generation"
	"kg/internal/ingest"
)

// sourceShipped and sourceTeam name the collections of notes that need no
// folder to be given.
const (
	sourceShipped = "shipped"
	sourceTeam    = "team"
)

// defaultHome is the folder of this program in the user's data folder: that of
// the XDG base directory specification, or the system's own; empty where the system names
// no home: a folder that others share is no place for a library.
func defaultHome() string {
	if dir := os.Getenv("XDG_DATA_HOME"); filepath.IsAbs(dir) {
		return filepath.Join(dir, "kg")
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return ""
	}
	switch runtime.GOOS {
	case "windows":
		if dir := os.Getenv("LOCALAPPDATA"); dir != "" {
			return filepath.Join(dir, "kg")
		}
	case "darwin":
		return filepath.Join(home, "Library", "Application Support", "kg")
	}
	return filepath.Join(home, ".local", "share", "kg")
}

func (p *program) libraryFolder() string { return filepath.Join(p.home, "library") }

func (p *program) notesFolder() string { return filepath.Join(p.home, "notes") }

func shippedSource() ingest.Source {
	return ingest.Source{Name: sourceShipped, Root: sourceShipped, FS: data.Notes}
}

func folderSource(name, folder string) (ingest.Source, error) {
	folder, err := filepath.Abs(folder)
	if err != nil {
		return ingest.Source{}, err
	}
	info, err := os.Stat(folder)
	if err != nil {
		return ingest.Source{}, fmt.Errorf("the notes folder cannot be used: %w: name a folder that is there", err)
	}
	if !info.IsDir() {
		return ingest.Source{}, fmt.Errorf("%s is a file: name the folder that holds the folders of notes", folder)
	}
	return ingest.Source{Name: name, Root: folder, Folder: folder, FS: os.DirFS(folder)}, nil
}

// sources returns the collections of notes in the order in which they prevail:
// the shipped ones, the team's own, then the folders given.
func (p *program) sources(shipped bool, folders []string) ([]ingest.Source, error) {
	var out []ingest.Source
	if shipped {
		out = append(out, shippedSource())
	}
	if _, err := os.Stat(p.notesFolder()); err == nil {
		team, err := folderSource(sourceTeam, p.notesFolder())
		if err != nil {
			return nil, err
		}
		out = append(out, team)
	}
	for _, f := range folders {
		s, err := folderSource(f, f)
		if err != nil {
			return nil, err
		}
		out = append(out, s)
	}
	return out, nil
}

// homeUnusable says where the library is kept and how to keep it elsewhere, for
// an error that no build would mend.
func (p *program) homeUnusable(err error) error {
	var file *fs.PathError
	if errors.Is(err, generation.ErrDamaged) || !errors.As(err, &file) {
		return err
	}
	return fmt.Errorf("%w: make %s a folder that can be written, or name another with --home", err, p.home)
}

// identity changes when the program does, and with it perhaps the notes in it.
func identity() string {
	path, err := os.Executable()
	if err != nil {
		return ""
	}
	info, err := os.Stat(path)
	if err != nil {
		return ""
	}
	return fmt.Sprintf("%d bytes of %s", info.Size(), info.ModTime().UTC().Format("2006-01-02T15:04:05.000000000Z"))
}
