// Package memory owns buckets that are held in memory, and the one text of bytes that
// they are carried in.
package memory

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"slices"
	"sort"
)

// Buckets are held in memory. The zero value has none.
type Buckets struct{ tables map[string]*table }

type table struct {
	keys   []string
	values [][]byte
}

// Fill puts keys with their values into a new bucket.
func (m *Buckets) Fill(ctx context.Context, bucket string, n int, key func(i int) string, value func(i int) ([]byte, error)) error {
	t := &table{make([]string, n), make([][]byte, n)}
	for i := range n {
		t.keys[i] = key(i)
		if value == nil {
			continue
		}
		var err error
		if t.values[i], err = value(i); err != nil {
			return fmt.Errorf("%s: %w", key(i), err)
		}
	}
	if !slices.IsSorted(t.keys) {
		return fmt.Errorf("the keys of %s are not in order", bucket)
	}
	if m.tables == nil {
		m.tables = map[string]*table{}
	}
	m.tables[bucket] = t
	return ctx.Err()
}

// Get returns the value of a key.
func (m *Buckets) Get(bucket, key string) ([]byte, error) {
	t := m.tables[bucket]
	if t == nil {
		return nil, nil
	}
	i, found := slices.BinarySearch(t.keys, key)
	if !found {
		return nil, nil
	}
	if t.values[i] == nil {
		return []byte{}, nil
	}
	return t.values[i], nil
}

// From calls f with the keys from one on.
func (m *Buckets) From(bucket, key string, f func(string, []byte) bool) error {
	t := m.tables[bucket]
	if t == nil {
		return nil
	}
	for i := sort.SearchStrings(t.keys, key); i < len(t.keys) && f(t.keys[i], t.values[i]); i++ {
	}
	return nil
}

// Before calls f with the keys before one.
func (m *Buckets) Before(bucket, key string, f func(string, []byte) bool) error {
	t := m.tables[bucket]
	if t == nil {
		return nil
	}
	for i := sort.SearchStrings(t.keys, key) - 1; i >= 0 && f(t.keys[i], t.values[i]); i-- {
	}
	return nil
}

// Close does nothing.
func (m *Buckets) Close() error { return nil }

// form begins what Encode makes.
const form = "kg buckets 1\n"

// Encode writes all buckets into one text of bytes: after the form, for each
// bucket in order its name, the number of its keys, and keys and values, each
// with its length before it (unsigned varints).
func (m *Buckets) Encode() []byte {
	out := []byte(form)
	text := func(b []byte) {
		out = binary.AppendUvarint(out, uint64(len(b)))
		out = append(out, b...)
	}
	names := make([]string, 0, len(m.tables))
	for name := range m.tables {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		t := m.tables[name]
		text([]byte(name))
		out = binary.AppendUvarint(out, uint64(len(t.keys)))
		for i, key := range t.keys {
			text([]byte(key))
			text(t.values[i])
		}
	}
	return out
}

// ErrCut says that encoded buckets end too soon.
var ErrCut = errors.New("the bundle is cut short or is not one: make it anew")

// Decode reads what Encode has made. The buckets share the bytes.
func Decode(b []byte) (*Buckets, error) {
	rest, ok := bytes.CutPrefix(b, []byte(form))
	if !ok {
		return nil, ErrCut
	}
	number := func() (int, bool) {
		n, size := binary.Uvarint(rest)
		if size <= 0 || n > uint64(len(rest)-size) {
			return 0, false
		}
		rest = rest[size:]
		return int(n), true
	}
	text := func() ([]byte, bool) {
		n, ok := number()
		if !ok {
			return nil, false
		}
		out := rest[:n:n]
		rest = rest[n:]
		return out, true
	}
	m := &Buckets{map[string]*table{}}
	for len(rest) > 0 {
		name, ok := text()
		if !ok {
			return nil, ErrCut
		}
		n, ok := number()
		if !ok {
			return nil, ErrCut
		}
		t := &table{make([]string, n), make([][]byte, n)}
		for i := range n {
			key, ok := text()
			value, valued := text()
			if !ok || !valued {
				return nil, ErrCut
			}
			t.keys[i], t.values[i] = string(key), value
		}
		if !slices.IsSorted(t.keys) {
			return nil, ErrCut
		}
		m.tables[string(name)] = t
	}
	return m, nil
}
