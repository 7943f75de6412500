package main

import (
	"fmt"
	"slices"

	"kg/bench/sharing"
	"kg/internal/advise"
	"kg/internal/diagnose"
	"kg/internal/hear"
	"kg/internal/note"
)

// taken is the probability from which on a result that words tell of counts as found;
// below it, it is asked about.
const taken = advise.ToldEnough

// told is a sentence that says what a test has found.
type told struct {
	said
	test *note.Test
}

func (t told) result() string { return t.means[1] }

// found is the result of the test that was heard clearly enough to count, empty if none
// was.
func (t told) found() string {
	for _, x := range t.Told {
		if x.Test == t.test.ID && x.Results[0].Score >= taken {
			return x.Results[0].Result
		}
	}
	return ""
}

func (t told) right() bool { return t.found() == t.result() }

// asked reports whether the right result is one that is named, none of which is clear
// enough to count as found.
func (t told) asked() bool {
	return slices.ContainsFunc(t.Told, func(x hear.Told) bool {
		return x.Results[0].Score < taken && (x.Test == t.test.ID && slices.ContainsFunc(x.Results, func(r hear.Likely) bool { return r.Result == t.result() }) ||
			slices.ContainsFunc(x.Others, func(o hear.Told) bool { return o.Test == t.test.ID && o.Results[0].Result == t.result() }))
	})
}

// otherwise reports whether something was heard, but not this.
func (t told) otherwise() bool {
	return !t.right() && !t.asked() && len(t.Told)+len(t.Findings) > 0
}

// fault reports whether a fault was heard: something that is there, or a result of the
// test with which not all is well.
func (t told) fault() bool {
	found := t.found()
	return found != "" && !healthy(t.test, found) ||
		slices.ContainsFunc(t.Findings, func(f hear.Finding) bool { return f.Present })
}

// healthy reports whether all is well with a result: the test says so, or where it says
// nothing of that, none of the modes that it tells apart makes the result likelier.
func healthy(t *note.Test, result string) bool {
	if t.Proves() {
		return t.FindsHealthy(result)
	}
	return slices.ContainsFunc(advise.TestFigures(t).Results, func(r diagnose.Result) bool {
		for _, p := range r.Given {
			if p > r.Otherwise {
				return false
			}
		}
		return r.Name == result
	})
}

// resultRows say how what tests have found is heard: with nothing known beforehand, and
// when the test was the next step, as a job has it.
func (c crew) resultRows(heard []said) (table, error) {
	out, err := c.toldRows("told results", heard)
	if err != nil {
		return nil, err
	}
	waited, err := sharing.Map(c, heard, func(l listener, s said) (_ said, err error) {
		s.Heard, err = l.hear(s.text, s.id())
		return s, err
	})
	if err != nil {
		return nil, err
	}
	more, err := c.toldRows("told results of the next step", waited)
	return append(out, more...), err
}

func (c crew) toldRows(what string, heard []said) (table, error) {
	var all, well []told
	for _, s := range heard {
		rec, err := c[0].lib.Entry(s.id())
		if err != nil {
			return nil, err
		}
		test, ok := rec.Entry.(*note.Test)
		if !ok {
			return nil, fmt.Errorf("%s is not a test: give the id of one in results.tsv", s.id())
		}
		t := told{s, test}
		if !slices.ContainsFunc(test.Results, func(r note.Result) bool { return r.Name == t.result() }) {
			return nil, fmt.Errorf("%q is not a result of %s: give the name of one in results.tsv", t.result(), s.id())
		}
		all = append(all, t)
		if healthy(test, t.result()) {
			well = append(well, t)
		}
	}
	return table{
		{what + " heard right, or asked about", counted(all, func(t told) bool { return t.right() || t.asked() }).share(), goalResultHeard},
		{"  heard right", counted(all, told.right).share(), goal{}},
		{"  heard as something else", counted(all, told.otherwise).share(), goal{}},
		{"  healthy heard as a fault", counted(well, told.fault).share(), goalHealthyFault},
	}, nil
}
