package archive

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/go-json-experiment/json"

	"kg/internal/bucket"
	"kg/internal/parts"
)

// The buckets of a store of parts. Parts are looked up by id; the others hold
// keys only, each ending in the id of a part.
const (
	bucketParts   = "parts"
	bucketNumbers = "numbers" // normal form of the number
	bucketGrouped = "grouped" // that with fewer zeros
	bucketAlike   = "alike"   // letters that are taken for digits made one
	bucketTypes   = "types"   // component type, and the appliance or nothing
	bucketMeta    = "meta"
	keyCount      = "count"
	keyMakers     = "makers"
)

// ErrUnreadable is wrapped where a record is not what was written.
var ErrUnreadable = errors.New("the record cannot be read")

func unreadable(err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("%w: %w", ErrUnreadable, err)
}

// WriteParts stores parts, which come by id.
func WriteParts(ctx context.Context, w bucket.Writer, list []*parts.Part) error {
	if err := writeParts(ctx, w, list); err != nil {
		return fmt.Errorf("writing the parts: %w", err)
	}
	return nil
}

func writeParts(ctx context.Context, w bucket.Writer, list []*parts.Part) error {
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
	err := w.Fill(ctx, bucketParts, n, func(i int) string { return string(list[i].ID) }, value)
	for _, some := range []struct {
		bucket string
		keys   []string
	}{{bucketNumbers, numbers}, {bucketGrouped, grouped}, {bucketAlike, alike}, {bucketTypes, types}} {
		if err != nil {
			return err
		}
		slices.Sort(some.keys)
		keys := slices.Compact(some.keys)
		err = w.Fill(ctx, some.bucket, len(keys), func(i int) string { return keys[i] }, nil)
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
	return w.Fill(ctx, bucketMeta, len(meta), func(i int) string { return []string{keyCount, keyMakers}[i] },
		func(i int) ([]byte, error) { return []byte(meta[i]), nil })
}

// AnyAppliance stands for the appliances of a part note that names none.
const AnyAppliance = "*"

func typeKey(component, appliance string) string {
	return component + separator + appliance + separator
}

// Parts are the parts of a finished archive. They are for one goroutine.
type Parts struct {
	in    bucket.Reader
	count int
	seen  map[parts.ID]*parts.Part
}

// PartsIn reads the parts that some buckets hold.
func PartsIn(b bucket.Reader) (*Parts, error) {
	s := &Parts{in: b, seen: map[parts.ID]*parts.Part{}}
	count, err := b.Get(bucketMeta, keyCount)
	if err == nil {
		s.count, err = strconv.Atoi(string(count))
	}
	if err != nil {
		return nil, fmt.Errorf("the parts are not complete: %w", err)
	}
	return s, nil
}

// Count is how many parts there are.
func (s *Parts) Count() int { return s.count }

// Makers are the makers of all parts, as their lists write them.
func (s *Parts) Makers() ([]string, error) {
	all, err := s.in.Get(bucketMeta, keyMakers)
	if err != nil || len(all) == 0 {
		return nil, err
	}
	return strings.Split(string(all), separator), nil
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
	value, err := s.in.Get(bucketParts, string(id))
	if err == nil && value != nil {
		p = new(parts.Part)
		err = unreadable(json.Unmarshal(value, p))
	}
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

func (s *Parts) under(bucket, prefix string) (out []parts.ID, err error) {
	err = s.in.From(bucket, prefix, func(key string, _ []byte) bool {
		id, found := strings.CutPrefix(key, prefix)
		if found {
			out = append(out, parts.ID(id))
		}
		return found
	})
	if err != nil {
		return nil, fmt.Errorf("looking %q up: %w", strings.ReplaceAll(prefix, separator, " "), err)
	}
	return out, nil
}

// Beside returns the ids of parts whose numbers stand next to a normal form in
// order, at most some before it and some after.
func (s *Parts) Beside(key parts.Key, some int) (out []parts.ID, err error) {
	take := func() func(string, []byte) bool {
		n := 0
		return func(k string, _ []byte) bool {
			if n++; n > some {
				return false
			}
			_, id, _ := strings.Cut(k, separator)
			out = append(out, parts.ID(id))
			return true
		}
	}
	err = errors.Join(s.in.From(bucketNumbers, string(key), take()), s.in.Before(bucketNumbers, string(key), take()))
	return out, err
}

// Each calls f with every part, by id, until it returns an error.
func (s *Parts) Each(f func(*parts.Part) error) error {
	var failed error
	err := s.in.From(bucketParts, "", func(_ string, value []byte) bool {
		p := new(parts.Part)
		if failed = unreadable(json.Unmarshal(value, p)); failed == nil {
			failed = f(p)
		}
		return failed == nil
	})
	return errors.Join(err, failed)
}
