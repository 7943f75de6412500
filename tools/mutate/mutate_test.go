package main

import (
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"slices"
	"testing"
)

// snippet has one place for each kind of change.
const snippet = `package p

import "math"

const big = true

func (s *stack[T]) grow(n int, name string) int {
	if n < 2 && s.ok(name+"x") {
		n++
	}
	s.size += n
	s.half = math.Inf(1)
	s.write(0o644)
	return min(n, int(math.Max(1.5, s.half)))
}
`

func TestEachKindOfChangeIsFound(t *testing.T) {
	t.Parallel()
	found, err := mutants("p.go", []byte(snippet))
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, m := range found {
		got = append(got, m.String())
	}
	want := []string{
		"p.go:5: big = true -> big = false",
		`p.go:8: n < 2 && s.ok(name+"x") -> !(n < 2 && s.ok(name+"x"))`,
		"p.go:8: n < 2 -> n <= 2",
		"p.go:8: n < 2 -> n >= 2",
		"p.go:8: n < 2 -> n < (2 + 1)",
		`p.go:8: n < 2 && s.ok(name+"x") -> n < 2 || s.ok(name+"x")`,
		"p.go:9: n++ -> n--",
		"p.go:11: s.size += n -> s.size -= n",
		"p.go:14: min(n, int(math.Max(1.5, s.half))) -> max(n, int(math.Max(1.5, s.half)))",
		"p.go:14: math.Max -> math.Min",
	}
	if !slices.Equal(got, want) {
		t.Errorf("found %q, want %q", got, want)
	}
	if found[2].function != "stack.grow" {
		t.Errorf("the change is said to be in %q", found[2].function)
	}
}

func TestAMutantIsTheFileWithOneChange(t *testing.T) {
	t.Parallel()
	source := []byte("package p\n\nfunc f(a, b int) bool { return a+1 <= b }\n")
	found, err := mutants("p.go", source)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, m := range found {
		changed := m.apply(source)
		if _, err := parser.ParseFile(token.NewFileSet(), "p.go", changed, 0); err != nil {
			t.Errorf("%s: %v", m, err)
		}
		got = append(got, string(changed[len("package p\n\nfunc f(a, b int) bool { return "):len(changed)-len(" }\n")]))
	}
	if want := []string{"a-1 <= b", "a+(1 + 1) <= b", "a+1 < b", "a+1 > b"}; !slices.Equal(got, want) {
		t.Errorf("the mutants are %q, want %q", got, want)
	}
}

// What is tried of one function does not change with the lines of another, so
// that a figure can be compared with the one from before.
func TestASampleStaysTheSameWhenOtherLinesCome(t *testing.T) {
	t.Parallel()
	before, err := mutants("p.go", []byte(snippet))
	if err != nil {
		t.Fatal(err)
	}
	after, err := mutants("p.go", []byte("package p\n\n// A line more.\n\n"+snippet[len("package p\n\n"):]))
	if err != nil {
		t.Fatal(err)
	}
	keys := func(all []mutant, seed int) (out []string) {
		for _, m := range sample(all, 4, seed) {
			out = append(out, m.key())
		}
		return out
	}
	if got, want := keys(after, 1), keys(before, 1); len(got) != 4 || !slices.Equal(got, want) {
		t.Errorf("with a line more %q are tried, without %q", got, want)
	}
	if slices.Equal(keys(before, 1), keys(before, 2)) {
		t.Error("another seed tries the same")
	}
	if got := sample(before, 1000, 1); !slices.Equal(got, before) {
		t.Errorf("of fewer than the most, all are tried in their order, not %v", got)
	}
}

func TestAnEntryOfTheListNamesAMutantAndSaysWhy(t *testing.T) {
	t.Parallel()
	file := filepath.Join(t.TempDir(), "equivalent.txt")
	write := func(s string) {
		if err := os.WriteFile(file, []byte(s), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	write("# why not\n\np.go:stack.grow: `n < 2 -> n <= 2`: two is left out above\n")
	none, err := readEquivalent(file)
	if err != nil {
		t.Fatal(err)
	}
	found, err := mutants("p.go", []byte(snippet))
	if err != nil {
		t.Fatal(err)
	}
	for i, m := range found {
		if none.has(m) != (i == 2) {
			t.Errorf("%s: listed is %v", m, none.has(m))
		}
	}
	two, err := mutants("p.go", []byte("package p\n\nfunc f(a bool) (bool, bool) { return g(!a || a), h(!a || a) }\n"))
	if err != nil {
		t.Fatal(err)
	}
	write("p.go:f: `!a || a -> !a && a` 2: that one alone\n")
	if none, err = readEquivalent(file); err != nil {
		t.Fatal(err)
	}
	for i, m := range two {
		if none.has(m) != (i == 1) {
			t.Errorf("%s, the %d. of its text: listed is %v", m, m.nth, none.has(m))
		}
	}
	write("p.go:stack.grow: `n < 2 -> n <= 2`\n")
	if _, err := readEquivalent(file); err == nil {
		t.Error("an entry without a reason is taken")
	}
	if none, err := readEquivalent(filepath.Join(t.TempDir(), "none.txt")); err != nil || len(none) > 0 {
		t.Errorf("no list is %v, %v", none, err)
	}
}

func TestTheShareIsRoundedDown(t *testing.T) {
	t.Parallel()
	if got := (tally{killed: 2, survivors: make([]mutant, 1)}).share(); got != 66 {
		t.Errorf("two of three are %d in 100", got)
	}
	if got := (tally{}).share(); got != 100 {
		t.Errorf("none of none is %d in 100", got)
	}
}
