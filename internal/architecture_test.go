// Package internal_test holds the imports of this module to the design: data
// flows one way.
package internal_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// imports returns what each package of the module imports directly, without its
// tests.
func imports(t *testing.T) map[string][]string {
	t.Helper()
	out, err := exec.CommandContext(t.Context(), "go", "list", "-f", `{{.ImportPath}} {{join .Imports " "}}`, "kg/...").Output()
	require.NoError(t, err)
	all := map[string][]string{}
	for line := range strings.Lines(string(out)) {
		fields := strings.Fields(line)
		all[fields[0]] = fields[1:]
	}
	require.Contains(t, all, "kg/internal/library")
	return all
}

func TestPackagesOfOursImportOnlyWhatTheDesignAllows(t *testing.T) {
	t.Parallel()
	allowed := map[string]struct {
		ours   []string
		reason string
	}{
		"kg/internal/id":             {nil, "names of entries are at the very bottom, so that notes and arithmetic speak of the same things"},
		"kg/internal/place":          {nil, "whoever reads a file says in one form what is wrong in it"},
		"kg/internal/portable":       {nil, "arithmetic that is the same on every processor needs nothing"},
		"kg/internal/spell":          {nil, "how far words are apart is said in one place, below all that suggest"},
		"kg/internal/signal":         {nil, "notes and readings warn in the same words"},
		"kg/internal/units":          {nil, "what a unit is stands in one place, below readings, parts and words"},
		"kg/internal/note":           {[]string{"id", "place", "signal", "spell"}, "the domain types are at the bottom: everything may use them, they use names, places, spelling and words of warning alone"},
		"kg/internal/term":           {[]string{"note", "units"}, "taking a text apart knows the notes' synonyms and units, and no more"},
		"kg/internal/link":           {[]string{"note"}, "who is linked to whom is vocabulary; stores bring the links"},
		"kg/internal/bucket":         {nil, "tables of keys do not care what is in them"},
		"kg/internal/bucket/bolt":    {nil, "a file of tables does not care what is in it"},
		"kg/internal/bucket/memory":  {nil, "tables in memory do not care what is in them"},
		"kg/internal/diagnose":       {[]string{"diagnose/bayes", "diagnose/plan", "id", "portable"}, "probability is pure, so that it runs anywhere, in a browser too"},
		"kg/internal/diagnose/bayes": {[]string{"portable"}, "inference knows variables and states, not what they stand for"},
		"kg/internal/diagnose/plan":  {[]string{"portable"}, "decisions know worlds, costs and results, not what they stand for"},
		"kg/internal/measure":        {[]string{"portable", "signal", "spell", "units"}, "physics of readings is pure, so that it runs anywhere, in a browser too"},
		"kg/internal/parts":          {[]string{"note", "place", "portable", "units"}, "what replaces what and what is like what is pure, so that it runs anywhere, in a browser too"},
		"kg/internal/cost":           {[]string{"note"}, "what work costs is said before anybody plans with it"},
		"kg/internal/cost/table":     {[]string{"cost", "durable", "place", "spell"}, "a team's costs are read before anybody plans with them"},
		"kg/internal/durable":        {nil, "replacing a file does not care what is in it"},
		"kg/internal/lint":           {[]string{"measure", "note", "parts", "place", "spell"}, "rules look at notes and lists, and at nothing that is built from them"},
		"kg/internal/graph":          {[]string{"link", "note"}, "a store knows what it stores, not who asks"},
		"kg/internal/search":         {[]string{"note", "term"}, "a store knows what it stores, not who asks"},
		"kg/internal/archive":        {[]string{"bucket", "note", "parts", "spell", "term"}, "a store knows what it stores, not who asks"},
		"kg/internal/generation":     {[]string{"durable", "note"}, "folders and leases do not care what is in them"},
		"kg/internal/library":        {[]string{"archive", "bucket", "link", "note", "parts", "portable", "signal", "spell", "term"}, "what reads a library knows no store by name and cannot build one"},
		"kg/internal/library/disk": {[]string{"archive", "bucket/bolt", "generation", "graph", "library", "note", "search"},
			"only what opens a generation knows the stores that it lies in"},
		"kg/internal/library/bundle":      {[]string{"archive", "bucket", "bucket/memory", "library", "link", "note", "parts", "portable", "term"}, "a library in memory knows no file system"},
		"kg/internal/library/librarytest": {[]string{"ingest", "ingest/pack", "library", "library/bundle"}, "libraries for tests are built like any other"},
		"kg/internal/ingest": {[]string{"archive", "bucket", "bucket/bolt", "catalogue/lists", "diagnose", "generation", "graph", "link", "lint", "note", "parts", "place", "search"},
			"what builds a library knows all its parts, and nobody who asks it"},
		"kg/internal/ingest/pack":     {[]string{"ingest", "library/bundle", "lint"}, "a bundle is made of what a build would write"},
		"kg/internal/classify":        {[]string{"portable"}, "weights know features and classes, not what they stand for"},
		"kg/internal/classify/fit":    {[]string{"classify"}, "learning knows features and classes, not what they stand for"},
		"kg/internal/hear":            {[]string{"archive", "classify", "diagnose", "library", "link", "note", "portable", "spell", "term"}, "words become findings before anybody advises"},
		"kg/internal/hear/teach":      {[]string{"classify", "classify/fit", "hear", "ingest", "note", "term"}, "what is learned is made before a release, of the sayings as they are"},
		"kg/internal/catalogue":       {[]string{"archive", "hear", "library", "link", "note", "parts", "spell", "term"}, "parts are looked up without a diagnosis"},
		"kg/internal/catalogue/lists": {[]string{"durable", "note", "parts", "place", "spell"}, "lists are taken in and read before there is a library"},
		"kg/internal/catalogue/stock": {[]string{"catalogue", "durable", "parts", "place"}, "what lies on a van is a file of its own, whatever library there is"},
		"kg/internal/advise": {[]string{"archive", "catalogue", "cost", "diagnose", "diagnose/plan", "hear", "library", "link", "measure", "note", "portable", "signal", "term"},
			"advice rests on what was heard and on the library, and prints nothing"},
		"kg/internal/job": {[]string{"advise", "durable", "note", "place"}, "a job asks for advice, it does not look into a library"},
		"kg/internal/present": {[]string{"advise", "catalogue", "catalogue/lists", "catalogue/stock", "cost", "job", "library", "link", "measure", "note", "parts", "place", "signal"},
			"what is printed knows answers, not where they come from"},
		"kg/internal/present/presenttest": {nil, "what a page may look like is said for the tests of two packages"},
	}
	for pkg, list := range imports(t) {
		if !strings.HasPrefix(pkg, "kg/internal/") {
			continue
		}
		rule, known := allowed[pkg]
		require.True(t, known, "%s is new: give it a place in the design and a rule here", pkg)
		for _, imported := range list {
			if name, ours := strings.CutPrefix(imported, "kg/internal/"); ours {
				assert.Contains(t, rule.ours, name, "%s: %s", pkg, rule.reason)
			}
			assert.False(t, strings.HasPrefix(imported, "kg/cmd"), "%s: nothing imports a command", pkg)
		}
	}
}

