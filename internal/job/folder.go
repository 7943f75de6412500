package job

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"kg/internal/library"
	"kg/internal/note"
)

// ID names a job: the day and a number.
type ID string

// Folder is where jobs are kept, one file each.
type Folder struct{ Path string }

const extension = ".txt"

// Missing says that there is no job of an id.
type Missing struct {
	ID   ID
	Last ID // the one that was begun last; empty when there is none
}

func (e *Missing) Error() string {
	if e.Last == "" {
		return fmt.Sprintf("there is no job %q: `kg job start \"what is wrong\"` begins one", e.ID)
	}
	return fmt.Sprintf("there is no job %q: the last one is %q, `kg job list` names all", e.ID, e.Last)
}

// File is where a job is kept.
func (f Folder) File(id ID) string { return filepath.Join(f.Path, string(id)+extension) }

// mostADay bounds how many jobs one day may have.
const mostADay = 10_000

// Start begins a job with a question, and returns its id.
func (f Folder) Start(now time.Time, q library.Question) (ID, error) {
	if err := os.MkdirAll(f.Path, 0o755); err != nil {
		return "", fmt.Errorf("making the folder of jobs: %w", err)
	}
	for n := 1; n < mostADay; n++ {
		id := ID(fmt.Sprintf("%s-%d", now.Format(time.DateOnly), n))
		file, err := os.OpenFile(f.File(id), os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o644)
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err != nil {
			return "", fmt.Errorf("beginning a job: %w", err)
		}
		err = writeHeading(file, q)
		if err == nil {
			err = write(file, Entry{At: now, Kind: Said, Words: q.Text})
		}
		if err := errors.Join(err, file.Close()); err != nil {
			return "", fmt.Errorf("beginning job %s: %w", id, err)
		}
		return id, f.sync()
	}
	return "", fmt.Errorf("there are %d jobs of %s already: keep this one in another folder, with --home", mostADay-1, now.Format(time.DateOnly))
}

// Add writes an entry to a job. It is on disk when Add returns.
func (f Folder) Add(id ID, e Entry) error {
	id, err := f.resolve(id)
	if err != nil {
		return err
	}
	file, err := os.OpenFile(f.File(id), os.O_RDWR|os.O_APPEND, 0)
	if errors.Is(err, fs.ErrNotExist) {
		return f.missing(id)
	}
	if err != nil {
		return fmt.Errorf("writing to job %s: %w", id, err)
	}
	err = endLine(file)
	if err == nil {
		err = write(file, e)
	}
	if err := errors.Join(err, file.Close()); err != nil {
		return fmt.Errorf("writing to job %s: %w", id, err)
	}
	return nil
}

// write writes an entry as one line in one go, so that those of two commands do
// not mix.
func write(file *os.File, e Entry) error {
	if _, err := file.WriteString(e.line() + "\n"); err != nil {
		return err
	}
	return file.Sync()
}

// endLine ends a last line that was cut short.
func endLine(file *os.File) error {
	info, err := file.Stat()
	if err != nil || info.Size() == 0 {
		return err
	}
	last := make([]byte, 1)
	if _, err := file.ReadAt(last, info.Size()-1); err != nil {
		return err
	}
	if last[0] != '\n' {
		_, err = file.WriteString("\n")
	}
	return err
}

// sync makes the name of a new file last.
func (f Folder) sync() error {
	dir, err := os.Open(f.Path)
	if err != nil {
		return err
	}
	err = dir.Sync()
	return errors.Join(err, dir.Close())
}

// Read returns a job as far as its file can be read, and what cannot.
func (f Folder) Read(id ID) (Job, []Problem, error) {
	id, err := f.resolve(id)
	if err != nil {
		return Job{}, nil, err
	}
	text, err := os.ReadFile(f.File(id))
	if errors.Is(err, fs.ErrNotExist) {
		return Job{}, nil, f.missing(id)
	}
	if err != nil {
		return Job{}, nil, fmt.Errorf("reading job %s: %w", id, err)
	}
	j, problems := parse(f.File(id), string(text))
	j.ID = id
	return j, problems, nil
}

// List returns the ids of all jobs, the oldest first.
func (f Folder) List() ([]ID, error) {
	entries, err := os.ReadDir(f.Path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("listing the jobs: %w", err)
	}
	var out []ID
	for _, e := range entries {
		if id, is := strings.CutSuffix(e.Name(), extension); is && !e.IsDir() {
			out = append(out, ID(id))
		}
	}
	slices.SortFunc(out, func(a, b ID) int {
		if len(a) != len(b) && strings.HasPrefix(string(a), string(b[:min(len(b), len(time.DateOnly))])) {
			return len(a) - len(b) // 2026-11-25-9 before 2026-11-25-10
		}
		return strings.Compare(string(a), string(b))
	})
	return out, nil
}

// Last stands for the job that was begun last.
const Last ID = "last"

// resolve returns the id that Last stands for, and lets no id out of the folder.
func (f Folder) resolve(id ID) (ID, error) {
	if id != Last {
		if !note.ID(id).Valid() {
			return "", f.missing(id)
		}
		return id, nil
	}
	all, err := f.List()
	if err == nil && len(all) == 0 {
		err = &Missing{ID: id}
	}
	if err != nil {
		return "", err
	}
	return all[len(all)-1], nil
}

func (f Folder) missing(id ID) error {
	all, err := f.List()
	if err != nil {
		return err
	}
	out := &Missing{ID: id}
	if len(all) > 0 {
		out.Last = all[len(all)-1]
	}
	return out
}
