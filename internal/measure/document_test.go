package measure

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "rewrite the list of models in docs/readings.md")

// The list of models in the document is what the tables of the program say.
func TestDocumentListsTheModelsAsTheyAre(t *testing.T) {
	t.Parallel()
	const begin, end = "<!-- models -->\n", "<!-- end of models -->\n"
	file := filepath.Join("..", "..", "docs", "readings.md")
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	before, rest, ok := strings.Cut(string(text), begin)
	require.True(t, ok)
	listed, after, ok := strings.Cut(rest, end)
	require.True(t, ok)
	var b strings.Builder
	for _, m := range Models() {
		fmt.Fprintf(&b, "\n### %s\n\n%s. In %s.", m.Name, strings.ToUpper(m.About[:1])+m.About[1:], m.Unit)
		if len(m.Also) > 0 {
			fmt.Fprintf(&b, " Also called %s.", strings.Join(m.Also, ", "))
		}
		fmt.Fprint(&b, "\n\n")
		if len(m.Keys) > 0 {
			fmt.Fprint(&b, "| key | meaning |\n|---|---|\n")
		}
		for i := range m.Keys {
			name := m.Keys[i].Name
			if len(m.Keys[i].Also) > 0 {
				name += " (" + strings.Join(m.Keys[i].Also, ", ") + ")"
			}
			fmt.Fprintf(&b, "| %s | %s |\n", name, m.Keys[i].Explain())
		}
		if len(m.ReadsAlso) > 0 {
			fmt.Fprintf(&b, "\nThe reading may be called %s too.\n", strings.Join(m.ReadsAlso, ", "))
		}
		fmt.Fprintf(&b, "\nSource: %s.\n", m.Source)
		if m.Edition != "" {
			fmt.Fprintf(&b, "Edition: %s.\n", m.Edition)
		}
	}
	b.WriteString("\n")
	if *update {
		require.NoError(t, os.WriteFile(file, []byte(before+begin+b.String()+end+after), 0o644))
		return
	}
	assert.Equal(t, b.String(), listed, "go test ./internal/measure -run Document -update rewrites it")
}