func TestEachStoreLibraryHasOneUser(t *testing.T) {
	t.Parallel()
	users := map[string][]string{
		"github.com/cayleygraph/":             {"kg/internal/graph"},
		"go.etcd.io/bbolt":                    {"kg/internal/graph", "kg/internal/bucket/bolt"},
		"github.com/hidal-go/":                {"kg/internal/graph"},
		"github.com/blevesearch/bleve":        {"kg/internal/search", "kg/bench/textindex"}, // the second compares with the stock analyser
		"github.com/blevesearch/snowballstem": {"kg/internal/term"},
		"go.yaml.in/":                         {"kg/internal/note"},
		"github.com/urfave/":                  {"kg/cmd/kg"},
	}
	for pkg, list := range imports(t) {
		for _, imported := range list {
			for library, allowed := range users {
				if strings.HasPrefix(imported, library) {
					assert.Contains(t, allowed, pkg, "%s can be replaced in a day only if one package knows it", imported)
				}
			}
		}
	}
}

// What works out an answer runs in a browser: no store that needs a file system is
// in it.
func TestWhatWorksOutAnAnswerRunsInABrowser(t *testing.T) {
	t.Parallel()
	pure := []string{"hear", "advise", "catalogue", "cost", "measure", "present", "library", "library/bundle", "diagnose", "diagnose/bayes", "diagnose/plan", "parts", "portable", "units"}
	args := []string{"build"}
	for _, p := range pure {
		args = append(args, "kg/internal/"+p)
	}
	build := exec.CommandContext(t.Context(), "go", args...)
	build.Env = append(slices.Clone(build.Environ()), "GOOS=js", "GOARCH=wasm")
	out, err := build.CombinedOutput()
	assert.NoError(t, err, string(out))
}

