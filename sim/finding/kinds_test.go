package finding

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"reflect"
	"runtime"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every kind has all that the rest of the program asks of it.
func TestEveryKindIsComplete(t *testing.T) {
	seen := map[string]bool{}
	for _, k := range Kinds {
		t.Run(k.Name, func(t *testing.T) {
			assert.False(t, seen[k.Name], "the kind is named twice")
			seen[k.Name] = true
			assert.NotEmpty(t, k.Name, "name")
			assert.NotNil(t, k.Check, "check")
			assert.NotEmpty(t, k.Meaning, "the line of the handbook")
			assert.True(t, strings.HasSuffix(k.Question, "?") || strings.HasSuffix(k.Question, "."), "the question of the lesson sheet")
			assert.NotEmpty(t, k.Values, "what it measures")
			for _, v := range k.Values {
				assert.NotEmpty(t, v.Label, "label of %q", v.Key)
				shown, _ := ValueOf(v.Key)
				assert.Equal(t, shown, v, "one name, one label and unit in all kinds")
				if v.Unit == "" {
					for _, s := range []string{"_s", "_ms", "_db", "_m", "_hz", "_share"} {
						assert.False(t, strings.HasSuffix(v.Key, s), "%q lacks its unit", v.Key)
					}
				}
			}
		})
	}
}

// The kinds and measured values that the sources name are those of the table, no fewer, no more.
func TestSourcesAndTableAgree(t *testing.T) {
	emitted := map[string]token.Position{}
	checks := map[string]bool{}
	for _, k := range Kinds {
		name := runtime.FuncForPC(reflect.ValueOf(k.Check).Pointer()).Name()
		checks[name[strings.LastIndex(name, ".")+1:]] = true
	}
	eachSource(t, ".", func(fset *token.FileSet, file *ast.File) {
		for _, d := range file.Decls {
			if f, ok := d.(*ast.FuncDecl); ok && f.Recv == nil && f.Name.IsExported() && f.Name.Name != "Run" && isCheck(f.Type) {
				assert.True(t, checks[f.Name.Name], "%v: the check %s has no row in Kinds", fset.Position(d.Pos()), f.Name.Name)
			}
		}
		ast.Inspect(file, func(n ast.Node) bool {
			switch x := n.(type) {
			case *ast.IndexExpr:
				if s, ok := x.X.(*ast.SelectorExpr); ok && s.Sel.Name == "Measured" {
					if key, ok := text(x.Index); ok {
						emitted[key] = fset.Position(x.Pos())
					}
				}
			case *ast.KeyValueExpr:
				if id, ok := x.Key.(*ast.Ident); ok && id.Name == "Measured" {
					if lit, ok := x.Value.(*ast.CompositeLit); ok {
						for _, e := range lit.Elts {
							key, _ := text(e.(*ast.KeyValueExpr).Key)
							emitted[key] = fset.Position(e.Pos())
						}
					}
				}
			}
			return true
		})
	})
	for key, at := range emitted {
		_, ok := ValueOf(key)
		assert.True(t, ok, "%v: %q is measured and has no row in Kinds", at, key)
	}
	for _, k := range Kinds {
		for _, v := range k.Values {
			assert.Contains(t, emitted, v.Key, "%s: no check measures it", k.Name)
		}
	}
}

// isCheck says whether a function is func(*Context) []Finding.
func isCheck(f *ast.FuncType) bool {
	if f.Params.NumFields() != 1 || f.Results.NumFields() != 1 {
		return false
	}
	in, ok1 := f.Params.List[0].Type.(*ast.StarExpr)
	out, ok2 := f.Results.List[0].Type.(*ast.ArrayType)
	return ok1 && ok2 && fmt.Sprint(in.X) == "Context" && fmt.Sprint(out.Elt) == "Finding"
}

// A kind is named by its constant, everywhere but where the constants are.
func TestNoKindIsWrittenOut(t *testing.T) {
	eachSource(t, "../..", func(fset *token.FileSet, file *ast.File) {
		if strings.HasSuffix(fset.Position(file.Pos()).Filename, filepath.Join("finding", "kinds.go")) {
			return
		}
		ast.Inspect(file, func(n ast.Node) bool {
			if e, ok := n.(ast.Expr); ok {
				if s, ok := text(e); ok {
					_, is := KindOf(s)
					assert.False(t, is, "%v: write finding.Kind…, not %q", fset.Position(n.Pos()), s)
				}
			}
			return true
		})
	})
}

// The README's table is the table's.
func TestReadmeNamesEveryKind(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	require.NoError(t, err)
	for _, k := range Kinds {
		assert.Contains(t, string(readme), fmt.Sprintf("| %s | %s |\n", k.Name, k.Meaning))
	}
}

func TestSeveritiesHaveOneOrder(t *testing.T) {
	assert.Less(t, Fail.Rank(), Warning.Rank())
	assert.Less(t, Warning.Rank(), Notice.Rank())
	assert.Equal(t, Notice.Rank(), Severity("of another version").Rank())
}

// eachSource calls f for the Go files below dir, tests and what other tools keep there left out.
func eachSource(t *testing.T, dir string, f func(*token.FileSet, *ast.File)) {
	t.Helper()
	require.NoError(t, filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			if n := d.Name(); n == "node_modules" || n == "dist" || len(n) > 2 && n[0] == '.' {
				return filepath.SkipDir
			}
			return nil
		}
		if !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return nil
		}
		fset := token.NewFileSet()
		file, err := parser.ParseFile(fset, path, nil, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		f(fset, file)
		return nil
	}))
}

func text(e ast.Expr) (string, bool) {
	lit, ok := e.(*ast.BasicLit)
	if !ok || lit.Kind != token.STRING {
		return "", false
	}
	s, err := strconv.Unquote(lit.Value)
	return s, err == nil
}
