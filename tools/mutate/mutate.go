package main

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"slices"
	"strings"
)

// mutant is one change of one file.
type mutant struct {
	file     string // as it was given to the parser
	function string // "Func" or "Type.Method"; empty outside of functions
	line     int
	from, to int    // the bytes that are replaced
	with     string // by this
	change   string // what the smallest expression around it was and is
	nth      int    // among the changes of one text in one function, from 1
}

// apply returns the file with the change in it.
func (m mutant) apply(source []byte) []byte {
	return slices.Concat(source[:m.from], []byte(m.with), source[m.to:])
}

// key names a mutant without its line, so that it stays the same when other
// functions of its file change.
func (m mutant) key() string { return m.file + ":" + m.function + ": " + m.change }

func (m mutant) String() string { return fmt.Sprintf("%s:%d: %s", m.file, m.line, m.change) }

// operators holds what each operator is replaced by, once for each.
var operators = map[token.Token][]token.Token{
	token.EQL:        {token.NEQ},
	token.NEQ:        {token.EQL},
	token.LSS:        {token.LEQ, token.GEQ},
	token.LEQ:        {token.LSS, token.GTR},
	token.GTR:        {token.GEQ, token.LEQ},
	token.GEQ:        {token.GTR, token.LSS},
	token.LAND:       {token.LOR},
	token.LOR:        {token.LAND},
	token.ADD:        {token.SUB},
	token.SUB:        {token.ADD},
	token.MUL:        {token.QUO},
	token.QUO:        {token.MUL},
	token.ADD_ASSIGN: {token.SUB_ASSIGN},
	token.SUB_ASSIGN: {token.ADD_ASSIGN},
	token.MUL_ASSIGN: {token.QUO_ASSIGN},
	token.QUO_ASSIGN: {token.MUL_ASSIGN},
	token.INC:        {token.DEC},
	token.DEC:        {token.INC},
}

// names holds what each name is replaced by: functions of which one is taken for
// the other, and the two truths.
var names = map[string]string{"min": "max", "max": "min", "Min": "Max", "Max": "Min", "true": "false", "false": "true"}

// mutants finds all changes of a file, in the order of their places.
func mutants(file string, source []byte) ([]mutant, error) {
	fset := token.NewFileSet()
	tree, err := parser.ParseFile(fset, file, source, parser.SkipObjectResolution)
	if err != nil {
		return nil, err
	}
	f := finder{file: file, source: source, place: fset.File(tree.FileStart)}
	ast.Inspect(tree, func(n ast.Node) bool {
		if n == nil {
			f.above = f.above[:len(f.above)-1]
			return true
		}
		if _, is := n.(*ast.ImportSpec); is {
			return false
		}
		f.find(n)
		f.above = append(f.above, n)
		return true
	})
	slices.SortStableFunc(f.found, func(a, b mutant) int { return a.from - b.from })
	times := map[string]int{}
	for i := range f.found {
		m := &f.found[i]
		times[m.key()]++
		m.nth = times[m.key()]
	}
	return f.found, nil
}

// finder goes through one file.
type finder struct {
	file   string
	source []byte
	place  *token.File
	above  []ast.Node // from the file down to what is looked at
	found  []mutant
}

func (f *finder) find(n ast.Node) {
	switch n := n.(type) {
	case *ast.BinaryExpr:
		if !text(n.X) && !text(n.Y) { // what is written together has no other operator
			f.operator(n, n.OpPos, n.Op)
		}
	case *ast.AssignStmt:
		if !text(n.Rhs[0]) {
			f.operator(n, n.TokPos, n.Tok)
		}
	case *ast.IncDecStmt:
		f.operator(n, n.TokPos, n.Tok)
	case *ast.IfStmt:
		f.negate(n.Cond)
	case *ast.BasicLit:
		if n.Kind == token.INT && !strings.HasPrefix(n.Value, "0o") && !f.sign() {
			f.add(f.around(n), n.Pos(), n.End(), "("+n.Value+" + 1)")
		}
	case *ast.Ident:
		other, is := names[n.Name]
		if !is || f.declares() {
			return
		}
		if n.Name == "Min" || n.Name == "Max" {
			if s, selected := f.above[len(f.above)-1].(*ast.SelectorExpr); !selected || f.text(s.X) != "math" {
				return
			}
		}
		f.add(f.around(n), n.Pos(), n.End(), other)
	}
}

// operator replaces one operator of an expression or statement.
func (f *finder) operator(whole ast.Node, at token.Pos, op token.Token) {
	for _, other := range operators[op] {
		f.add(whole, at, at+token.Pos(len(op.String())), other.String())
	}
}

// negate turns a condition round, unless its operator is turned round anyway.
func (f *finder) negate(cond ast.Expr) {
	if b, is := cond.(*ast.BinaryExpr); is && b.Op.Precedence() == token.EQL.Precedence() {
		return
	}
	f.add(cond, cond.Pos(), cond.End(), "!("+f.text(cond)+")")
}

// around is the smallest expression or short statement above a node, which says
// more than the node alone.
func (f *finder) around(n ast.Node) ast.Node {
	switch above := f.above[len(f.above)-1].(type) {
	case *ast.CompositeLit, *ast.BlockStmt, *ast.CaseClause, *ast.FieldList, *ast.FuncType:
		return n
	case ast.Expr:
		return above
	case *ast.AssignStmt, *ast.ReturnStmt, *ast.ValueSpec, *ast.IncDecStmt, *ast.ExprStmt:
		return above
	default:
		return n
	}
}

// sign reports whether a number is the sign that math.Inf and math.IsInf take, of
// which one more is the same.
func (f *finder) sign() bool {
	call, is := f.above[len(f.above)-1].(*ast.CallExpr)
	return is && slices.Contains([]string{"math.Inf", "math.IsInf"}, f.text(call.Fun))
}

// declares reports whether a name is being declared or is a field, so that it is
// not the function of that name.
func (f *finder) declares() bool {
	switch f.above[len(f.above)-1].(type) {
	case *ast.Field, *ast.FuncDecl, *ast.TypeSpec, *ast.File:
		return true
	default:
		return false
	}
}

// text reports whether an expression is a string as written.
func text(e ast.Expr) bool {
	lit, is := e.(*ast.BasicLit)
	return is && lit.Kind == token.STRING
}

func (f *finder) text(n ast.Node) string {
	return string(f.source[f.place.Offset(n.Pos()):f.place.Offset(n.End())])
}

func (f *finder) add(whole ast.Node, from, to token.Pos, with string) {
	m := mutant{
		file: f.file, function: f.function(), line: f.place.Line(from),
		from: f.place.Offset(from), to: f.place.Offset(to), with: with,
	}
	start, end := f.place.Offset(whole.Pos()), f.place.Offset(whole.End())
	after := string(f.source[start:m.from]) + with + string(f.source[m.to:end])
	m.change = oneLine(f.text(whole)) + " -> " + oneLine(after)
	f.found = append(f.found, m)
}

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

// function names the function that is being looked at.
func (f *finder) function() string {
	for _, n := range f.above {
		d, is := n.(*ast.FuncDecl)
		switch {
		case !is:
		case d.Recv == nil:
			return d.Name.Name
		default:
			of := strings.TrimLeft(f.text(d.Recv.List[0].Type), "*")
			of, _, _ = strings.Cut(of, "[")
			return of + "." + d.Name.Name
		}
	}
	return ""
}
