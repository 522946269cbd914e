package slatewright_test

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// A package comment also says what the package does not do.
var doesNot = regexp.MustCompile(`(?i)\b(not|no|never|nothing|only)\b`)

// leastDocumented is the share of exported names, counted over the whole module, that carry a comment.
const leastDocumented = 0.95

func TestPackagesAndExportedNamesAreDocumented(t *testing.T) {
	names, bare := 0, []string{}
	for _, p := range packages(t) {
		var about string
		for _, file := range p.GoFiles {
			fset := token.NewFileSet()
			f, err := parser.ParseFile(fset, filepath.Join(p.Dir, file), nil, parser.ParseComments|parser.SkipObjectResolution)
			if err != nil {
				t.Fatal(err)
			}
			about += f.Doc.Text()
			n, without := exported(f)
			names += n
			for _, name := range without {
				bare = append(bare, fmt.Sprintf("%s/%s: %s", p.name(), file, name))
			}
		}
		if len(p.GoFiles) > 0 && !doesNot.MatchString(about) {
			t.Errorf("%s: the package comment must say what the package does, and what it does not do: %q", p.name(), about)
		}
	}
	if names == 0 {
		t.Fatal("no exported name was found")
	}
	if share := 1 - float64(len(bare))/float64(names); share < leastDocumented {
		t.Errorf("%.0f %% of %d exported names carry a comment, %.0f %% must; bare are\n%s", 100*share, names, 100*leastDocumented,
			strings.Join(bare, "\n"))
	}
}

// exported counts the exported names that a file declares outside functions, and lists those without a comment. A group of
// constants or variables may share one.
func exported(f *ast.File) (names int, bare []string) {
	see := func(name *ast.Ident, commented bool) {
		if !name.IsExported() {
			return
		}
		names++
		if !commented {
			bare = append(bare, name.Name)
		}
	}
	for _, d := range f.Decls {
		switch d := d.(type) {
		case *ast.FuncDecl:
			if d.Recv == nil || exportedReceiver(d.Recv) {
				see(d.Name, d.Doc != nil)
			}
		case *ast.GenDecl:
			for _, s := range d.Specs {
				switch s := s.(type) {
				case *ast.TypeSpec:
					see(s.Name, d.Doc != nil || s.Doc != nil || s.Comment != nil)
				case *ast.ValueSpec:
					for _, name := range s.Names {
						see(name, d.Doc != nil || s.Doc != nil || s.Comment != nil)
					}
				}
			}
		}
	}
	return names, bare
}

func exportedReceiver(list *ast.FieldList) bool {
	kind := list.List[0].Type
	if star, ok := kind.(*ast.StarExpr); ok {
		kind = star.X
	}
	if index, ok := kind.(*ast.IndexExpr); ok {
		kind = index.X
	}
	name, ok := kind.(*ast.Ident)
	return ok && name.IsExported()
}

func TestBareNamesAreSeen(t *testing.T) {
	const source = `package p
func Bare() {}
// Told is told.
func Told() {}
func own() {}
type hidden struct{}
func (hidden) Free() {}
type T struct{}
func (*T) Method() {}
const (
	A = 1 // one
	B = 2
)
`
	f, err := parser.ParseFile(token.NewFileSet(), "p.go", source, parser.ParseComments|parser.SkipObjectResolution)
	if err != nil {
		t.Fatal(err)
	}
	names, bare := exported(f)
	if got := strings.Join(bare, " "); names != 6 || got != "Bare T Method B" {
		t.Errorf("%d names, bare are %q", names, got)
	}
}
