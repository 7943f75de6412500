package lists

import (
	"bufio"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"hash/fnv"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/gofrs/flock"
	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/htmlindex"
	"golang.org/x/text/encoding/unicode"
	"golang.org/x/text/transform"

	"kg/internal/durable"
	"kg/internal/note"
	"kg/internal/parts"
	"kg/internal/place"
)

// Importing says what list of parts is taken in, and how it is read.
type Importing struct {
	File string // the list
	Into string // the folder of catalogues
	Name string // of the catalogue; empty for the name of the file
	// Encoding is the name of a character encoding, such as windows-1252; empty for
	// UTF-8, or UTF-16 where the file says so in its first bytes.
	Encoding string
	Map      map[string]parts.Column
	Defaults map[parts.Column]string
	DryRun   bool
}

// Imported is what came of it. Its JSON form is part of the program's interface.
type Imported struct {
	Catalogue string          `json:"catalogue"` // the file that holds it
	DryRun    bool            `json:"dry_run"`
	Rows      int             `json:"rows"`
	New       int             `json:"new"`
	Changed   int             `json:"changed"`
	Same      int             `json:"same"`
	Older     int             `json:"older"` // that a later list has said something else of
	LeftOut   int             `json:"left_out"`
	Problems  []place.Problem `json:"problems"` // the first of them
	Unchanged bool            `json:"unchanged"`
}

// mostProblems bounds how many rows are named that were left out.
const mostProblems = 200

// standing is what is known of a number while lists are put together.
type standing struct {
	date string
	hash uint64
	row  int // in the new list, from 1; 0 for what was there before
}

// Import takes a list of parts into a catalogue. Rows that cannot be used are
// reported and left out. Of two statements about one number the later date counts;
// with one date and different content the one that was there stays. The catalogue
// is replaced in one step, or not at all; a list that says nothing new leaves it as
// it is. Memory goes with the number of parts, not with the size of the rows.
func Import(ctx context.Context, o Importing) (Imported, error) {
	name := o.Name
	if name == "" {
		name = string(note.Slug(strings.TrimSuffix(filepath.Base(o.File), filepath.Ext(o.File))))
	}
	if !note.ID(name).Valid() {
		return Imported{}, fmt.Errorf("%q cannot name a catalogue: write it like skerryfold-2026", name)
	}
	im := importer{Importing: o, known: map[parts.ID]standing{}}
	im.out = Imported{Catalogue: filepath.Join(o.Into, name+".csv"), DryRun: o.DryRun, Problems: []place.Problem{}}
	err := im.alone(ctx)
	if err != nil {
		err = fmt.Errorf("importing %s: %w", o.File, err)
	}
	return im.out, err
}

type importer struct {
	Importing
	out   Imported
	known map[parts.ID]standing
}

// patience is how long an import waits for another one into the same catalogue.
const patience = time.Minute

// alone runs the import while no other one goes into the same catalogue. A dry run
// writes nothing, and so needs no lock.
func (im *importer) alone(ctx context.Context) (err error) {
	if im.DryRun {
		return im.run(ctx)
	}
	if err := os.MkdirAll(im.Into, 0o755); err != nil {
		return err
	}
	waiting, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	lock := flock.New(filepath.Join(im.Into, ".lock"))
	if ok, err := lock.TryLockContext(waiting, 50*time.Millisecond); err != nil || !ok {
		return fmt.Errorf("waiting for another import: %w", err)
	}
	defer func() { err = errors.Join(err, lock.Close()) }()
	return im.run(ctx)
}

func (im *importer) run(ctx context.Context) (err error) {
	if err := im.old(ctx, func(p *parts.Part) error {
		im.known[p.ID] = standing{p.Date, hashOf(p), 0}
		return nil
	}); err != nil {
		return err
	}
	spool, err := os.CreateTemp("", "kg-import-")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, spool.Close(), os.Remove(spool.Name())) }()
	if err := im.new(ctx, spool); err != nil {
		return err
	}
	im.out.Unchanged = im.out.New+im.out.Changed == 0
	if im.DryRun || im.out.Unchanged {
		return nil
	}
	if _, err := spool.Seek(0, io.SeekStart); err != nil {
		return err
	}
	return im.write(ctx, spool)
}

