// Package bucket owns tables of sorted keys with values: how they are filled once,
// in order, and then only read. On disk they lie in a file (package bolt below); in
// memory (package memory below) they are what one file carries. What is built on them
// is the same for both.
package bucket

import "context"

// Reader looks keys up. Values are shared: they must not be changed, nor kept after
// Close. It is for one goroutine.
type Reader interface {
	// Get returns the value of a key, nil if there is none.
	Get(bucket, key string) ([]byte, error)
	// From calls f with the keys of a bucket that are not less than one, in
	// order, until f returns false.
	From(bucket, key string, f func(key string, value []byte) bool) error
	// Before calls f with the keys that are less than one, the greatest first.
	Before(bucket, key string, f func(key string, value []byte) bool) error
	Close() error
}

// Writer fills buckets.
type Writer interface {
	// Fill puts n keys with their values into a new bucket. They come in order; a
	// nil value func stands for keys without values.
	Fill(ctx context.Context, bucket string, n int, key func(i int) string, value func(i int) ([]byte, error)) error
}
