// Package internal_test holds the imports of this module to the design: data
// flows one way.
package internal_test

import (
	"os/exec"
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
		"kg/internal/note":           {nil, "the domain types are at the bottom: everything may use them, they use nothing"},
		"kg/internal/diagnose":       {[]string{"diagnose/bayes", "diagnose/plan"}, "probability is pure, so that it runs anywhere, in a browser too"},
		"kg/internal/diagnose/bayes": {nil, "inference knows variables and states, not what they stand for"},
		"kg/internal/diagnose/plan":  {nil, "decisions know worlds, costs and results, not what they stand for"},
		"kg/internal/measure":        {nil, "physics of readings is pure, so that it runs anywhere, in a browser too"},
		"kg/internal/parts":          {nil, "what replaces what and what is like what is pure, so that it runs anywhere, in a browser too"},
		"kg/internal/durable":        {nil, "replacing a file does not care what is in it"},
		"kg/internal/stock":          {[]string{"durable", "parts"}, "what lies on a van is a file of its own, whatever library there is"},
		"kg/internal/lint":           {[]string{"measure", "note", "parts"}, "rules look at notes and lists, and at nothing that is built from them"},
		"kg/internal/graph":          {[]string{"note"}, "a store knows what it stores, not who asks"},
		"kg/internal/search":         {[]string{"note"}, "a store knows what it stores, not who asks"},
		"kg/internal/archive":        {[]string{"note", "parts"}, "a store knows what it stores, not who asks"},
		"kg/internal/generation":     {[]string{"note"}, "folders and leases do not care what is in them"},
		"kg/internal/ingest": {[]string{"archive", "diagnose", "durable", "generation", "graph", "lint", "note", "parts", "search"},
			"what builds a library knows all its parts, and no reader"},
		"kg/internal/library": {[]string{"archive", "diagnose", "diagnose/plan", "generation", "graph", "measure", "note", "parts", "search"},
			"what reads a library cannot build one"},
		"kg/internal/job": {[]string{"library", "note"}, "a job asks a library, it does not look into it"},
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
		"github.com/cayleygraph/": {"kg/internal/graph"},
		"github.com/hidal-go/":    {"kg/internal/graph"},
		"github.com/blevesearch/": {"kg/internal/search", "kg/bench/retrieval"}, // the second compares with the stock analyser
		"go.yaml.in/":             {"kg/internal/note"},
		"github.com/urfave/":      {"kg/cmd/kg"},
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

func TestProbabilityAndPhysicsNeedOnlyTheStandardLibraryAndRunInABrowser(t *testing.T) {
	t.Parallel()
	for _, pure := range []string{"kg/internal/diagnose", "kg/internal/diagnose/bayes", "kg/internal/diagnose/plan", "kg/internal/measure", "kg/internal/parts"} {
		for _, imported := range imports(t)[pure] {
			first, _, _ := strings.Cut(imported, "/")
			assert.NotContains(t, first, ".", "%s is not of the standard library", imported)
		}
		build := exec.CommandContext(t.Context(), "go", "build", pure)
		build.Env = append(slices.Clone(build.Environ()), "GOOS=js", "GOARCH=wasm")
		out, err := build.CombinedOutput()
		assert.NoError(t, err, string(out))
	}
}
