package archive

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/go-json-experiment/json"
	"go.etcd.io/bbolt"

	"kg/internal/parts"
)

// The buckets of a store of parts. Parts are looked up by id; the others hold
// keys only, each ending in the id of a part.
var (
	bucketParts   = []byte("parts")
	bucketNumbers = []byte("numbers") // normal form of the number
	bucketGrouped = []byte("grouped") // that with fewer zeros
	bucketAlike   = []byte("alike")   // letters that are taken for digits made one
	bucketTypes   = []byte("types")   // component type, and the appliance or nothing
	bucketMeta    = []byte("meta")
	keyCount      = []byte("count")
	keyMakers     = []byte("makers")
)

// ErrUnreadable is wrapped where a record is not what was written.
var ErrUnreadable = errors.New("the record cannot be read")

func unreadable(err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("%w: %w", ErrUnreadable, err)
}

// together is how many keys are written in one transaction.
const together = 50_000

// WriteParts stores parts, which come by id, in a new file that must not exist.
func WriteParts(ctx context.Context, file string, list []*parts.Part) error {
	if err := writeParts(ctx, file, list); err != nil {
		return fmt.Errorf("writing the parts %s: %w", file, err)
	}
	return nil
}

func writeParts(ctx context.Context, file string, list []*parts.Part) (err error) {
	db, err := bbolt.Open(file, 0o600, &bbolt.Options{NoSync: true, NoFreelistSync: true, NoGrowSync: true})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	n := len(list)
	numbers, grouped, alike := make([]string, n), make([]string, n), make([]string, n)
	types := make([]string, 0, 2*n)
	for i, p := range list {
		key := p.ID.Key()
		numbers[i] = string(key) + separator + string(p.ID)
		grouped[i] = string(parts.Grouped(p.Number)) + separator + string(p.ID)
		alike[i] = string(parts.Alike(string(key))) + separator + string(p.ID)
		types = append(types, typeKey(p.Type, "")+string(p.ID))
		if len(p.Fits) == 0 && p.Note != "" {
			types = append(types, typeKey(p.Type, AnyAppliance)+string(p.ID))
		}
		for _, f := range p.Fits {
			types = append(types, typeKey(p.Type, f.Appliance)+string(p.ID))
		}
	}
	value := func(i int) ([]byte, error) {
		return json.Marshal(list[i])
	}
	err = fill(ctx, db, bucketParts, n, func(i int) string { return string(list[i].ID) }, value)
	for _, some := range []struct {
		bucket []byte
		keys   []string
	}{{bucketNumbers, numbers}, {bucketGrouped, grouped}, {bucketAlike, alike}, {bucketTypes, types}} {
		if err != nil {
			return err
		}
		slices.Sort(some.keys)
		keys := slices.Compact(some.keys)
		err = fill(ctx, db, some.bucket, len(keys), func(i int) string { return keys[i] }, nil)
	}
	if err != nil {
		return err
	}
	var makers []string
	named := map[string]bool{}
	for _, p := range list {
		if !named[p.Maker] {
			named[p.Maker] = true
			makers = append(makers, p.Maker)
		}
	}
	meta := []string{strconv.Itoa(n), strings.Join(makers, separator)}
	err = fill(ctx, db, bucketMeta, len(meta), func(i int) string { return string([][]byte{keyCount, keyMakers}[i]) },
		func(i int) ([]byte, error) { return []byte(meta[i]), nil })
	return errors.Join(err, db.Sync())
}

