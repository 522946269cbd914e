package slatewright_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// The reckoning computes: the same input gives the same answer, and nothing else happens. So it may not take these from the
// standard library. Time and seeds come in as arguments.
var (
	impurePackages = []string{"context", "crypto/rand", "flag", "log", "log/slog", "math/rand", "math/rand/v2", "os/exec", "os/signal",
		"plugin", "runtime/debug", "syscall", "unsafe"}
	impureTrees = []string{"database/", "net", "testing"} // and everything below
	impureUses  = map[string][]string{
		"time": {"Now", "Since", "Until", "After", "AfterFunc", "Tick", "Sleep", "NewTimer", "NewTicker", "Local"},
		"os": {"Getenv", "LookupEnv", "Environ", "ExpandEnv", "Setenv", "Args", "Exit", "Getwd", "Chdir", "Hostname", "UserHomeDir",
			"TempDir", "Stdin", "Stdout", "Stderr"},
		"runtime": {"GOOS", "GOARCH", "Version"},
		"fmt":     {"Print", "Printf", "Println", "Scan", "Scanf", "Scanln"},
	}
)

// sealed lists the packages whose floats must come out with the same bits on every machine: + − × ÷ √ and comparison, no other
// function that rounds. exactMath is what they may use of package math: all of it is exact, or correctly rounded everywhere.
var (
	sealed    = []string{"measure", "chance", "stations", "face", "face/ply", "lowlp", "flatness", "seating", "bed", "judge", "certificate"}
	exactMath = []string{"Abs", "Ceil", "Copysign", "Float32bits", "Float32frombits", "Float64bits", "Float64frombits", "Floor", "Frexp", "Inf",
		"IsInf", "IsNaN", "Ldexp", "Max", "Min", "Modf", "NaN", "Nextafter", "Round", "RoundToEven", "Signbit", "Sqrt", "Trunc",
		"MaxFloat64", "MaxFloat32", "SmallestNonzeroFloat64", "MaxInt", "MaxInt8", "MaxInt16", "MaxInt32", "MaxInt64", "MinInt", "MinInt64",
		"MinInt32", "MaxUint8", "MaxUint16", "MaxUint32", "MaxUint64", "Pi"}
)

// use is one mention of a name of another package.
type use struct{ path, name, at string }

// uses lists the imports (name "") and the mentioned names of other packages in the non-test files of p.
func uses(t *testing.T, p packageInfo) []use {
	t.Helper()
	var list []use
	for _, file := range p.GoFiles {
		fset := token.NewFileSet()
		f, err := parser.ParseFile(fset, filepath.Join(p.Dir, file), nil, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, usesOf(fset, f, p.name())...)
	}
	return list
}

func usesOf(fset *token.FileSet, f *ast.File, pkg string) []use {
	at := func(n ast.Node) string {
		pos := fset.Position(n.Pos())
		return pkg + "/" + filepath.Base(pos.Filename) + ":" + strconv.Itoa(pos.Line)
	}
	var list []use
	paths := map[string]string{}
	for _, i := range f.Imports {
		path, err := strconv.Unquote(i.Path.Value)
		if err != nil {
			continue // the parser has seen to it
		}
		name := path[strings.LastIndex(path, "/")+1:]
		if i.Name != nil {
			name = i.Name.Name
		}
		paths[name] = path
		list = append(list, use{path: path, at: at(i)})
	}
	ast.Inspect(f, func(n ast.Node) bool {
		if s, ok := n.(*ast.SelectorExpr); ok {
			if x, ok := s.X.(*ast.Ident); ok && paths[x.Name] != "" {
				list = append(list, use{path: paths[x.Name], name: s.Sel.Name, at: at(s)})
			}
		}
		return true
	})
	return list
}

func impure(u use) bool {
	if u.name != "" {
		return slices.Contains(impureUses[u.path], u.name)
	}
	for _, tree := range impureTrees {
		if u.path == strings.TrimSuffix(tree, "/") || strings.HasPrefix(u.path, strings.TrimSuffix(tree, "/")+"/") {
			return true
		}
	}
	return slices.Contains(impurePackages, u.path)
}

func unsealed(u use) bool {
	if u.path == "math/cmplx" {
		return true
	}
	return u.path == "math" && u.name != "" && !slices.Contains(exactMath, u.name)
}

func TestReckoningIsPure(t *testing.T) {
	seen := 0
	for _, p := range packages(t) {
		ring, _, _ := ringOf(p.name())
		if ring != "reckoning" {
			continue
		}
		seen++
		for _, u := range uses(t, p) {
			if impure(u) {
				t.Errorf("%s: the reckoning may not use %s %s", u.at, u.path, u.name)
			}
			if slices.Contains(sealed, p.name()) && unsealed(u) {
				t.Errorf("%s: math.%s does not round the same everywhere; the sealing path may not use it", u.at, u.name)
			}
		}
	}
	if seen == 0 {
		t.Fatal("no package of the reckoning was found")
	}
	for _, name := range sealed {
		if ring, _, _ := ringOf(name); ring != "reckoning" {
			t.Errorf("%s is on the sealing path but not in the reckoning", name)
		}
	}
}

func TestMakefileNamesTheSealingPath(t *testing.T) {
	text, err := os.ReadFile("Makefile")
	if err != nil {
		t.Fatal(err)
	}
	if want := "\nSEALED := " + strings.Join(sealed, " ") + "\n"; !strings.Contains(string(text), want) {
		t.Errorf("the Makefile must run the sealing path on other processors: %q", want)
	}
}

func TestImpurityIsSeen(t *testing.T) {
	const source = `package p
import ("math"; clock "time"; "net/http"; "os")
var a = clock.Now()
var b = math.Sin(1) + math.Sqrt(2)
var c = http.StatusOK
var d, _ = os.Open("x")
var e = os.Getenv("x")
`
	fset := token.NewFileSet()
	f, err := parser.ParseFile(fset, "p.go", source, parser.SkipObjectResolution)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, u := range usesOf(fset, f, "p") {
		if impure(u) || unsealed(u) {
			got = append(got, u.path+" "+u.name+" "+u.at)
		}
	}
	want := []string{"net/http  p/p.go:2", "time Now p/p.go:3", "math Sin p/p.go:4", "os Getenv p/p.go:7"}
	if !slices.Equal(got, want) {
		t.Errorf("got %q\nwant %q", got, want)
	}
}
