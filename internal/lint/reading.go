package lint

import (
	"errors"
	"maps"
	"slices"
	"strings"

	"kg/internal/measure"
	"kg/internal/note"
)

// readingFits reports readings of tests that no figure could be judged by: a model
// that does not exist, data that it does not take, results that the test does not
// have.
func readingFits(c *checker) {
	each(c, func(n *note.Note, e *note.Test) {
		if e.Reading == nil {
			return
		}
		at := n.At("reading")
		if err := takes(e.Reading.Model, e.Reading.Given); err != nil {
			c.report(n, at, note.Broken, "reading-fits", "%v; `kg reading list` has the models", err)
		}
		results := e.Reading.Results()
		for _, verdict := range slices.Sorted(maps.Keys(results)) {
			name := results[verdict]
			if name != "" && !slices.ContainsFunc(e.Results, func(r note.Result) bool { return r.Name == name }) {
				var names []string
				for _, r := range e.Results {
					names = append(names, r.Name)
				}
				c.report(n, at, note.Broken, "reading-fits", "%s stands for %q, which is not a result of this test: one of %s", verdict, name, strings.Join(names, ", "))
			}
		}
		of, known := c.byID[e.Reading.Of]
		if !known {
			return
		}
		if component, ok := of.Entry.(*note.Component); ok && len(component.Nominal) == 0 {
			c.report(n, at, note.Incomplete, "reading-fits", "%s has no nominal data: add it there, or take `of` out", e.Reading.Of)
		} else if ok {
			if err := takes(e.Reading.Model, component.Nominal); err != nil {
				c.report(of, of.At("nominal"), note.Broken, "reading-fits", "%v, by which %s is read", err, e.ID)
			}
		}
	})
}

// takes reports what a model does not take.
func takes(model string, data map[string]string) error {
	given, err := measure.New(model)
	if err != nil {
		return err
	}
	var errs []error
	for _, key := range slices.Sorted(maps.Keys(data)) {
		errs = append(errs, given.Set(key, data[key]))
	}
	return errors.Join(errs...)
}
