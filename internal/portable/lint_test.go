package portable_test

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// rooms are the packages whose numbers have to be the same everywhere.
var rooms = []string{
	"kg/internal/diagnose",
	"kg/internal/diagnose/bayes",
	"kg/internal/diagnose/plan",
	"kg/internal/measure",
	"kg/internal/parts",
	"kg/internal/portable",
	"kg/internal/units",
	"kg/internal/library", "kg/internal/classify", "kg/internal/hear", "kg/internal/advise", "kg/internal/catalogue",
}

// exact are the functions of package math that IEEE 754 or their meaning leaves no
// choice of the last digit. All others are forbidden, those to come too. FMA is not
// among them: it is exact, but the listing could not tell it from what the compiler
// made.
var exact = []string{
	"Abs", "Ceil", "Copysign", "Dim", "Float32bits", "Float32frombits", "Float64bits", "Float64frombits", "Floor", "Frexp", "Ilogb", "Inf",
	"IsInf", "IsNaN", "Ldexp", "Logb", "Max", "Min", "Mod", "Modf", "NaN", "Nextafter", "Nextafter32", "Remainder", "Round", "RoundToEven",
	"Signbit", "Sqrt", "Trunc",
}

// rule is one of those that a room is held to: what is wrong at which place.
type rule struct {
	reason string
	broken func(*room) []string
}

var rules = []rule{
	{"functions of package math differ in the last digit from one processor to another: use package portable, or add it here", inexactCalls},
	{"a map is ranged over in another order every time, and so a sum has another last digit: range over its keys, sorted", sumsOverMaps},
}

const fusedReason = "the compiler computed a product and a sum with one rounding, which not every processor can: " +
	"write float64(a*b) + c, also where the product is made in another statement or a function that is inlined; " +
	"twice a number is a sum, and half of it a product"

// room is a package with its types, without its tests.
type room struct {
	fset  *token.FileSet
	files []*ast.File
	info  *types.Info
}

// compiled imports what packages import from what the compiler has kept of it, which is
// sooner read than its source.
func compiled(t *testing.T, fset *token.FileSet, packages ...string) types.Importer {
	t.Helper()
	args := append([]string{"list", "-export", "-deps", "-f", "{{.ImportPath}} {{.Export}}"}, packages...)
	out, err := exec.CommandContext(t.Context(), "go", args...).Output()
	require.NoError(t, err)
	files := map[string]string{}
	for line := range strings.Lines(string(out)) {
		path, file, _ := strings.Cut(strings.TrimSpace(line), " ")
		files[path] = file
	}
	return importer.ForCompiler(fset, "gc", func(path string) (io.ReadCloser, error) { return os.Open(files[path]) })
}

// check finds the types of a package. from serves all packages, so that each is
// imported once.
func check(from types.Importer, fset *token.FileSet, path string, files []*ast.File) (*room, error) {
	r := &room{fset, files, &types.Info{Types: map[ast.Expr]types.TypeAndValue{}, Uses: map[*ast.Ident]types.Object{}, Defs: map[*ast.Ident]types.Object{}}}
	conf := types.Config{Importer: from}
	_, err := conf.Check(path, fset, files, r.info)
	return r, err
}

func (r *room) at(n ast.Node, what string, args ...any) string {
	p := r.fset.Position(n.Pos())
	return fmt.Sprintf("%s:%d: %s", filepath.Base(p.Filename), p.Line, fmt.Sprintf(what, args...))
}

func (r *room) each(look func(ast.Node) bool) {
	for _, f := range r.files {
		ast.Inspect(f, look)
	}
}

func inexactCalls(r *room) (out []string) {
	r.each(func(n ast.Node) bool {
		id, ok := n.(*ast.Ident)
		if !ok {
			return true
		}
		f, ok := r.info.Uses[id].(*types.Func)
		if !ok || f.Pkg() == nil {
			return true
		}
		switch f.Pkg().Path() {
		case "math":
			if !slices.Contains(exact, f.Name()) {
				out = append(out, r.at(n, "math.%s", f.Name()))
			}
		case "math/cmplx":
			out = append(out, r.at(n, "cmplx.%s", f.Name()))
		case "math/rand", "math/rand/v2":
			if f.Name() == "NormFloat64" || f.Name() == "ExpFloat64" { // by math.Exp and math.Log
				out = append(out, r.at(n, "rand.%s", f.Name()))
			}
		}
		return true
	})
	return out
}

