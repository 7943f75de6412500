package generation

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"kg/internal/durable"
	"kg/internal/note"
)

// Format is the version of the files in a generation. A library of another
// version is built anew.
const Format = 4

// manifestName is the file that is written last; without it a folder is no
// generation.
const manifestName = "manifest.json"

// Manifest says what a generation was made of and what has to be in it.
type Manifest struct {
	Format int `json:"format"`
	// Notes is the hash of all notes and of what else the content depends on;
	// two generations with the same hash answer alike.
	Notes string `json:"notes"`
	// Program identifies the executable that built it.
	Program string    `json:"program"`
	Built   time.Time `json:"built"`
	Sources []Source  `json:"sources"`
	Counts  Counts    `json:"counts"`
	Files   []File    `json:"files"`
}

// Source is one collection of notes that went in.
type Source struct {
	Name   string `json:"name"`
	Folder string `json:"folder,omitempty"`
	Files  int    `json:"files"`
}

// Counts are what the parts of a generation hold.
type Counts struct {
	Entries  int               `json:"entries"`
	ByKind   map[note.Kind]int `json:"by_kind"`
	Quads    int64             `json:"quads"`
	Indexed  uint64            `json:"indexed"`
	Parts    int               `json:"parts"`
	Replaced int               `json:"replaced"`
	LeftOut  int               `json:"left_out"`
	Problems int               `json:"problems"`
}

// File is one file of a generation with what is needed to notice damage.
type File struct {
	Path   string `json:"path"`
	Size   int64  `json:"size"`
	SHA256 string `json:"sha256"`
}

// ErrDamaged is wrapped by errors that say a generation is not as it was built.
var ErrDamaged = errors.New("the library is damaged: run `kg build` to make it anew")

// ErrOtherFormat is wrapped when a generation is sound but of another version of
// the program. Its notes make a new one.
var ErrOtherFormat = errors.New("the library was made by another version: run `kg build` to make it anew")

func readManifest(folder string) (Manifest, error) {
	var m Manifest
	b, err := os.ReadFile(filepath.Join(folder, manifestName))
	if err != nil {
		return m, fmt.Errorf("%w (reading the manifest: %w)", ErrDamaged, err)
	}
	if err := json.Unmarshal(b, &m); err != nil {
		return m, fmt.Errorf("%w (reading the manifest %s: %w)", ErrDamaged, filepath.Join(folder, manifestName), err)
	}
	return m, nil
}

// checkSizes compares the files with the manifest cheaply, by their sizes.
func (m Manifest) checkSizes(folder string) error {
	for _, f := range m.Files {
		info, err := os.Stat(filepath.Join(folder, filepath.FromSlash(f.Path)))
		switch {
		case err != nil:
			return fmt.Errorf("%w (%s: %w)", ErrDamaged, f.Path, err)
		case info.Size() != f.Size:
			return fmt.Errorf("%w (%s has %d bytes, should have %d)", ErrDamaged, f.Path, info.Size(), f.Size)
		}
	}
	return nil
}

// checkHashes compares every byte with the manifest.
func (m Manifest) checkHashes(folder string) error {
	for _, f := range m.Files {
		size, sum, err := hashFile(filepath.Join(folder, filepath.FromSlash(f.Path)))
		if err != nil {
			return fmt.Errorf("%w (%s: %w)", ErrDamaged, f.Path, err)
		}
		if size != f.Size || sum != f.SHA256 {
			return fmt.Errorf("%w (the content of %s has changed)", ErrDamaged, f.Path)
		}
	}
	return nil
}

// seal syncs every file of a folder, makes it read-only and lists it.
func seal(folder string) ([]File, error) {
	var out []File
	err := filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || d.Name() == leaseName {
			return err
		}
		if err := durable.Sync(path); err != nil {
			return err
		}
		size, sum, err := hashFile(path)
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(folder, path)
		if err != nil {
			return err
		}
		out = append(out, File{Path: filepath.ToSlash(rel), Size: size, SHA256: sum})
		return os.Chmod(path, 0o444)
	})
	return out, err
}

func hashFile(path string) (int64, string, error) {
	f, err := os.Open(path)
	if err != nil {
		return 0, "", err
	}
	defer f.Close()
	h := sha256.New()
	n, err := io.Copy(h, f)
	return n, hex.EncodeToString(h.Sum(nil)), err
}