// fill puts keys, in their order, with their values into a new bucket.
func fill(ctx context.Context, db *bbolt.DB, bucket []byte, n int, key func(int) string, value func(int) ([]byte, error)) error {
	for from := 0; from == 0 || from < n; from += together {
		if err := ctx.Err(); err != nil {
			return err
		}
		err := db.Update(func(tx *bbolt.Tx) error {
			b, err := tx.CreateBucketIfNotExists(bucket)
			if err != nil {
				return err
			}
			b.FillPercent = 1 // they come in order
			for i := from; i < min(n, from+together); i++ {
				var v []byte
				if value != nil {
					if v, err = value(i); err != nil {
						return fmt.Errorf("%s: %w", key(i), err)
					}
				}
				if err := b.Put([]byte(key(i)), v); err != nil {
					return fmt.Errorf("%s: %w", key(i), err)
				}
			}
			return nil
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// AnyAppliance stands for the appliances of a part note that names none.
const AnyAppliance = "*"

func typeKey(component, appliance string) string {
	return component + separator + appliance + separator
}

// Parts is a finished store of parts, opened for reading. Any number of processes
// may have it open; within one, it is for one goroutine.
type Parts struct {
	db    *bbolt.DB
	count int
	seen  map[parts.ID]*parts.Part
}

// OpenParts opens a finished store.
func OpenParts(file string) (*Parts, error) {
	db, err := bbolt.Open(file, 0o400, &bbolt.Options{ReadOnly: true, Timeout: time.Second})
	if err != nil {
		return nil, fmt.Errorf("opening the parts %s: %w", file, err)
	}
	s := &Parts{db: db, seen: map[parts.ID]*parts.Part{}}
	err = db.View(func(tx *bbolt.Tx) error {
		b := tx.Bucket(bucketMeta)
		if b == nil {
			return errors.New("it is not complete")
		}
		s.count, err = strconv.Atoi(string(b.Get(keyCount)))
		return err
	})
	if err != nil {
		return nil, errors.Join(fmt.Errorf("opening the parts %s: %w", file, err), db.Close())
	}
	return s, nil
}

// Close releases the file.
func (s *Parts) Close() error { return s.db.Close() }

// Count is how many parts there are.
func (s *Parts) Count() int { return s.count }

// Makers are the makers of all parts, as their lists write them.
func (s *Parts) Makers() (out []string, err error) {
	err = s.db.View(func(tx *bbolt.Tx) error {
		if all := string(tx.Bucket(bucketMeta).Get(keyMakers)); all != "" {
			out = strings.Split(all, separator)
		}
		return nil
	})
	return out, err
}

// mostSeen bounds how many parts are kept in memory.
const mostSeen = 10_000

// Get returns the part with an id, nil if there is none. It is shared and must not
// be changed.
func (s *Parts) Get(id parts.ID) (*parts.Part, error) {
	if p, ok := s.seen[id]; ok {
		return p, nil
	}
	var p *parts.Part
	err := s.db.View(func(tx *bbolt.Tx) error {
		value := tx.Bucket(bucketParts).Get([]byte(id))
		if value == nil {
			return nil
		}
		p = new(parts.Part)
		return unreadable(json.Unmarshal(value, p))
	})
	if err != nil {
		return nil, fmt.Errorf("part %q: %w", id, err)
	}
	if len(s.seen) >= mostSeen {
		clear(s.seen)
	}
	s.seen[id] = p
	return p, nil
}

// Numbered returns the ids of the parts whose number has a normal form.
func (s *Parts) Numbered(key parts.Key) ([]parts.ID, error) {
	return s.under(bucketNumbers, string(key)+separator)
}

// Grouped returns the ids of the parts whose number has a form in which the zeros
// that begin its groups are left out.
func (s *Parts) Grouped(form parts.Key) ([]parts.ID, error) {
	return s.under(bucketGrouped, string(form)+separator)
}

// Alike returns the ids of the parts whose number has a form in which letters that
// are taken for digits are one with them.
func (s *Parts) Alike(form parts.Key) ([]parts.ID, error) {
	return s.under(bucketAlike, string(form)+separator)
}

// OfType returns the ids of all parts of a component type, or of those that say
// they fit an appliance.
func (s *Parts) OfType(component, appliance string) ([]parts.ID, error) {
	return s.under(bucketTypes, typeKey(component, appliance))
}

func (s *Parts) under(bucket []byte, prefix string) (out []parts.ID, err error) {
	err = s.db.View(func(tx *bbolt.Tx) error {
		c := tx.Bucket(bucket).Cursor()
		for k, _ := c.Seek([]byte(prefix)); bytes.HasPrefix(k, []byte(prefix)); k, _ = c.Next() {
			out = append(out, parts.ID(k[len(prefix):]))
		}
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("looking %q up: %w", strings.ReplaceAll(prefix, separator, " "), err)
	}
	return out, nil
}

// Beside returns the ids of parts whose numbers stand next to a normal form in
// order, at most some before it and some after.
func (s *Parts) Beside(key parts.Key, some int) (out []parts.ID, err error) {
	err = s.db.View(func(tx *bbolt.Tx) error {
		id := func(k []byte) parts.ID {
			_, id, _ := bytes.Cut(k, []byte(separator))
			return parts.ID(id)
		}
		c := tx.Bucket(bucketNumbers).Cursor()
		k, _ := c.Seek([]byte(key))
		for n := 0; k != nil && n < some; n++ {
			out = append(out, id(k))
			k, _ = c.Next()
		}
		c.Seek([]byte(key))
		k, _ = c.Prev()
		for n := 0; k != nil && n < some; n++ {
			out = append(out, id(k))
			k, _ = c.Prev()
		}
		return nil
	})
	return out, err
}

// Each calls f with every part, by id, until it returns an error.
func (s *Parts) Each(f func(*parts.Part) error) error {
	return s.db.View(func(tx *bbolt.Tx) error {
		return tx.Bucket(bucketParts).ForEach(func(_, value []byte) error {
			p := new(parts.Part)
			if err := unreadable(json.Unmarshal(value, p)); err != nil {
				return err
			}
			return f(p)
		})
	})
}
