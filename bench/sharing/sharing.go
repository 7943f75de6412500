// Package sharing lets several workers share some work, one for each processor.
package sharing

import "golang.org/x/sync/errgroup"

// Map returns what f makes of each item, in their order. Each worker does one item at
// a time; a single one does them here, and starts nothing beside. The error is one of
// those that f returned.
func Map[W, T, R any](workers []W, items []T, f func(W, T) (R, error)) ([]R, error) {
	out := make([]R, len(items))
	if len(workers) == 1 {
		for i, item := range items {
			var err error
			if out[i], err = f(workers[0], item); err != nil {
				return nil, err
			}
		}
		return out, nil
	}
	free := make(chan W, len(workers))
	for _, w := range workers {
		free <- w
	}
	var all errgroup.Group
	all.SetLimit(len(workers))
	for i, item := range items {
		all.Go(func() (err error) {
			w := <-free
			out[i], err = f(w, item)
			free <- w
			return err
		})
	}
	if err := all.Wait(); err != nil {
		return nil, err
	}
	return out, nil
}