// old goes through the catalogue that is there, if one is.
func (im *importer) old(ctx context.Context, use func(*parts.Part) error) error {
	in, err := os.Open(im.out.Catalogue)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	defer in.Close()
	rows, err := parts.NewRows(in, parts.Reading{File: im.out.Catalogue})
	if err != nil {
		return err
	}
	return each(ctx, rows, use, func(p *place.Problem) error {
		return fmt.Errorf("the catalogue that it goes into has a row that cannot be used: mend it first: %w", p)
	})
}

// new reads the list and writes what counts of it into a file, as it will stand.
func (im *importer) new(ctx context.Context, spool io.Writer) error {
	in, err := os.Open(im.File)
	if err != nil {
		return err
	}
	defer in.Close()
	text, err := decoded(in, im.Encoding)
	if err != nil {
		return err
	}
	rows, err := parts.NewRows(text, parts.Reading{File: im.File, Map: im.Map, Foreign: true, Defaults: im.Defaults})
	if err != nil {
		return err
	}
	out := csv.NewWriter(spool)
	report := func(p place.Problem) {
		im.out.LeftOut++
		if len(im.out.Problems) < mostProblems {
			im.out.Problems = append(im.out.Problems, p)
		}
	}
	err = each(ctx, rows, func(p *parts.Part) error {
		im.out.Rows++
		before, taken := im.known[p.ID]
		now := standing{p.Date, hashOf(p), im.out.Rows}
		switch {
		case !taken:
			im.out.New++
		case now.hash == before.hash && now.date <= before.date:
			im.out.Same++
			return out.Write(nil) // keeps the count of rows
		case now.date < before.date:
			im.out.Older++
			return out.Write(nil)
		case now.date == before.date:
			report(place.Problemf(p.Where, "part-twice", "%s was there before and says something else: give the list that holds a later date (--set date=2026-01-31)", p.Full()))
			return out.Write(nil)
		case before.row == 0:
			im.out.Changed++
		}
		im.known[p.ID] = now
		return out.Write(p.Row())
	}, func(p *place.Problem) error {
		im.out.Rows++
		report(*p)
		return out.Write(nil)
	})
	out.Flush()
	return errors.Join(err, out.Error())
}

// decoded makes UTF-8 of a text.
func decoded(r io.Reader, name string) (io.Reader, error) {
	fallback := encoding.Nop.NewDecoder().Transformer
	if name != "" && !strings.EqualFold(name, "utf-8") {
		e, err := htmlindex.Get(name)
		if err != nil {
			return nil, fmt.Errorf("there is no character encoding %q here: windows-1252, iso-8859-15, utf-16le and utf-8 are some", name)
		}
		fallback = e.NewDecoder().Transformer
	}
	return transform.NewReader(bufio.NewReaderSize(r, 1<<16), unicode.BOMOverride(fallback)), nil
}

// hashOf is that of all that a row says but the date of its list.
func hashOf(p *parts.Part) uint64 {
	undated := *p
	undated.Date = ""
	h := fnv.New64a()
	for _, cell := range undated.Row() {
		io.WriteString(h, cell)
		h.Write([]byte{0})
	}
	return h.Sum64()
}

// write puts what counts of the old catalogue and of the new list into a file and
// then that in place of the catalogue.
func (im *importer) write(ctx context.Context, spool io.Reader) (err error) {
	return durable.Write(im.out.Catalogue, 0o644, func(w io.Writer) error {
		out := csv.NewWriter(w)
		if err := out.Write(parts.Header()); err != nil {
			return err
		}
		err := im.old(ctx, func(p *parts.Part) error {
			if im.known[p.ID].row > 0 {
				return nil
			}
			return out.Write(p.Row())
		})
		if err != nil {
			return err
		}
		counts := map[int]bool{}
		for _, s := range im.known {
			if s.row > 0 {
				counts[s.row] = true
			}
		}
		lines := bufio.NewScanner(spool)
		lines.Buffer(nil, 1<<20)
		out.Flush()
		for row := 1; lines.Scan(); row++ {
			if counts[row] {
				if _, err := fmt.Fprintf(w, "%s\n", lines.Text()); err != nil {
					return err
				}
			}
		}
		return errors.Join(out.Error(), lines.Err())
	})
}