func sumsOverMaps(r *room) (out []string) {
	r.each(func(n ast.Node) bool {
		loop, ok := n.(*ast.RangeStmt)
		if !ok || !r.unordered(loop.X) {
			return true
		}
		ast.Inspect(loop.Body, func(n ast.Node) bool {
			if a, ok := n.(*ast.AssignStmt); ok && r.adds(a) && !r.ofOneRound(a.Lhs[0], loop) {
				out = append(out, r.at(n, "%s grows in a range over %s", types.ExprString(a.Lhs[0]), types.ExprString(loop.X)))
			}
			return true
		})
		return true
	})
	return out
}

// unordered says whether an expression is a map or one of the sequences of package
// maps.
func (r *room) unordered(x ast.Expr) bool {
	if call, ok := ast.Unparen(x).(*ast.CallExpr); ok {
		if s, ok := ast.Unparen(call.Fun).(*ast.SelectorExpr); ok {
			f, ok := r.info.Uses[s.Sel].(*types.Func)
			return ok && f.Pkg() != nil && f.Pkg().Path() == "maps" && slices.Contains([]string{"Keys", "Values", "All"}, f.Name())
		}
	}
	_, isMap := r.info.Types[x].Type.Underlying().(*types.Map)
	return isMap
}

// adds says whether an assignment makes a new value of a floating-point number from
// its old one, by x += y or x = x + y and the like.
func (r *room) adds(a *ast.AssignStmt) bool {
	if len(a.Lhs) != 1 || a.Tok == token.DEFINE {
		return false
	}
	basic, ok := r.info.TypeOf(a.Lhs[0]).Underlying().(*types.Basic)
	if !ok || basic.Info()&(types.IsFloat|types.IsComplex) == 0 {
		return false
	}
	if a.Tok != token.ASSIGN {
		return true
	}
	name, found := types.ExprString(a.Lhs[0]), false
	ast.Inspect(a.Rhs[0], func(n ast.Node) bool {
		if b, ok := n.(*ast.BinaryExpr); ok {
			ast.Inspect(b, func(n ast.Node) bool {
				x, ok := n.(ast.Expr)
				found = found || ok && types.ExprString(x) == name
				return !found
			})
		}
		return !found
	})
	return found
}

// ofOneRound says whether what is assigned to belongs to one round of a loop: made
// in it, or the entry of its key.
func (r *room) ofOneRound(x ast.Expr, loop *ast.RangeStmt) bool {
	for {
		switch e := ast.Unparen(x).(type) {
		case *ast.IndexExpr:
			if key, ok := loop.Key.(*ast.Ident); ok {
				if i, ok := ast.Unparen(e.Index).(*ast.Ident); ok && r.info.ObjectOf(i) == r.info.ObjectOf(key) {
					return true
				}
			}
			x = e.X
		case *ast.SelectorExpr:
			x = e.X
		case *ast.StarExpr:
			x = e.X
		case *ast.Ident:
			o := r.info.ObjectOf(e)
			return o != nil && o.Pos() >= loop.Body.Pos() && o.Pos() < loop.Body.End()
		default:
			return false
		}
	}
}

func TestRoomsKeepTheRules(t *testing.T) {
	t.Parallel()
	fset := token.NewFileSet()
	from := compiled(t, fset, rooms...)
	for _, path := range rooms {
		out, err := exec.CommandContext(t.Context(), "go", "list", "-f", `{{.Dir}}{{range .GoFiles}} {{.}}{{end}}`, path).Output()
		require.NoError(t, err)
		dir, names, _ := strings.Cut(strings.TrimSpace(string(out)), " ")
		var files []*ast.File
		for _, name := range strings.Fields(names) {
			f, err := parser.ParseFile(fset, filepath.Join(dir, name), nil, parser.SkipObjectResolution)
			require.NoError(t, err)
			files = append(files, f)
		}
		r, err := check(from, fset, path, files)
		require.NoError(t, err)
		for _, rule := range rules {
			for _, place := range rule.broken(r) {
				assert.Fail(t, path+": "+place, rule.reason)
			}
		}
	}
}

