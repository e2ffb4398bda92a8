package text

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/pantry"
)

// A reader collects the sentences of the sources: literals where they are
// said, and the values of functions, tables and constants that are said by
// name. It knows syntax only, so names stand for all things of that name.
type reader struct {
	said    map[string]string // sentence to place
	returns map[string][]ast.Expr
	tables  map[string][]ast.Expr
	calls   map[string]bool // functions whose values are said
	byName  map[string]bool // tables and constants that are said
	files   *token.FileSet
}

// saidByName are tables whose entries reach the catalogue through a variable.
var saidByName = []string{"web.sayings", "web.refusalTitles"}

func sentences(t *testing.T, root string) map[string]string {
	r := &reader{map[string]string{}, map[string][]ast.Expr{}, map[string][]ast.Expr{}, map[string]bool{}, map[string]bool{}, token.NewFileSet()}
	for _, name := range saidByName {
		r.byName[name] = true
	}
	for _, dir := range []string{"web", "challenge", "store", "cmd/fairladle"} {
		require.NoError(t, filepath.WalkDir(filepath.Join(root, dir), func(file string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(file, ".go") || strings.HasSuffix(file, "_test.go") {
				return err
			}
			f, err := parser.ParseFile(r.files, file, nil, parser.SkipObjectResolution)
			if err == nil {
				r.file(f)
			}
			return err
		}))
	}
	for name := range r.calls {
		for _, e := range r.returns[name] {
			r.value(e)
		}
	}
	for name := range r.byName {
		for _, e := range r.tables[name] {
			r.value(e)
		}
	}
	r.data()
	return r.said
}

// data adds the words of the tables of facts that pages show.
func (r *reader) data() {
	for table, column := range map[string]int{"aisles": 1, "allergens": 1, "equipment": 1, "cautions": 5, "safety_rules": 2, "risk_groups": 0} {
		for _, row := range pantry.Rows(table) {
			if row[column] != "" && r.said[row[column]] == "" {
				r.said[row[column]] = "challenge/pantry/" + table + ".tsv"
			}
		}
	}
}

func (r *reader) file(f *ast.File) {
	for _, d := range f.Decls {
		switch x := d.(type) {
		case *ast.FuncDecl:
			ast.Inspect(x, func(n ast.Node) bool {
				if ret, ok := n.(*ast.ReturnStmt); ok {
					r.returns[x.Name.Name] = append(r.returns[x.Name.Name], ret.Results...)
				}
				return true
			})
		case *ast.GenDecl:
			for _, s := range x.Specs {
				if v, ok := s.(*ast.ValueSpec); ok {
					for _, name := range v.Names {
						r.tables[f.Name.Name+"."+name.Name] = append(r.tables[f.Name.Name+"."+name.Name], v.Values...)
					}
				}
			}
		}
	}
	ast.Inspect(f, func(n ast.Node) bool {
		switch x := n.(type) {
		case *ast.CallExpr:
			for _, e := range spoken(x) {
				r.sentence(f.Name.Name, e)
			}
		case *ast.CompositeLit:
			// what comes next is said through a field
			if name, _ := called(x.Type); name == "NextStep" && len(x.Elts) > 0 {
				for _, e := range x.Elts {
					if kv, ok := e.(*ast.KeyValueExpr); ok && fmt.Sprint(kv.Key) == "Text" {
						r.sentence(f.Name.Name, kv.Value)
					}
				}
			}
		}
		return true
	})
}

// spoken are the arguments of a call that are sentences.
func spoken(c *ast.CallExpr) []ast.Expr {
	name, of := called(c.Fun)
	from := func(i, n int) []ast.Expr {
		if len(c.Args) < i+n {
			return nil
		}
		return c.Args[i : i+n]
	}
	switch {
	case of == "wording" && (name == "Of" || name == "Key"):
		return from(0, 1)
	case of == "wording" && name == "Count", of != "text" && name == "N":
		return from(1, 2)
	case of == "text" && name == "N", name == "n" && len(c.Args) == 4:
		return from(2, 2)
	case of == "text" && name == "T", name == "t" && of == "":
		return from(1, 1)
	case name == "t":
		return from(0, 1)
	case of != "" && name == "T", name == "NotFound":
		return from(0, 1)
	case of == "t" && name == "say": // a teller's, of package tasting
		return from(0, 1)
	case of == "t" && name == "count":
		return from(1, 2)
	case name == "Refuse":
		return from(2, 1)
	case name == "say" && of == "" && len(c.Args) > 0:
		if _, ok := literal(c.Args[0]); ok { // a function's own short form of wording.Of
			return from(0, 1)
		}
	case name == "refuse" && len(c.Args) > 1:
		if _, ok := literal(c.Args[1]); ok {
			return from(1, 1)
		}
	case name == "find" && len(c.Args) > 4:
		return from(4, 1)
	case name == "Add" && len(c.Args) > 1:
		if _, ok := literal(c.Args[1]); ok && of != "?" { // a refusal, not a header
			return from(1, 1)
		}
	}
	return nil
}

func called(f ast.Expr) (name, of string) {
	switch x := f.(type) {
	case *ast.Ident:
		return x.Name, ""
	case *ast.SelectorExpr:
		if id, ok := x.X.(*ast.Ident); ok {
			return x.Sel.Name, id.Name
		}
		return x.Sel.Name, "?"
	}
	return "", ""
}

// sentence takes what is said in a call.
func (r *reader) sentence(pkg string, e ast.Expr) {
	if s, ok := literal(e); ok {
		r.keep(s, e)
		return
	}
	switch x := e.(type) {
	case *ast.CallExpr:
		name, _ := called(x.Fun)
		r.calls[name] = true
	case *ast.IndexExpr:
		if name := tableName(pkg, x.X); name != "" {
			r.byName[name] = true
		}
		r.value(x.X)
	case *ast.Ident, *ast.SelectorExpr:
		r.byName[tableName(pkg, e)] = true
	}
}

// tableName is a table or constant with its package, "" for anything else.
func tableName(pkg string, e ast.Expr) string {
	switch name, of := called(e); of {
	case "":
		return pkg + "." + name
	case "?":
		return ""
	default:
		return of + "." + name
	}
}

// value takes the literals of a returned value or a table.
func (r *reader) value(e ast.Expr) {
	if s, ok := literal(e); ok {
		r.keep(s, e)
		return
	}
	switch x := e.(type) {
	case *ast.CompositeLit:
		for _, el := range x.Elts {
			if kv, ok := el.(*ast.KeyValueExpr); ok {
				el = kv.Value
			}
			r.value(el)
		}
	case *ast.IndexExpr:
		r.value(x.X)
	}
}

func (r *reader) keep(s string, e ast.Expr) {
	// verbs alone have nothing to translate, except lists
	if slices.Contains([]string{"", "%v", "%s"}, s) {
		return
	}
	if _, seen := r.said[s]; !seen {
		r.said[s] = r.files.Position(e.Pos()).String()
	}
}

func literal(e ast.Expr) (string, bool) {
	switch x := e.(type) {
	case *ast.BasicLit:
		if x.Kind == token.STRING {
			s, err := strconv.Unquote(x.Value)
			return s, err == nil
		}
	case *ast.ParenExpr:
		return literal(x.X)
	case *ast.BinaryExpr:
		a, ok := literal(x.X)
		b, too := literal(x.Y)
		return a + b, ok && too && x.Op == token.ADD
	}
	return "", false
}