func TestProbabilityAndPhysicsNeedOnlyTheStandardLibrary(t *testing.T) {
	t.Parallel()
	all := imports(t)
	for _, pure := range []string{"kg/internal/diagnose", "kg/internal/diagnose/bayes", "kg/internal/diagnose/plan", "kg/internal/measure", "kg/internal/parts", "kg/internal/portable", "kg/internal/units"} {
		for _, imported := range all[pure] {
			first, _, _ := strings.Cut(imported, "/")
			assert.NotContains(t, first, ".", "%s is not of the standard library", imported)
		}
	}
}

// What scripts/test leaves without the race detector has nothing that could race.
func TestWhatIsTestedWithoutTheRaceDetectorStartsNothingAtOnce(t *testing.T) {
	t.Parallel()
	script, err := os.ReadFile(filepath.Join("..", "scripts", "test"))
	require.NoError(t, err)
	_, list, found := strings.Cut(string(script), "\nalone=\"")
	require.True(t, found, "scripts/test names them")
	list, _, _ = strings.Cut(list, "\"")
	require.NotEmpty(t, strings.Fields(list))
	for _, pkg := range strings.Fields(list) {
		folder := filepath.Join("..", filepath.FromSlash(strings.TrimPrefix(pkg, "kg/")))
		files, err := filepath.Glob(filepath.Join(folder, "*.go"))
		require.NoError(t, err)
		require.NotEmpty(t, files, pkg)
		for _, file := range files {
			for _, place := range startedAtOnce(t, file) {
				assert.Fail(t, place, "%s runs without the race detector: take it from the list in scripts/test", pkg)
			}
		}
	}
}

// startedAtOnce are the places of a file that start something beside what runs: a go
// statement, or a call of Go, as groups of them have it.
func startedAtOnce(t *testing.T, file string) (places []string) {
	t.Helper()
	fset := token.NewFileSet()
	parsed, err := parser.ParseFile(fset, file, nil, parser.SkipObjectResolution)
	require.NoError(t, err)
	ast.Inspect(parsed, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.GoStmt:
			places = append(places, fset.Position(n.Pos()).String())
		case *ast.CallExpr:
			if s, ok := n.Fun.(*ast.SelectorExpr); ok && s.Sel.Name == "Go" {
				places = append(places, fset.Position(n.Pos()).String())
			}
		}
		return true
	})
	return places
}

func TestWhatIsStartedAtOnceIsFound(t *testing.T) {
	t.Parallel()
	file := filepath.Join(t.TempDir(), "p.go")
	require.NoError(t, os.WriteFile(file, []byte(`package p

func f(group interface{ Go(func()) }) {
	go f(group)
	group.Go(func() {})
}
`), 0o600))
	assert.Equal(t, []string{file + ":4:2", file + ":5:2"}, startedAtOnce(t, file))
}