// fused are the instructions that round a product and a sum at once: FMADD and its
// kin of arm64, VFMADD231SD and its kin of amd64.
var fused = regexp.MustCompile(`\((\S+:\d+)\)\t(V?FN?M(?:ADD|SUB)\w*)`)

// fusedIn finds them line by line: a listing has half a million lines, and the letters
// that they share are found sooner than an expression is matched.
func fusedIn(listing string) (out [][]string) {
	for line := range strings.Lines(listing) {
		if !strings.Contains(line, "FM") && !strings.Contains(line, "FNM") {
			continue
		}
		out = append(out, fused.FindAllStringSubmatch(line, -1)...)
	}
	return out
}

// processors are one that can and does, and one that is told that it can.
var processors = []string{"GOARCH=arm64", "GOARCH=amd64 GOAMD64=v3"}

// listing is what the compiler made of packages for a processor.
func listing(t *testing.T, dir, processor string, packages ...string) string {
	t.Helper()
	build := exec.CommandContext(t.Context(), "go", append([]string{"build", "-gcflags=-S"}, packages...)...)
	build.Dir = dir
	build.Env = append(build.Environ(), "GOOS=linux", "CGO_ENABLED=0")
	build.Env = append(build.Env, strings.Fields(processor)...)
	var out bytes.Buffer
	build.Stderr = &out // the listing of a package that is built already is kept and shown again
	require.NoError(t, build.Run(), "%s", &out)
	return out.String()
}

func TestNoProductIsFusedWithASum(t *testing.T) {
	t.Parallel()
	for _, processor := range processors {
		text := listing(t, "", processor, rooms...)
		for _, path := range rooms {
			listed := strings.Contains("\n"+text, "\n# "+path+"\n") // not Contains of assert, which would print it all
			require.True(t, listed, "%s: there is no listing of %s", processor, path)
		}
		for _, m := range fusedIn(text) {
			assert.Fail(t, fmt.Sprintf("%s: %s (%s)", m[1], m[2], processor), fusedReason)
		}
	}
}

func TestRulesFindWhatBreaksThem(t *testing.T) {
	t.Parallel()
	const code = `package p

import (
	"maps"
	m "math"
	"math/rand/v2"
)

func calls(x float64) float64 { return m.Sqrt(x) + m.Sinh(x) + rand.Float64() + rand.NormFloat64() } // 9: two

func sums(of map[string]float64, n map[string]int) (sum float64) {
	count, product := 0, 1.0
	for k, x := range of {
		sum += x // 14
		sum = x + (sum) // 15
		product *= x // 16
		of[k] += 1
		count += n[k]
		part := 0.0
		part += x
		sum = max(sum, x)
	}
	for x := range maps.Values(of) {
		sum -= x // 24
	}
	for _, x := range []float64{1, 2} {
		sum += x
	}
	return sum + float64(count) + product
}
`
	fset := token.NewFileSet()
	f, err := parser.ParseFile(fset, "p.go", code, parser.SkipObjectResolution)
	require.NoError(t, err)
	r, err := check(compiled(t, fset, "maps", "math", "math/rand/v2"), fset, "p", []*ast.File{f})
	require.NoError(t, err)
	assert.Equal(t, []string{"p.go:9: math.Sinh", "p.go:9: rand.NormFloat64"}, inexactCalls(r))
	assert.Equal(t, []string{
		"p.go:14: sum grows in a range over of", "p.go:15: sum grows in a range over of", "p.go:16: product grows in a range over of",
		"p.go:24: sum grows in a range over maps.Values(of)",
	}, sumsOverMaps(r))

	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "go.mod"), []byte("module p\n\ngo 1.26\n"), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "p.go"), []byte(`package p

func Fused(a, b, c float64) float64 { return a*b + c }

func Rounded(a, b, c float64) float64 { return float64(a*b) + c }
`), 0o600))
	for _, processor := range processors {
		found := fusedIn(listing(t, dir, processor, "p"))
		require.Len(t, found, 1, processor)
		assert.Contains(t, found[0][1], "p.go:3")
	}
}
