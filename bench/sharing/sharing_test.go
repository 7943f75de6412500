package sharing_test

import (
	"errors"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/bench/sharing"
)

// worker counts what it does; the race detector sees it if it does two things at once.
type worker struct{ done int }

func (w *worker) write(n int) (string, error) {
	w.done++
	if n < 0 {
		return "", errors.New("below 0")
	}
	return strconv.Itoa(n), nil
}

func TestWorkIsDoneInOrderByAnyNumberOfWorkers(t *testing.T) {
	t.Parallel()
	var items []int
	var want []string
	for n := range 200 {
		items, want = append(items, n), append(want, strconv.Itoa(n))
	}
	for _, count := range []int{1, 2, 7} {
		workers := make([]*worker, count)
		for i := range workers {
			workers[i] = &worker{}
		}
		got, err := sharing.Map(workers, items, (*worker).write)
		require.NoError(t, err)
		assert.Equal(t, want, got)
		sum := 0
		for _, w := range workers {
			sum += w.done
		}
		assert.Equal(t, len(items), sum)
		_, err = sharing.Map(workers, []int{1, -1, 2}, (*worker).write)
		assert.EqualError(t, err, "below 0")
	}
}
