package bayes_test

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/bench/bif"
	"kg/bench/discrete"
)

// checked is one published network under some evidence, with every posterior, as
// computed by variable elimination and confirmed by a second, independent junction
// tree (testdata/README.md).
type checked struct {
	Network    string                        `json:"network"`
	Evidence   map[string]string             `json:"evidence"`
	P          float64                       `json:"p_evidence"`
	Posteriors map[string]map[string]float64 `json:"posteriors"`
}

// TestPublishedNetworks compares every posterior of the published networks. The
// small ones lie in testdata; the large ones are read where the folder of checks
// exists beside the checkout.
func TestPublishedNetworks(t *testing.T) {
	t.Parallel()
	beside := filepath.Join("..", "..", "..", "..", "shared", "checks")
	files := []string{filepath.Join("testdata", "posteriors.json")}
	if extra := filepath.Join(beside, "posteriors.json"); exists(extra) {
		files = append(files, extra)
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		var checks []checked
		require.NoError(t, json.Unmarshal(text, &checks))
		require.NotEmpty(t, checks)
		for _, c := range checks {
			t.Run(filepath.Base(filepath.Dir(file))+"/"+c.Network, func(t *testing.T) {
				t.Parallel()
				path := filepath.Join("testdata", c.Network+".bif")
				if !exists(path) {
					path = filepath.Join(beside, "networks", c.Network+".bif")
				}
				c.hold(t, network(t, path))
			})
		}
	}
}

func exists(path string) bool { _, err := os.Stat(path); return err == nil }

func network(t *testing.T, path string) discrete.Network {
	t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	n, err := bif.Parse(string(text))
	require.NoError(t, err)
	return n
}

func node(t *testing.T, n discrete.Network, name string) int {
	t.Helper()
	i := slices.IndexFunc(n.Nodes, func(x discrete.Node) bool { return x.Name == name })
	require.GreaterOrEqual(t, i, 0, name)
	return i
}

func (c checked) hold(t *testing.T, n discrete.Network) {
	var findings []discrete.Finding
	for name, state := range c.Evidence {
		i := node(t, n, name)
		findings = append(findings, n.Seen(i, slices.Index(n.Nodes[i].States, state)))
	}
	p, err := n.Infer(findings)
	require.NoError(t, err)
	assert.InEpsilon(t, c.P, p.Evidence.Float(), 1e-6)
	for name, states := range c.Posteriors {
		i := node(t, n, name)
		for state, want := range states {
			assert.InDelta(t, want, p.Marginals[i][slices.Index(n.Nodes[i].States, state)], 1e-6, "%s = %s", name, state)
		}
	}
}
