package lint_test

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"kg/internal/lint"
	"kg/internal/note"
)

// wanted is the file of a case that holds the problems expected, one a line:
//
//	mode/stuck.md:4:9: unknown-id broken: did you mean "pump"?
//
// which is the place, the rule, the grade and a part of the message. Nothing
// else may be reported, so that what a case holds beside these is what the rule
// lets pass.
const wanted = "want"

const base = "base"

var wantLine = regexp.MustCompile(`^(\S+: [a-z-]+ (?:broken|incomplete)): (.+)$`)

// archiveOf reads a case with the clean library under it.
func archiveOf(t *testing.T, name string) (files []txtar.File, want []string) {
	t.Helper()
	under, err := txtar.ParseFile(filepath.Join("testdata", base+".txtar"))
	require.NoError(t, err)
	files = under.Files
	if name == base {
		return files, nil
	}
	over, err := txtar.ParseFile(filepath.Join("testdata", name+".txtar"))
	require.NoError(t, err)
	for _, f := range over.Files {
		if f.Name == wanted {
			want = strings.Split(strings.TrimSpace(string(f.Data)), "\n")
			continue
		}
		files = slices.DeleteFunc(files, func(old txtar.File) bool { return old.Name == f.Name })
		files = append(files, f)
	}
	return files, want
}

// read parses files and applies the rules. A folder above that of the kind names
// the source; the clean library comes first and has none.
func read(t *testing.T, files []txtar.File) (lint.Verdict, []note.Problem) {
	t.Helper()
	var notes []*note.Note
	var leftOut []lint.LeftOut
	var problems []note.Problem
	for _, f := range files {
		n, found := note.Parse(f.Name, f.Data)
		problems = append(problems, found...)
		if n == nil {
			leftOut = append(leftOut, lint.LeftOut{ID: note.ID(strings.TrimSuffix(path.Base(f.Name), ".md"))})
			continue
		}
		n.Source = path.Dir(path.Dir(f.Name))
		notes = append(notes, n)
	}
	v := lint.Check(notes, leftOut)
	return v, append(problems, v.Problems...)
}

func cases(t *testing.T) []string {
	t.Helper()
	files, err := filepath.Glob("testdata/*.txtar")
	require.NoError(t, err)
	var out []string
	for _, f := range files {
		if name := strings.TrimSuffix(filepath.Base(f), ".txtar"); name != base {
			out = append(out, name)
		}
	}
	return out
}

func TestCasesReportWhatIsWantedAndNothingElse(t *testing.T) {
	t.Parallel()
	for _, name := range cases(t) {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			files, want := archiveOf(t, name)
			_, problems := read(t, files)

			fires := false
			var places, got []string
			messages := map[string][]string{}
			for _, line := range want {
				m := wantLine.FindStringSubmatch(line)
				require.NotNil(t, m, "not of the form place: rule grade: message: %q", line)
				places = append(places, m[1])
				messages[m[1]] = append(messages[m[1]], m[2])
				fires = fires || strings.Contains(m[1], ": "+name+" ")
			}
			assert.True(t, fires, "a case shows its rule at work")
			for _, p := range problems {
				got = append(got, fmt.Sprintf("%s: %s %s", p.Pos, p.Rule, p.Grade))
			}
			assert.ElementsMatch(t, places, got)
			for place, parts := range messages {
				for _, part := range parts {
					assert.True(t, slices.ContainsFunc(problems, func(p note.Problem) bool {
						return strings.HasPrefix(place, p.Pos.String()+": "+p.Rule+" ") && strings.Contains(p.Message, part)
					}), "%s: no message holds %q: %v", place, part, problems)
				}
			}
		})
	}
}

func TestTheLibraryUnderTheCasesIsClean(t *testing.T) {
	t.Parallel()
	files, _ := archiveOf(t, base)
	v, problems := read(t, files)
	assert.Empty(t, problems)
	assert.Len(t, v.Kept, len(files))
}

// rulesInCode returns the rules that the package reports, read from its code.
func rulesInCode(t *testing.T) []string {
	t.Helper()
	const ruleArgument = 3 // of checker.report
	files, err := fs.Glob(os.DirFS("."), "*.go")
	require.NoError(t, err)
	var out []string
	for _, file := range files {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		tree, err := parser.ParseFile(token.NewFileSet(), file, nil, 0)
		require.NoError(t, err)
		ast.Inspect(tree, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok {
				return true
			}
			if f, ok := call.Fun.(*ast.SelectorExpr); !ok || f.Sel.Name != "report" {
				return true
			}
			rule, ok := call.Args[ruleArgument].(*ast.BasicLit)
			require.True(t, ok, "%s: a rule is named where it is reported", file)
			name, err := strconv.Unquote(rule.Value)
			require.NoError(t, err)
			out = append(out, name)
			return true
		})
	}
	slices.Sort(out)
	return slices.Compact(out)
}

func TestEveryRuleHasACase(t *testing.T) {
	t.Parallel()
	assert.Equal(t, rulesInCode(t), cases(t))
}
