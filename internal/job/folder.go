package job

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"kg/internal/advise"
	"kg/internal/durable"
	"kg/internal/note"
	"kg/internal/place"
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
func (f Folder) Start(now time.Time, q advise.Question) (ID, error) {
	if err := os.MkdirAll(f.Path, 0o755); err != nil {
		return "", fmt.Errorf("making the folder of jobs: %w", err)
	}
	all, err := f.List()
	if err != nil {
		return "", err
	}
	day := now.Format(time.DateOnly)
	first := 1
	given, err := f.given()
	if err != nil {
		return "", err
	}
	for _, id := range append(all, given...) {
		if n, is := numbered(id, day); is && n >= first {
			first = n + 1
		}
	}
	for n := first; n < mostADay; n++ {
		id := ID(fmt.Sprintf("%s-%d", day, n))
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
		return id, errors.Join(f.give(id), durable.Sync(f.Path))
	}
	return "", fmt.Errorf("there are %d jobs of %s already: keep this one in another folder, with --home", mostADay-1, day)
}

// numbered is the number of a job of a day; false for one of another day or name.
func numbered(id ID, day string) (int, bool) {
	rest, is := strings.CutPrefix(string(id), day+"-")
	n, err := strconv.Atoi(rest)
	return n, is && err == nil
}

// begun is the day and number of a job, for their order; jobs of other names come
// before all others.
func begun(id ID) (day string, n int) {
	if len(id) <= len(time.DateOnly) {
		return "", 0
	}
	day = string(id[:len(time.DateOnly)])
	if _, err := time.Parse(time.DateOnly, day); err != nil {
		return "", 0
	}
	if n, is := numbered(id, day); is {
		return day, n
	}
	return "", 0
}

// Add writes an entry to a job. It is on disk when Add returns.
func (f Folder) Add(id ID, e Entry) error {
	id, err := f.resolve(id)
	if err != nil {
		return err
	}
	if _, err := os.Stat(f.File(id)); err == nil && !f.isJob(id) {
		return fmt.Errorf("%s is not a job: its first line is not %q", f.File(id), heading)
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

// givenName is the file in which every id stands that was ever given, one a line, so
// that none is given twice, even after its job was deleted.
const givenName = ".given"

// given are the ids that were ever given.
func (f Folder) given() ([]ID, error) {
	text, err := os.ReadFile(filepath.Join(f.Path, givenName))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("reading which numbers were given: %w", err)
	}
	var out []ID
	for line := range strings.Lines(string(text)) {
		out = append(out, ID(strings.TrimSpace(line)))
	}
	return out, nil
}

// give notes that an id was given.
func (f Folder) give(id ID) error {
	file, err := os.OpenFile(filepath.Join(f.Path, givenName), os.O_CREATE|os.O_WRONLY|os.O_APPEND, 0o644)
	if err != nil {
		return err
	}
	_, err = file.WriteString(string(id) + "\n")
	return errors.Join(err, file.Sync(), file.Close())
}

// Read returns a job as far as its file can be read, and what cannot.
func (f Folder) Read(id ID) (Job, []place.Problem, error) {
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
		id, is := strings.CutSuffix(e.Name(), extension)
		if is && !e.IsDir() && note.ID(id).Valid() && f.isJob(ID(id)) {
			out = append(out, ID(id))
		}
	}
	slices.SortFunc(out, func(a, b ID) int {
		dayA, a1 := begun(a)
		dayB, b1 := begun(b)
		return cmp.Or(cmp.Compare(dayA, dayB), cmp.Compare(a1, b1), cmp.Compare(a, b))
	})
	return out, nil
}

// isJob reports whether a file begins as a job does.
func (f Folder) isJob(id ID) bool {
	file, err := os.Open(f.File(id))
	if err != nil {
		return false
	}
	defer file.Close()
	begin := make([]byte, 4096)
	n, err := io.ReadFull(file, begin)
	if err != nil && !errors.Is(err, io.ErrUnexpectedEOF) {
		return false
	}
	for line := range strings.Lines(string(begin[:n])) {
		if line = strings.TrimSpace(line); line != "" && !strings.HasPrefix(line, "#") {
			return line == heading
		}
	}
	return false
}

// Last stands for the job that was begun last.
const Last ID = "last"

// dated are the ids that Start gives.
var dated = regexp.MustCompile(`^\d{4}-\d{2}-\d{2}-\d+$`)

// Names reports whether a word names a job: one that is there, the last one, or one that
// could have been begun here.
func (f Folder) Names(id ID) bool {
	return id == Last || dated.MatchString(string(id)) || note.ID(id).Valid() && f.isJob(id)
}

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
